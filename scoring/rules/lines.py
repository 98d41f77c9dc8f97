"""From an event to one line for each player: handicap, strokes, values and total.

Rules of Handicapping 2024, Rules 6.1, 6.2 and 6.2b; Rules of Golf 2023, Rules 3.3 and 21; event
document, sections 1.1, 1.2 and 1.4. A player without a place gets a status instead.

>>> with_penalties((4, None), {1: 2, 2: 1})
(6, None)
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scoring.rules import handicap
from scoring.rules.games import GAMES
from scoring.rules.values import (
    STATUS_KINDS,
    STROKE_TOTALS,
    Event,
    HandicapKind,
    Player,
    Ruling,
    RulingKind,
    Tee,
    Terms,
)

NO_CARD = "no_card"
NO_RETURN = "no_return"


@dataclass(frozen=True, slots=True)
class Line:
    """What a player made of the round, ready to be ranked."""

    player: Player
    course: Fraction | None
    playing: int
    strokes: tuple[int, ...]
    values: tuple[int, ...]
    total: int


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A player without a place, and the rule of the ruling if one says so."""

    player: Player
    status: str
    rule: str | None


def extra_strokes(event: Event) -> dict[str, int]:
    """Strokes each tee in use gets on top of the Playing Handicap.

    Par of the tee less the reference par (left out: the lowest par of any tee in use), where
    stroke totals are compared. Source: Rules of Handicapping, Rule 6.2b.
    """
    terms = event.terms
    used = {player.tee.key: player.tee for player in event.players.values()}
    if not terms.different_par or terms.format not in STROKE_TOTALS:
        return dict.fromkeys(used, 0)
    lowest = min(tee.total_par for tee in used.values())
    reference = lowest if terms.reference_par is None else terms.reference_par
    return {key: tee.total_par - reference for key, tee in used.items()}


def handicaps(terms: Terms, player: Player, holes: int, extra: int) -> tuple[Fraction | None, int]:
    """Course Handicap (None where none is worked out) and Playing Handicap of a player.

    Rules of Handicapping, Rules 6.1 and 6.2; for gross no handicap is worked out.
    """
    brought = player.handicap
    if brought is None or not terms.net:
        return None, 0
    maximum = terms.maximum_playing_handicap
    if brought.kind is HandicapKind.PLAYING:
        return None, handicap.playing_handicap(
            brought.value, allowance=100, maximum=maximum, extra=extra
        )
    course = brought.value
    if brought.kind is HandicapKind.INDEX:
        course = _converted(brought.value, player.tee, holes)
    return course, handicap.playing_handicap(
        course, allowance=terms.allowance, maximum=maximum, extra=extra
    )


def _converted(index: Fraction, tee: Tee, holes: int) -> Fraction:
    if tee.course_rating is None or tee.slope_rating is None:
        raise ValueError(f"the tee {tee.key} has no ratings")
    return handicap.course_handicap(
        index=index,
        slope=tee.slope_rating,
        rating=tee.course_rating,
        par=tee.total_par,
        holes=holes,
    )


def play(event: Event) -> tuple[list[Line], list[Unplaced]]:
    """Every player's line, or the status of a player who gets no place."""
    rulings = _by_player(event.rulings)
    extra = extra_strokes(event)
    lines: list[Line] = []
    unplaced: list[Unplaced] = []
    for key, player in event.players.items():
        played = _play_one(event, player, rulings.get(key, ()), extra)
        if isinstance(played, Line):
            lines.append(played)
        else:
            unplaced.append(played)
    return lines, unplaced


def _by_player(rulings: Sequence[Ruling]) -> dict[str, list[Ruling]]:
    found: dict[str, list[Ruling]] = {}
    for ruling in rulings:
        if ruling.kind is not RulingKind.ORDER:
            found.setdefault(ruling.player, []).append(ruling)
    return found


def _play_one(
    event: Event, player: Player, rulings: Sequence[Ruling], extra: Mapping[str, int]
) -> Line | Unplaced:
    for ruling in rulings:
        if ruling.kind in STATUS_KINDS:
            return Unplaced(player, ruling.kind.value, ruling.rule)
    card = event.cards.get(player.key)
    if card is None:
        return Unplaced(player, NO_CARD, None)
    card = with_penalties(card, penalties(rulings))
    course, playing = handicaps(event.terms, player, event.holes, extra[player.tee.key])
    strokes = handicap.strokes_received(playing, player.tee.stroke_index)
    values = hole_values(event.terms, player.tee, strokes, card)
    if values is None:
        return Unplaced(player, NO_RETURN, None)
    off = playing if event.terms.format in STROKE_TOTALS else points_off(rulings)
    return Line(player, course, playing, strokes, values, sum(values) - off)


def penalties(rulings: Sequence[Ruling]) -> dict[int, int]:
    """Penalty strokes by hole; several on one hole add up."""
    strokes: dict[int, int] = {}
    for ruling in rulings:
        if ruling.kind is RulingKind.PENALTY:
            strokes[ruling.hole] = strokes.get(ruling.hole, 0) + ruling.strokes
    return strokes


def points_off(rulings: Sequence[Ruling]) -> int:
    """Points (in par play: holes) off the total. Rules of Golf, Rules 21.1c and 21.3c."""
    return sum(ruling.points for ruling in rulings)


def with_penalties(
    card: tuple[int | None, ...], strokes: Mapping[int, int]
) -> tuple[int | None, ...]:
    """The card with penalty strokes added; a hole without a score stays without."""
    if not strokes:
        return card
    return tuple(
        None if gross is None else gross + strokes.get(hole, 0)
        for hole, gross in enumerate(card, start=1)
    )


def hole_values(
    terms: Terms, tee: Tee, strokes: Sequence[int], card: Sequence[int | None]
) -> tuple[int, ...] | None:
    """The value of every hole, or None where a hole has none and so the card no total."""
    value = GAMES[terms.format].value
    values = []
    for par, received, gross in zip(tee.par, strokes, card, strict=True):
        worth = value(terms, par, received, gross)
        if worth is None:
            return None
        values.append(worth)
    return tuple(values)
