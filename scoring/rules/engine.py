"""Scoring an event: the standings, who has no place and why, and every division.

Event document, section 1.5. The answer is made of plain JSON values with its keys in the order
of the document, and never depends on the order of the input.

>>> from scoring.rules.event import read_event
>>> answer = score(read_event({
...     "document": "golf-event", "version": 1,
...     "event": {"name": "Nine holes", "date": "2026-04-18"}, "terms": {"format": "stableford"},
...     "tees": {"white": {"par": [4] * 9, "stroke_index": list(range(1, 10))}},
...     "players": {"p1": {"name": "A. Player", "tee": "white", "playing_handicap": 9}},
...     "cards": {"p1": [5] * 9}}))
>>> answer["standings"][0]["place"], answer["standings"][0]["total"]
(1, 18)
"""

from collections.abc import Iterable, Sequence
from typing import Any

from scoring.rules.figures import figure, two_decimals
from scoring.rules.games import GAMES
from scoring.rules.lines import Competitor, Line, Unplaced
from scoring.rules.parameters import EDITION
from scoring.rules.playing import play
from scoring.rules.settled import settled
from scoring.rules.text import answer_text
from scoring.rules.ties import Ranked, Step, check_orders, orders_of, rank, steps_of
from scoring.rules.values import CountbackHoles, Event, Ruling

__all__ = ["ENGINE", "answer_text", "score"]

ENGINE = "house engine 1"


def score(event: Event) -> dict[str, Any]:
    """The answer to an event; raises Refused where an `order` ruling does not fit the cards."""
    lines, unplaced = play(event)
    steps = steps_of(event)
    orders = orders_of(event.rulings)
    if orders:
        check_orders(_ranked(event, lines, steps, ()), orders, sides=bool(event.sides))
    names = {name for player in event.players.values() for name in player.divisions}
    return {
        "document": "golf-standings",
        "version": 1,
        "engine": ENGINE,
        "rules": EDITION.name,
        **_lists(event, lines, unplaced, steps, orders),
        "divisions": {
            name: _lists(
                event,
                [line for line in lines if name in line.who.divisions],
                [row for row in unplaced if name in row.who.divisions],
                steps,
                orders,
            )
            for name in sorted(names)
        },
    }


def _ranked(
    event: Event, lines: Iterable[Line], steps: Sequence[Step], orders: Sequence[Ruling]
) -> list[Ranked]:
    return rank(lines, steps, GAMES[event.terms.scoring].MORE_IS_BETTER, orders)


def _lists(
    event: Event,
    lines: Iterable[Line],
    unplaced: Iterable[Unplaced],
    steps: Sequence[Step],
    orders: Sequence[Ruling],
) -> dict[str, Any]:
    played = event.terms.countback_holes is CountbackHoles.PLAYED
    what = "side" if event.sides else "player"
    return {
        "standings": [_row(row, what, played) for row in _ranked(event, lines, steps, orders)],
        "unplaced": [
            {**_who(what, row.who), "status": row.status, "rule": row.rule, "total": None}
            for row in sorted(unplaced, key=lambda row: row.who.key)
        ],
    }


def _who(what: str, who: Competitor) -> dict[str, Any]:
    return {what: who.key, "name": who.name}


def _row(row: Ranked, what: str, in_order_played: bool) -> dict[str, Any]:
    line = row.line
    return {
        "place": row.place,
        "tied": row.tied,
        **_who(what, line.who),
        "course_handicap": None if line.course is None else two_decimals(line.course),
        "playing_handicap": line.playing,
        "strokes": None if line.strokes is None else list(line.strokes),
        "values": list(line.values),
        "total": line.total,
        "trail": {entry.label: figure(entry.own) for entry in row.level.compared if entry.label},
        "settled": settled(row, in_order_played=in_order_played),
    }
