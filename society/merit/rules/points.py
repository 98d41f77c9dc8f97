"""What each finish of one fixture earns.

Two members level in second place behind a winner, by the usual table (common practice, no
source): adding the points of the places and dividing gives 16.5 each.

>>> day = Event("e", tuple(
...     Finish(name, True, place, total)
...     for name, place, total in (("a", 1, 40), ("b", 2, 38), ("c", 3, 38), ("d", 4, 35))))
>>> [str(earned.points) for earned in earned_in(day, MeritRules()).values()]
['25', '33/2', '33/2', '12']
"""

from collections.abc import Callable, Iterable
from fractions import Fraction
from itertools import groupby

from society.merit.rules.values import (
    Earned,
    Event,
    EventTies,
    Finish,
    Guests,
    MeritRules,
    PointsFrom,
)


def earned_in(event: Event, rules: MeritRules) -> dict[str, Earned]:
    """Points by player, best first; whoever is not in it earns nothing and did not play."""
    finishes = sorted(event.finishes, key=lambda finish: (finish.place, finish.player))
    if rules.guests is Guests.REMOVED:
        finishes = [finish for finish in finishes if finish.member]
    if rules.points is PointsFrom.TOTAL:
        return _totals(finishes) if event.stableford else {}
    return _by_place(finishes, rules)


def _totals(finishes: Iterable[Finish]) -> dict[str, Earned]:
    earned = {}
    place = 1
    for _, group in groupby(finishes, key=_total):
        level = list(group)
        for finish in level:
            earned[finish.player] = Earned(Fraction(finish.total), place)
        place += len(level)
    return earned


def _by_place(finishes: Iterable[Finish], rules: MeritRules) -> dict[str, Earned]:
    by: Callable[[Finish], int] = _place if rules.event_ties is EventTies.COUNTBACK else _total
    earned = {}
    ahead = 0
    for number, (_, group) in enumerate(groupby(finishes, key=by), start=1):
        level = list(group)
        place = number if rules.event_ties is EventTies.NO_SKIP else ahead + 1
        points = _worth(rules, place)
        if rules.event_ties in (EventTies.DIVIDE, EventTies.COUNTBACK):
            places = range(place, place + len(level))
            points = Fraction(sum(_worth(rules, covered) for covered in places), len(level))
        for finish in level:
            earned[finish.player] = Earned(Fraction(points), place)
        ahead += len(level)
    return earned


def _worth(rules: MeritRules, place: int) -> int | Fraction:
    return rules.table[place - 1] if place <= len(rules.table) else rules.beyond


def _total(finish: Finish) -> int:
    return finish.total


def _place(finish: Finish) -> int:
    return finish.place
