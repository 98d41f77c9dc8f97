"""Drawing lots so that anybody can draw them again: an order by digest of seed and key.

How a tie ends outside the cards is the committee's to say; that it may be by lot is common
practice, no source.

>>> drawn("a seed", ["p1", "p2", "p3"]) == drawn("a seed", ["p3", "p2", "p1"])
True
"""

import hashlib
from collections.abc import Iterable


def drawn(seed: str, keys: Iterable[str]) -> list[str]:
    """The keys in the order drawn: by SHA-256 of "seed|key" in hex, the lowest first."""
    return sorted(keys, key=lambda key: hashlib.sha256(f"{seed}|{key}".encode()).hexdigest())
