"""Random public ids: what stands in addresses, seals, exports and the audit."""

import secrets

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that are misread from a printed page


def public_id() -> str:
    """Twelve letters and digits by chance (about 59 bits), safe in an address and as a key."""
    return "".join(secrets.choice(_LETTERS) for _ in range(12))


def four_digits() -> str:
    """Four digits by chance, for signing on another person's phone."""
    return f"{secrets.randbelow(10_000):04d}"
