r"""What the command `handicap` does, as a pure function: bytes in, texts and exit status out.

Handicap record document, section 0: a good document gives the answer and status 0; a bad one
exactly one line, the place and why, and status 2.

>>> main(b"{}", "json")
('', 'document: is missing\n', 2)
"""

from scoring.rules.record.answer import answer, answer_text
from scoring.rules.record.document import read_record
from scoring.rules.record.history import history
from scoring.rules.strict_json import Refused, read_json, write_document


def main(data: bytes, output: str) -> tuple[str, str, int]:
    """Standard output, standard error and exit status for a handicap record."""
    try:
        found = answer(history(read_record(read_json(data))))
    except Refused as refused:
        return "", f"{refused}\n", 2
    return (write_document(found) if output == "json" else answer_text(found)), "", 0
