"""Everybody's round: players, sides that play one ball, and sides whose members play their own.

Event document, sections 1.1, 1.2 and 1.4; Rules of Golf 2023, Rules 21 to 23. Where an own ball
is played, the value of a hole is worked out for each member, strokes and medal scores net of the
strokes received there, and the side takes the best one, the best so many, or all of them.

>>> best_of([3, None, 1, 2], 2, more_is_better=True), best_of([None, 4], 2, more_is_better=False)
(5, None)
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from scoring.rules import handicap, parameters
from scoring.rules.games import GAMES
from scoring.rules.lines import (
    Competitor,
    Line,
    Unplaced,
    Values,
    complete,
    course_of,
    extra_strokes,
    handicaps,
    hole_values,
    penalties,
    points_off,
    with_penalties,
)
from scoring.rules.values import (
    ONE_BALL,
    OWN_BALL,
    STATUS_KINDS,
    Card,
    CourseHandicap,
    Event,
    Format,
    Player,
    PlayingHandicap,
    Ruling,
    RulingKind,
    Side,
    Tee,
)

NO_CARD = "no_card"
NO_RETURN = "no_return"
NAMES_JOINED_BY = " & "


class _Day(NamedTuple):
    """What everybody's round is worked out from."""

    event: Event
    extra: Mapping[str, int]
    by_player: Mapping[str, Sequence[Ruling]]
    by_side: Mapping[str, Sequence[Ruling]]


def play(event: Event) -> tuple[list[Line], list[Unplaced]]:
    """Every competitor's line, or the status of one that gets no place."""
    by_player: dict[str, list[Ruling]] = {}
    by_side: dict[str, list[Ruling]] = {}
    for ruling in event.rulings:
        if ruling.player:
            by_player.setdefault(ruling.player, []).append(ruling)
        elif ruling.side:
            by_side.setdefault(ruling.side, []).append(ruling)
    day = _Day(event, extra_strokes(event), by_player, by_side)
    lines: list[Line] = []
    unplaced: list[Unplaced] = []
    for played in _everybody(day):
        if isinstance(played, Line):
            lines.append(played)
        else:
            unplaced.append(played)
    return lines, unplaced


def _everybody(day: _Day) -> Iterable[Line | Unplaced]:
    if day.event.terms.format in OWN_BALL:
        return (_own_ball(day, side) for side in day.event.sides.values())
    if day.event.terms.format in ONE_BALL:
        return (_one_ball(day, side) for side in day.event.sides.values())
    return (_alone(day, player) for player in day.event.players.values())


def _alone(day: _Day, player: Player) -> Line | Unplaced:
    who = Competitor(player.key, player.name, player.divisions, player.first_hole)
    rulings = day.by_player.get(player.key, ())
    event = day.event
    unplaced = _without_round(who, rulings, event.cards)
    if unplaced is not None:
        return unplaced
    course, playing = handicaps(event.terms, player, event.holes, day.extra[player.tee.key])
    return _one_card(day, who, player.tee, course, playing, rulings)


def _one_ball(day: _Day, side: Side) -> Line | Unplaced:
    who = _side(side)
    rulings = day.by_side.get(side.key, ())
    unplaced = _without_round(who, rulings, day.event.cards)
    if unplaced is not None:
        return unplaced
    tee = side.members[0].tee
    return _one_card(day, who, tee, None, _side_handicap(day, side, tee), rulings)


def _side_handicap(day: _Day, side: Side, tee: Tee) -> PlayingHandicap:
    terms = day.event.terms
    if not terms.net:
        return PlayingHandicap(0)
    return handicap.side_playing_handicap(
        [course_of(player, tee.total_par, day.event.holes) for player in side.members],
        shares=terms.shares or parameters.shares_for(terms.format, len(side.members)),
        maximum=terms.maximum_playing_handicap,
        extra=day.extra[tee.key],
    )


def _without_round(
    who: Competitor, rulings: Sequence[Ruling], cards: Mapping[str, Card]
) -> Unplaced | None:
    for ruling in rulings:
        if ruling.kind in STATUS_KINDS:
            return Unplaced(who, ruling.kind.value, ruling.rule)
    return None if who.key in cards else Unplaced(who, NO_CARD, None)


def _one_card(
    day: _Day,
    who: Competitor,
    tee: Tee,
    course: CourseHandicap | None,
    playing: PlayingHandicap,
    rulings: Sequence[Ruling],
) -> Line | Unplaced:
    """A player's line, or that of a side with one ball: one card, one Playing Handicap."""
    terms = day.event.terms
    card = with_penalties(day.event.cards[who.key], penalties(rulings))
    strokes = handicap.strokes_received(playing, tee.stroke_index)
    values = complete(hole_values(terms, tee, strokes, card))
    if values is None:
        return Unplaced(who, NO_RETURN, None)
    total = sum(values) - points_off(rulings) - (playing if terms.off_the_total else 0)
    return Line(who, course, playing, strokes, values, total, playing)


def _own_ball(day: _Day, side: Side) -> Line | Unplaced:
    who = _side(side)
    event = day.event
    rulings = day.by_side.get(side.key, ())
    unplaced = _side_without_round(day, side, who, rulings)
    if unplaced is not None:
        return unplaced
    members = [
        (player, handicaps(event.terms, player, event.holes, day.extra[player.tee.key])[1])
        for player in side.members
    ]
    by_member = [_member_values(day, player, playing) for player, playing in members]
    more = GAMES[event.terms.scoring].MORE_IS_BETTER
    values = complete(
        tuple(
            best_of(of_hole, count, more_is_better=more)
            for of_hole, count in zip(
                zip(*by_member, strict=True), _counting(event, side), strict=True
            )
        )
    )
    if values is None:
        return Unplaced(who, NO_RETURN, None)
    compared = sum(playing for _, playing in members)
    return Line(who, None, None, None, values, sum(values) - points_off(rulings), compared)


def _side_without_round(
    day: _Day, side: Side, who: Competitor, rulings: Sequence[Ruling]
) -> Unplaced | None:
    for ruling in rulings:
        if ruling.kind in STATUS_KINDS:
            return Unplaced(who, ruling.kind.value, ruling.rule)
    out = [_out(day, player) for player in side.members]
    if out[0] is not None and all(ruling is not None for ruling in out):
        return Unplaced(who, out[0].kind.value, out[0].rule)
    if not any(player.key in day.event.cards for player in side.members):
        return Unplaced(who, NO_CARD, None)
    return None


def _out(day: _Day, player: Player) -> Ruling | None:
    for ruling in day.by_player.get(player.key, ()):
        if ruling.kind is RulingKind.DISQUALIFIED:
            return ruling
    return None


def _member_values(day: _Day, player: Player, playing: int) -> Values:
    """A member's values, all without a score if disqualified or without a card."""
    terms = day.event.terms
    card = None if _out(day, player) else day.event.cards.get(player.key)
    card = (None,) * day.event.holes if card is None else card
    card = with_penalties(card, penalties(day.by_player.get(player.key, ())))
    strokes = handicap.strokes_received(playing, player.tee.stroke_index)
    values = hole_values(terms, player.tee, strokes, card)
    if not terms.stroke_total:
        return values
    return tuple(
        None if value is None else value - received
        for value, received in zip(values, strokes, strict=True)
    )


def _counting(event: Event, side: Side) -> tuple[int, ...]:
    if event.terms.best is not None:
        return event.terms.best
    count = 1 if event.terms.format is Format.FOUR_BALL else len(side.members)
    return (count,) * event.holes


def best_of(values: Iterable[int | None], count: int, *, more_is_better: bool) -> int | None:
    """The best so many values of a hole, added; None if there are not so many.

    Rules of Golf 2023, Rule 23.2a for the better of two; best of more is common practice.
    """
    found = sorted((value for value in values if value is not None), reverse=more_is_better)
    return sum(found[:count]) if len(found) >= count else None


def _side(side: Side) -> Competitor:
    first, *others = side.members
    return Competitor(
        key=side.key,
        name=NAMES_JOINED_BY.join(player.name for player in side.members),
        divisions=first.divisions.intersection(*(player.divisions for player in others)),
        first_hole=first.first_hole,
    )
