"""The plain words of results, what a seal is bound to, and the sum behind a playing handicap."""

import hashlib
from collections.abc import Mapping, Sequence
from enum import StrEnum
from fractions import Fraction
from typing import Any

from scoring.rules.figures import two_decimals
from scoring.rules.handicap import round_half_up
from scoring.rules.lines import extra_strokes, handicaps
from scoring.rules.strict_json import canonical
from scoring.rules.values import Event, HandicapKind, Player, RulingKind

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


def handicap_sum(event: Event, key: str) -> str:
    """How a player comes to the playing handicap, step by step, in one sentence.

    Rules of Handicapping 2024, Rules 6.1a, 6.2a and 6.2b: one rounding, at the end.
    """
    player, terms = event.players[key], event.terms
    brought = player.handicap
    if brought is None or not terms.net:
        return "Gross: no handicap strokes."
    extra = extra_strokes(event)[player.tee.key]
    course, playing = handicaps(terms, player, event.holes, extra)
    if course is None:
        words = f"Playing handicap {_plus(brought.value)} as brought"
    else:
        said = _number(terms.allowance)
        after = two_decimals(course * terms.allowance / 100)
        words = f"{_course(event, player, course)}; {said} % of that is {_signless(after)}"
    if terms.maximum_playing_handicap is not None and playing - extra < _uncapped(event, course):
        words += f", at most {terms.maximum_playing_handicap}"
    if extra:
        words += f", and {extra} for the higher par (Rule 6.2b)"
    return f"{words}: plays off {_plus(Fraction(playing))}."


def _uncapped(event: Event, course: Fraction | None) -> int:
    """What the playing handicap would be without a maximum; never above it if none was worked."""
    return round_half_up(course * event.terms.allowance / 100) if course is not None else -99


def _course(event: Event, player: Player, course: Fraction) -> str:
    brought, tee = player.handicap, player.tee
    if brought is None or brought.kind is not HandicapKind.INDEX:
        return f"Course handicap {_signless(two_decimals(course))}"
    index = f"Index {_plus(brought.value)}"
    if event.holes == 9:
        half = Fraction(round_half_up(brought.value / 2 * 10), 10)
        index += f", half of it {_plus(half)},"
    if tee.course_rating is None:
        return index
    par = Fraction(tee.total_par)
    return (
        f"{index} × {tee.slope_rating} ÷ 113 + ({_number(tee.course_rating)} − {_number(par)}) "
        f"= course handicap {_signless(two_decimals(course))}"
    )


def _number(value: Fraction) -> str:
    """A number of at most six decimals without idle noughts."""
    millionths = round_half_up(abs(value) * 1_000_000)
    whole, rest = divmod(millionths, 1_000_000)
    return f"{whole}.{rest:06d}".rstrip("0").rstrip(".")


def _plus(value: Fraction) -> str:
    """A handicap as people write it: +1.2 for the plus player kept as -1.2."""
    return f"{'+' if value < 0 else ''}{_number(value)}"


def _signless(figure: str) -> str:
    return f"+{figure[1:]}" if figure.startswith("-") else figure
