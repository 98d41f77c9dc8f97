r"""What the command `score` does, as a pure function: bytes in, texts and exit status out.

Event document, section 0: a good document gives the answer and status 0; a bad one exactly one
line, the place and why, and status 2.

>>> main(b"[]", "json")
('', 'file: wants an object, not a list\n', 2)
"""

from scoring.rules.engine import answer_text, score
from scoring.rules.event import read_event
from scoring.rules.strict_json import Refused, read_json, write_document

FORMATS = ("text", "json")


def main(data: bytes, output: str) -> tuple[str, str, int]:
    """Standard output, standard error and exit status for an event document."""
    try:
        answer = score(read_event(read_json(data)))
    except Refused as refused:
        return "", f"{refused}\n", 2
    return (write_document(answer) if output == "json" else answer_text(answer)), "", 0
