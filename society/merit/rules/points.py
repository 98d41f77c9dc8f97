"""What each finish of one fixture earns.

Two members level in second place behind a winner, by the usual table (common practice, no
source): adding the points of the places and dividing gives 16.5 each.

>>> day = Event("e", tuple(
...     Finish(name, True, place, total)
...     for name, place, total in (("a", 1, 40), ("b", 2, 38), ("c", 3, 38), ("d", 4, 35))))
>>> [str(earned.points) for earned in earned_in(day, MeritRules()).values()]
['25', '33/2', '33/2', '12']
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from society.merit.rules.values import (
    Earned,
    Event,
    EventTies,
    Facts,
    Finish,
    Guests,
    Majors,
    MeritRules,
    NewMembers,
    PointsFrom,
    Unpaid,
)

_NO_FACTS = Facts()


@dataclass(frozen=True, slots=True)
class _Scale:
    """Points by place: `table` from the first place on, `beyond` for every later one."""

    table: tuple[int, ...]
    beyond: int = 0

    def worth(self, place: int) -> int:
        return self.table[place - 1] if place <= len(self.table) else self.beyond


def earned_in(event: Event, rules: MeritRules, facts: Facts = _NO_FACTS) -> dict[str, Earned]:
    """Points by player, best first; whoever is not in it earns nothing and did not play."""
    finishes = sorted(
        (finish for finish in event.finishes if _takes_part(finish, event, rules, facts)),
        key=lambda finish: (finish.place, finish.player),
    )
    scale = scale_of(event.key, rules)
    added = _Scale(rules.major_table) if _is(event, rules, Majors.ADDED) else None
    if scale is not None:
        earned = _by_place(finishes, rules, scale)
    elif event.stableford:
        earned = _totals(finishes)
    else:
        return {}
    top_up = _by_place(finishes, rules, added) if added else {}
    weight = rules.weight_of(event.key)
    by_player = {finish.player: finish for finish in finishes}
    return {
        player: _in_full(found, by_player[player], event, rules, weight, top_up)
        for player, found in earned.items()
    }


def scale_of(key: str, rules: MeritRules) -> _Scale | None:
    """The points by place of a competition; None where its Stableford total is the score."""
    if key in rules.majors and rules.major_way is Majors.OWN:
        return _Scale(rules.major_table)
    return _Scale(rules.table, rules.beyond) if rules.points is PointsFrom.PLACES else None


def alone(key: str, rules: MeritRules, *, place: int = 0, total: int | None = None) -> Earned:
    """What a place nobody shares, or a Stableford total, earns in a competition.

    Without a total no bonus for it is counted. With a total and no place it is no win.
    """
    scale = scale_of(key, rules)
    base = Fraction(scale.worth(place) if scale else total or 0)
    base *= rules.weight_of(key)
    if key in rules.majors and rules.major_way is Majors.ADDED and place:
        base += _Scale(rules.major_table).worth(place)
    extra = rules.turning_up
    if rules.bonus_from is not None and total is not None and total >= rules.bonus_from:
        extra += rules.bonus_points
    return Earned(base + extra, place, extra)


def _is(event: Event, rules: MeritRules, way: Majors) -> bool:
    return event.key in rules.majors and rules.major_way is way


def _takes_part(finish: Finish, event: Event, rules: MeritRules, facts: Facts) -> bool:
    """Whether a finish earns anything; those who do not are gone before places are given."""
    if rules.division and rules.division not in finish.divisions:
        return False
    if not finish.member:
        return rules.guests is Guests.UNRANKED
    person = facts.person(finish.player)
    if (
        rules.new_members in (NewMembers.FROM_JOINING, NewMembers.PRO_RATA)
        and person.joined_on is not None
        and event.day < person.joined_on
    ):
        return False
    if rules.unpaid is Unpaid.LEFT_OUT:
        return person.paid_on is not None
    if rules.unpaid is Unpaid.FROM_PAYMENT:
        return person.paid_on is not None and event.day >= person.paid_on
    return True


def _in_full(
    found: Earned,
    finish: Finish,
    event: Event,
    rules: MeritRules,
    weight: Fraction,
    top_up: Mapping[str, Earned],
) -> Earned:
    """The points with weight, what a major adds, turning up and bonuses."""
    points = found.points * weight
    if finish.player in top_up:
        points += top_up[finish.player].points
    extra = rules.turning_up + finish.pins * rules.bonus_pin + finish.drives * rules.bonus_drive
    if event.stableford and rules.bonus_from is not None and finish.total >= rules.bonus_from:
        extra += rules.bonus_points
    return Earned(points + extra, found.place, extra)


def _totals(finishes: Iterable[Finish]) -> dict[str, Earned]:
    earned = {}
    place = 1
    for _, group in groupby(finishes, key=_total):
        level = list(group)
        for finish in level:
            earned[finish.player] = Earned(Fraction(finish.total), place)
        place += len(level)
    return earned


def _by_place(finishes: Sequence[Finish], rules: MeritRules, scale: _Scale) -> dict[str, Earned]:
    by: Callable[[Finish], int] = _place if rules.event_ties is EventTies.COUNTBACK else _total
    earned = {}
    ahead = 0
    for number, (_, group) in enumerate(groupby(finishes, key=by), start=1):
        level = list(group)
        place = number if rules.event_ties is EventTies.NO_SKIP else ahead + 1
        points = Fraction(scale.worth(place))
        shares = rules.event_ties in (EventTies.DIVIDE, EventTies.COUNTBACK)
        if shares and not (rules.last_place_full and place == len(scale.table)):
            places = range(place, place + len(level))
            points = Fraction(sum(scale.worth(covered) for covered in places), len(level))
        for finish in level:
            earned[finish.player] = Earned(points, place)
        ahead += len(level)
    return earned


def _total(finish: Finish) -> int:
    return finish.total


def _place(finish: Finish) -> int:
    return finish.place
