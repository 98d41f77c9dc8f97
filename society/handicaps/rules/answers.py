"""What may become of a proposed cut."""

from enum import StrEnum


class CutAnswerKind(StrEnum):
    """Confirmed as it stands, changed with a reason, left alone, or fallen away with its result."""

    CONFIRMED = "confirmed"
    CHANGED = "changed"
    DROPPED = "dropped"
    FELL_AWAY = "fell away"
