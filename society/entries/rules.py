"""The plain words of entries: comings and goings, kinds of draw."""

from enum import StrEnum


class Step(StrEnum):
    """One coming or going of an entry."""

    ENTERED = "entered"  # has a place
    WAITING = "waiting"  # on the waiting list
    OFFERED = "offered"  # may take a place until an hour
    TAKEN = "taken"  # took the offered or freed place
    LAPSED = "lapsed"  # let an offer pass
    BUMPED = "bumped"  # gave a place up to a member
    WITHDRAWN = "withdrawn"
    ABSENT = "absent"  # did not turn up


IN = frozenset({Step.ENTERED, Step.TAKEN})
QUEUING = frozenset({Step.WAITING, Step.OFFERED, Step.LAPSED, Step.BUMPED})
OUT = frozenset({Step.WITHDRAWN, Step.ABSENT})


class DrawMethod(StrEnum):
    """How groups are made."""

    RANDOM = "random"
    HANDICAP = "handicap"


class DrawDeed(StrEnum):
    """What was done with a draw run after it was made."""

    PUBLISHED = "published"
    SWAPPED = "swapped"
    MOVED = "moved"
    UNDONE = "undone"
    WITHDRAWN = "withdrawn"
