"""The plain words of cards: records, channels, steps, certificates, states."""

from enum import StrEnum


class Record(StrEnum):
    """Whose figures a revision belongs to. Typed paper is the committee's."""

    PLAYER = "player"
    MARKER = "marker"
    COMMITTEE = "committee"


class Channel(StrEnum):
    """How figures reached us."""

    PHONE = "phone"
    PAPER = "paper"
    FILE = "file"


class CardDeed(StrEnum):
    """A step of a card that is no figure and no signature of one person."""

    ASKED = "asked"
    ANSWERED = "answered"
    CHECKED = "checked"
    SIGNATURES_SEEN = "signatures seen"
    SIGNATURES_BACK = "signatures taken back"
    HELD_TAKEN = "held taken"
    HELD_REFUSED = "held refused"


class Capacity(StrEnum):
    """In which capacity someone certifies."""

    PLAYER = "player"
    MARKER = "marker"


class Means(StrEnum):
    """How someone certified."""

    OWN_SIGN_IN = "own sign-in"
    OWN_LINK = "a guest's own link"
    HANDED_OVER = "this phone handed over"
    PAPER_SEEN = "paper seen"
    OFFICERS_WORD = "an officer's word"


class CardState(StrEnum):
    """Worked out from the rows, never stored."""

    OUT = "out"
    STARTED = "started"
    WAITING = "waiting"
    RETURNED = "returned"
    CHECKED = "checked"
    QUERIED = "queried"


class HeldBecause(StrEnum):
    """Why a revision was kept beside the card and not applied; an officer decides."""

    STALE = "stale parent"  # somebody wrote in this record meanwhile
    UNKNOWN = "unknown parent"  # what it was written on never arrived here
    RETURNED = "returned"  # both had certified: only the committee changes it now
    LATE = "late"  # no cards were taken any more
    SEALED = "sealed"  # the result was final


class Outcome(StrEnum):
    """What became of figures that were sent: the statuses 201, 200 and 202."""

    NEW = "new"
    ALREADY = "already"
    HELD = "held"
