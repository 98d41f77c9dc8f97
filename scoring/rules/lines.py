"""What becomes of a card: handicap, strokes, values, and one line to be ranked.

Rules of Handicapping 2024, Rules 6.1, 6.2 and 6.2b; Rules of Golf 2023, Rules 3.3 and 21; event
document, sections 1.1, 1.2 and 1.4.

>>> with_penalties((4, None), {1: 2, 2: 1})
(6, None)
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scoring.rules import handicap
from scoring.rules.games import GAMES
from scoring.rules.values import (
    ONE_BALL,
    Card,
    CourseHandicap,
    Event,
    Gross,
    HandicapKind,
    HoleNumber,
    Player,
    PlayingHandicap,
    Ruling,
    RulingKind,
    Tee,
    Terms,
)

Values = tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Competitor:
    """Who is ranked: a player, or a side with its members' names and common divisions."""

    key: str
    name: str
    divisions: frozenset[str]
    first_hole: int


@dataclass(frozen=True, slots=True)
class Line:
    """What a competitor made of the round, ready to be ranked.

    `compared` is the handicap that `lower_handicap` looks at: the Playing Handicap, for own-ball
    sides the sum of the members'.
    """

    who: Competitor
    course: CourseHandicap | None
    playing: PlayingHandicap | None
    strokes: tuple[int, ...] | None
    values: tuple[int, ...]
    total: int
    compared: int


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A competitor without a place, and the rule of the ruling if one says so."""

    who: Competitor
    status: str
    rule: str | None


def tees_in_use(event: Event) -> list[Tee]:
    """The tees some player is on, with a card or not; for one-ball sides, some side.

    A one-ball side plays the tee of its first-named player.
    """
    if event.terms.format in ONE_BALL:
        on = [side.members[0].tee for side in event.sides.values()]
    else:
        on = [player.tee for player in event.players.values()]
    return list({tee.key: tee for tee in on}.values())


def extra_strokes(event: Event) -> dict[str, int]:
    """Strokes each tee in use gets on top of the Playing Handicap.

    Par of the tee less the reference par (left out: the lowest par of any tee in use), where
    stroke totals are compared. Source: Rules of Handicapping, Rule 6.2b.
    """
    terms = event.terms
    used = tees_in_use(event)
    if not terms.different_par or not terms.stroke_total:
        return {tee.key: 0 for tee in used}
    lowest = min(tee.total_par for tee in used)
    reference = lowest if terms.reference_par is None else terms.reference_par
    return {tee.key: tee.total_par - reference for tee in used}


def handicaps(
    terms: Terms, player: Player, holes: int, extra: int
) -> tuple[CourseHandicap | None, PlayingHandicap]:
    """Course Handicap (None where none is worked out) and Playing Handicap of a player.

    Rules of Handicapping, Rules 6.1 and 6.2; for gross no handicap is worked out.
    """
    brought = player.handicap
    if brought is None or not terms.net:
        return None, PlayingHandicap(0)
    maximum = terms.maximum_playing_handicap
    if brought.kind is HandicapKind.PLAYING:
        return None, handicap.playing_handicap(
            brought.value, allowance=100, maximum=maximum, extra=extra
        )
    course = course_of(player, player.tee.total_par, holes)
    return course, handicap.playing_handicap(
        course, allowance=terms.allowance, maximum=maximum, extra=extra
    )


def course_of(player: Player, par: int, holes: int) -> CourseHandicap:
    """The unrounded Course Handicap of a player, by the ratings of the player's own tee.

    `par` is that of the tee played, a side's where one ball is played.
    """
    brought, tee = player.handicap, player.tee
    if brought is None:
        raise ValueError(f"{player.key} brings no handicap")
    if brought.kind is not HandicapKind.INDEX:
        return CourseHandicap(brought.value)
    if tee.course_rating is None or tee.slope_rating is None:
        raise ValueError(f"the tee {tee.key} has no ratings")
    return handicap.course_handicap(
        index=brought.value,
        slope=tee.slope_rating,
        rating=tee.course_rating,
        par=par,
        holes=holes,
    )


def penalties(rulings: Sequence[Ruling]) -> dict[HoleNumber, int]:
    """Penalty strokes by hole; several on one hole add up."""
    strokes: dict[HoleNumber, int] = {}
    for ruling in rulings:
        if ruling.kind is RulingKind.PENALTY:
            strokes[ruling.hole] = strokes.get(ruling.hole, 0) + ruling.strokes
    return strokes


def points_off(rulings: Sequence[Ruling]) -> int:
    """Points (in par play: holes) off the total. Rules of Golf, Rules 21.1c and 21.3c."""
    return sum(ruling.points for ruling in rulings)


def with_penalties(card: Card, strokes: Mapping[HoleNumber, int]) -> Card:
    """The card with penalty strokes added; a hole without a score stays without."""
    if not strokes:
        return card
    return tuple(
        None if gross is None else Gross(gross + strokes.get(HoleNumber(hole), 0))
        for hole, gross in enumerate(card, start=1)
    )


def hole_values(terms: Terms, tee: Tee, strokes: Sequence[int], card: Card) -> Values:
    """The value of every hole; None where a hole has none, so that the card has no total."""
    value = GAMES[terms.scoring].value
    return tuple(
        [
            value(terms, par, received, gross)
            for par, received, gross in zip(tee.par, strokes, card, strict=True)
        ]
    )


def complete(values: Values) -> tuple[int, ...] | None:
    """The values if every hole has one."""
    found = tuple([value for value in values if value is not None])
    return found if len(found) == len(values) else None
