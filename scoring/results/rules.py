"""The plain words of results, and what a seal is bound to."""

import hashlib
from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import Any

from scoring.rules.strict_json import canonical
from scoring.rules.values import RulingKind

ACCEPTED = "accepted as written"

STATUSES = (RulingKind.NO_RETURN, RulingKind.WITHDRAWN, RulingKind.DISQUALIFIED)

RULING_WORDS = {
    RulingKind.PENALTY.value: "Penalty strokes on a hole",
    RulingKind.POINTS_OFF.value: "Points off the total",
    RulingKind.DISQUALIFIED.value: "Disqualified",
    RulingKind.WITHDRAWN.value: "Withdrawn",
    RulingKind.NO_RETURN.value: "No return",
    RulingKind.ORDER.value: "Order of those still level",
    ACCEPTED: "Accepted as written",
}
# With one of these no card came back to be counted.
NOT_RETURNED = (RulingKind.NO_RETURN.value, RulingKind.WITHDRAWN.value, "no_card")
STATUS_WORDS = {
    RulingKind.DISQUALIFIED.value: "Disqualified",
    RulingKind.WITHDRAWN.value: "Withdrew",
    RulingKind.NO_RETURN.value: "No return",
    "no_card": "No card yet",
}


def ruling_words(kind: str, detail: Mapping[str, Any]) -> str:
    """What a ruling says; the hole as the card of the course numbers it.

    >>> ruling_words("penalty", {"hole": 7, "strokes": 1})
    '1 penalty stroke on hole 7'
    """
    if kind == RulingKind.PENALTY:
        strokes = detail["strokes"]
        word = "stroke" if strokes == 1 else "strokes"
        return f"{strokes} penalty {word} on hole {detail['hole']}"
    if kind == RulingKind.POINTS_OFF:
        return f"{detail['points']} off the total"
    if kind == RulingKind.ORDER and detail.get("how") in (Settled.LOT, Settled.HAND):
        return "Order by lot of those still level"
    if kind == RulingKind.ORDER and detail.get("how") == Settled.PLAY_OFF:
        return "Order by play-off of those still level"
    return RULING_WORDS[kind]


class ContestKind(StrEnum):
    """A side contest on one hole."""

    PIN = "pin"
    DRIVE = "drive"


CONTEST_WORDS = {ContestKind.PIN.value: "Nearest the pin", ContestKind.DRIVE.value: "Longest drive"}


class Settled(StrEnum):
    """How those who are level to the end were put in order."""

    LOT = "lot"  # drawn here, from a seed that is kept
    HAND = "hand"
    PLAY_OFF = "play-off"
    OTHER = "other"


def order_words(how: str, words: str, seed: str = "") -> str:
    """What the notice says of an order, its way first; the reason that the document carries.

    >>> order_words("hand", "names out of a hat at 18:10")
    'by lot, drawn by hand: names out of a hat at 18:10'
    """
    ways = {
        Settled.LOT: f"by lot, drawn from the seed {seed}",
        Settled.HAND: "by lot, drawn by hand",
        Settled.PLAY_OFF: "by play-off",
    }
    way = ways.get(Settled(how)) if how else None
    return ": ".join(part for part in (way, words.strip()) if part)


class ReasonClass(StrEnum):
    """Why a version was sealed. Committee Procedures 5A(7); Rule 20.2d(2) for mistakes."""

    FIRST = "first"
    MISSED_CARD = "missed card"
    FIGURES = "wrong figures"
    HANDICAP = "wrong handicap or tee"
    RULING = "ruling after play"
    ERROR = "error in our working"
    OTHER = "other"


REASON_WORDS = {
    ReasonClass.MISSED_CARD.value: "A card was missed",
    ReasonClass.FIGURES.value: "Figures on a card were wrong",
    ReasonClass.HANDICAP.value: "A handicap or tee was wrong",
    ReasonClass.RULING.value: "A ruling after play",
    ReasonClass.ERROR.value: "An error in our own working",
    ReasonClass.OTHER.value: "Another reason",
}


class Answer(StrEnum):
    """What became of the wish to open a result again."""

    OPENED = "opened"
    DROPPED = "dropped"


def seal_digest(*, competition: str, number: int, inputs: str, outputs: str) -> str:
    """SHA-256, in hex, of what a version says and of which version it is.

    >>> first = seal_digest(competition="c", number=1, inputs="{}", outputs="{}")
    >>> first == seal_digest(competition="c", number=2, inputs="{}", outputs="{}")
    False
    """
    said = {"competition": competition, "inputs": inputs, "number": number, "outputs": outputs}
    return hashlib.sha256(canonical(said).encode()).hexdigest()


def agreement_digest(parts: Sequence[tuple[str, int, str]], reopened: int) -> str:
    """What officers agree to when they seal: SHA-256, in hex, over all competitions at once.

    `parts`: public id, number of the version to be made and its inputs, for each competition.
    `reopened`: how often the fixture was opened again, so that no old agreement counts twice.
    """
    said = {"parts": [list(part) for part in parts], "reopened": reopened}
    return hashlib.sha256(canonical(said).encode()).hexdigest()
