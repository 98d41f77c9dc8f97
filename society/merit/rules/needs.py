"""What a member needs at the next fixture: to gain, to gain a place, to pass each one above.

Worked out by trying: the member's row is made again with each outcome of the next fixture and
ranked by the table's own rules, the totals of all others left as they stand. A better outcome
never ranks lower, so the least that is enough is found by halving.

>>> from society.merit.rules.values import Event, Finish, PointsFrom
>>> days = [Event("1", (Finish("x", True, 1, 36), Finish("y", True, 2, 30)))]
>>> found = needs(days, MeritRules(points=PointsFrom.TOTAL, best=1), "y", Next("2"))
>>> found.gain, found.climb, [(ahead.player, ahead.figure) for ahead in found.above]
(31, 37, [('x', 37)])
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

from society.merit.rules.points import alone, scale_of
from society.merit.rules.rows import Row
from society.merit.rules.season import cells_of, counting, least, rows_of
from society.merit.rules.ties import ranked
from society.merit.rules.values import Earned, Event, Facts, MeritRules

MOST_TOTAL = 54  # three points on each of eighteen holes: what is above it is called out of reach

_NO_FACTS = Facts()


@dataclass(frozen=True, slots=True)
class Next:
    """The fixture to come. `field`: how many places are tried; the table's own if that is more."""

    key: str
    stableford: bool = True
    day: date = date.max
    field: int = 0


@dataclass(frozen=True, slots=True)
class Pass:
    """One player above, and what passes that player's total as it stands; None if nothing does."""

    player: str
    figure: int | None


@dataclass(frozen=True, slots=True)
class Needs:
    """What the next fixture must bring. `by_place`: figures are places, else Stableford points.

    `enter`: the member has no place yet and needs this for one; else None. None in `gain` and
    `climb` where nothing is enough. `above` goes from the nearest up to the leader.
    """

    by_place: bool
    gain: int | None
    climb: int | None
    enter: int | None
    above: tuple[Pass, ...]
    worst: int = 0  # the outcome that any card with a place reaches


def needs(
    events: Sequence[Event],
    rules: MeritRules,
    player: str,
    to_come: Next,
    facts: Facts = _NO_FACTS,
) -> Needs | None:
    """What `player` needs; None where no outcome can help.

    That is so for who is unranked, further than one fixture short of a place or not in the table,
    and at a fixture that earns no points.
    """
    by_place = scale_of(to_come.key, rules) is not None
    if to_come.key in rules.left_out or (not by_place and not to_come.stableford):
        return None
    best = counting(rules, facts.cancelled)
    everyone = [_missed(row) for row in rows_of(events, rules, facts)]
    mine = next((row for row in everyone if row.player == player), None)
    if mine is None or mine.unranked or mine.short > 1:
        return None
    others = [row for row in everyone if row is not mine and not row.unranked and not row.short]
    before = others if mine.short else [*others, mine]
    stand = {row.player: row for row in ranked(before, rules, best, facts.decisions)}

    @cache
    def tried(figure: int) -> tuple[Row, dict[str, int]]:
        """My row and all places after this outcome."""
        row = _tried(mine, _outcome(figure, rules, to_come, by_place), best, rules, facts)
        placed = ranked([*others, row], rules, best, facts.decisions)
        return row, {r.player: r.place or 0 for r in placed}

    def passes(other: str) -> Callable[[int], bool]:
        return lambda figure: tried(figure)[1][player] < tried(figure)[1][other]

    outcomes = _outcomes(rules, to_come, by_place)
    own = stand[player].place if player in stand else None
    ahead = [row for row in stand.values() if own is None or (row.place or 0) < own]
    return Needs(
        by_place=by_place,
        gain=_first(outcomes, lambda figure: tried(figure)[0].total > mine.total),
        climb=None if own is None else _first(outcomes, lambda f: tried(f)[1][player] < own),
        enter=_first(outcomes, lambda _: True) if own is None else None,
        above=tuple(
            Pass(row.player, _first(outcomes, passes(row.player))) for row in reversed(ahead)
        ),
        worst=outcomes[0],
    )


def _outcomes(rules: MeritRules, to_come: Next, by_place: bool) -> range:
    """Every outcome that is tried, the worst first: totals upwards, places from the last one."""
    if not by_place:
        return range(MOST_TOTAL + 1)
    scale = scale_of(to_come.key, rules)
    last = len(scale.table) + 1 if scale else 1
    if to_come.key in rules.majors:
        last = max(last, len(rules.major_table) + 1)
    return range(max(last, to_come.field), 0, -1)


def _outcome(figure: int, rules: MeritRules, to_come: Next, by_place: bool) -> Earned:
    if by_place:
        return alone(to_come.key, rules, place=figure)
    return alone(to_come.key, rules, total=figure)


def _first(outcomes: range, enough: Callable[[int], bool]) -> int | None:
    """The worst outcome that is enough, by halving."""
    low, high = 0, len(outcomes)
    while low < high:
        middle = (low + high) // 2
        if enough(outcomes[middle]):
            high = middle
        else:
            low = middle + 1
    return outcomes[low] if low < len(outcomes) else None


def _missed(row: Row) -> Row:
    """A row as it is once the next fixture is over and earned it nothing."""
    return replace(row, cells=(*row.cells, None))


def _tried(row: Row, outcome: Earned, best: int | None, rules: MeritRules, facts: Facts) -> Row:
    found = [
        Earned(cell.points, cell.place, cell.extra) if cell else None for cell in row.cells[:-1]
    ]
    cells, total = cells_of([*found, outcome], best)
    short = max(0, least(row.player, rules, facts) - sum(cell is not None for cell in cells))
    return replace(row, cells=cells, total=total + row.start + row.given, short=short)
