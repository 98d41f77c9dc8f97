"""The plain words of members: kinds of player, ways of signing."""

from enum import StrEnum


class PlayerKind(StrEnum):
    """A member of the society, or a guest of one."""

    MEMBER = "member"
    GUEST = "guest"


class Signing(StrEnum):
    """How this society's cards are signed."""

    PAPER = "paper"
    PHONE = "phone"
    EITHER = "either"
