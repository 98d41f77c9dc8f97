"""What a revision holds: one canonical JSON text, and the digest that signatures are bound to.

The digest covers the card's public id and the payload alone, so equal figures have equal digests
whoever wrote them and in whatever order they arrive.

>>> text = payload_of((5, None, 4))
>>> text
'{"strokes":[5,null,4],"version":1}'
>>> strokes_in(text)
(5, None, 4)
>>> digest_of("ab2c", text) == digest_of("ab2c", payload_of([5, None, 4]))
True
>>> digest_of("ab2c", text) == digest_of("zz9y", text)
False
"""

import hashlib
from collections.abc import Sequence

from scoring.rules.strict_json import canonical, read_json

VERSION = 1

Strokes = tuple[int | None, ...]


def payload_of(strokes: Sequence[int | None]) -> str:
    """The canonical JSON of the strokes of the holes in play, None for no score."""
    return canonical({"strokes": list(strokes), "version": VERSION})


def strokes_in(payload: str) -> Strokes:
    """The strokes of a payload that this program wrote; ValueError for an unknown version."""
    found = read_json(payload)
    if not isinstance(found, dict) or found.get("version") != VERSION:
        raise ValueError("This card was written by a later version of the program.")
    return tuple(found["strokes"])


def digest_of(card_id: str, payload: str) -> str:
    """SHA-256, in hex, of the card's public id and the payload, with a line feed between."""
    return hashlib.sha256(f"{card_id}\n{payload}".encode()).hexdigest()
