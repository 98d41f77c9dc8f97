"""The arithmetic of the audit chain: what a line's digest covers."""

import hashlib
from datetime import UTC, datetime

from scoring.rules.strict_json import canonical

FIRST = "0" * 64  # what the first line of a chain names as its previous digest


def hash_words(salt: str, text: str) -> str:
    """SHA-256 of salt and text: binds the words into the chain without containing them."""
    return hashlib.sha256(f"{salt}\n{text}".encode()).hexdigest()


def line_digest(
    *,
    number: int,
    previous: str,
    at: datetime,
    by: str,
    deed: str,
    about: str,
    changes: str,
    words_hash: str,
) -> str:
    """The digest of an audit line: SHA-256 of the canonical JSON of all it says."""
    said = {
        "about": about,
        "at": at.astimezone(UTC).isoformat(timespec="microseconds"),
        "by": by,
        "changes": changes,
        "deed": deed,
        "number": number,
        "previous": previous,
        "words": words_hash,
    }
    return hashlib.sha256(canonical(said).encode()).hexdigest()
