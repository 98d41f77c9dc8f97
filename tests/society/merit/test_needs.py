"""What the next fixture must bring, held against the whole table worked out again."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from society.merit.rules.needs import MOST_TOTAL, Needs, Next, needs
from society.merit.rules.season import standings
from society.merit.rules.values import (
    Event,
    Facts,
    Finish,
    Guests,
    MeritRules,
    NewMembers,
    Person,
    PointsFrom,
    SeasonTie,
)

TOTALS = MeritRules(points=PointsFrom.TOTAL, season_ties=(SeasonTie.BEST_SCORES,))
NEXT = Next("next")


def season(**scores: list[int | None]) -> list[Event]:
    names = list(scores)
    return [
        Event(
            str(number),
            tuple(
                Finish(name, True, 1 + sum(o > s for o in day if o is not None), s)
                for name, s in zip(names, day, strict=True)
                if s is not None
            ),
        )
        for number, day in enumerate(zip(*scores.values(), strict=True))
    ]


def said(found: Needs | None) -> dict[str, int | None]:
    assert found is not None
    return {ahead.player: ahead.figure for ahead in found.above}


def test_the_sheet_of_a_member_in_fifth_place() -> None:
    # worked by hand: best six; my lowest of six is 28, my total 194
    # Hester has 196: 194 − 28 + x is level at 30; Humphrey 201: level at 35
    scores = season(
        me=[34, 34, 34, 32, 32, 28],
        hester=[33, 33, 33, 33, 32, 32],
        humphrey=[34, 34, 34, 33, 33, 33],
    )
    shared = needs(scores, replace(TOTALS, best=6, season_ties=()), "me", NEXT)
    assert shared is not None
    assert (shared.gain, shared.climb, shared.by_place) == (29, 30, False)  # joint second at 30
    assert said(shared) == {"hester": 31, "humphrey": 36}
    assert [ahead.player for ahead in shared.above] == ["hester", "humphrey"]
    # by the best score level is enough: 34 beats 33, and a 35 beats 34
    assert said(needs(scores, replace(TOTALS, best=6), "me", NEXT)) == {
        "hester": 30, "humphrey": 35,
    }  # fmt: skip


def test_a_level_total_is_enough_where_the_ties_fall_that_way() -> None:
    days = season(me=[40, 30], other=[36, 36])
    rules = replace(TOTALS, best=2)
    assert said(needs(days, rules, "me", NEXT)) == {"other": 32}  # 72 each, 40 beats 36
    shares = replace(rules, season_ties=())
    assert said(needs(days, shares, "me", NEXT)) == {"other": 33}  # sharing is not passing


def test_who_cannot_be_passed_at_the_next_fixture() -> None:
    days = season(me=[20, None], other=[40, 40])
    found = needs(days, TOTALS, "me", NEXT)
    assert said(found) == {"other": None}  # 61 would be needed
    assert found is not None
    assert (found.gain, found.climb) == (1, None)


def test_the_leader_needs_nothing_but_to_gain() -> None:
    found = needs(season(me=[40], other=[30]), replace(TOTALS, best=1), "me", NEXT)
    assert found == Needs(by_place=False, gain=41, climb=None, enter=None, above=(), worst=0)


def test_by_place_the_lowest_place_that_is_enough() -> None:
    # 25 18 15 12 10 8 6 4 2, then 1: I have 15, the others 25 and 18
    days = season(a=[40], b=[38], me=[36])
    rules = replace(MeritRules(), season_ties=())
    found = needs(days, rules, "me", Next("next", field=12))
    assert found is not None
    assert found.by_place
    assert said(found) == {"b": 8, "a": 4}  # eighth brings 4: 19; fourth brings 12: 27
    assert (found.gain, found.climb) == (12, 8)  # the last of twelve still brings 1
    best_one = replace(rules, best=1)
    assert said(needs(days, best_one, "me", Next("next"))) == {"b": 1, "a": None}


def test_weights_and_bonuses_are_in_it() -> None:
    days = season(me=[30], other=[50])
    double = replace(TOTALS, majors=("next",))
    assert said(needs(days, double, "me", NEXT)) == {"other": 11}  # 30 + 22
    top = replace(TOTALS, turning_up=Fraction(5), bonus_from=16, bonus_points=Fraction(5))
    # both have five for turning up; 35 + x + 5 passes 60 (its bonus included) from 16 on
    assert said(needs(days, top, "me", NEXT)) == {"other": 16}


def test_one_short_of_a_place_any_card_brings_one() -> None:
    days = season(me=[30], other=[20])
    days[0] = Event("0", days[0].finishes)
    rules = replace(TOTALS, minimum=2)
    two = [*days, Event("1", (Finish("other", True, 1, 20),))]
    found = needs(two, rules, "me", NEXT)
    assert found is not None
    assert found.enter == 0
    assert found.climb is None
    assert said(found) == {"other": 10}  # level on 40, and 30 beats 20
    assert needs(days, replace(rules, minimum=3), "me", NEXT) is None


def test_where_nothing_can_be_said() -> None:
    days = season(me=[30], other=[20])
    assert needs(days, TOTALS, "nobody", NEXT) is None
    assert needs(days, TOTALS, "me", Next("next", stableford=False)) is None
    assert needs(days, replace(TOTALS, left_out=("next",)), "me", NEXT) is None
    new = Facts(starts_on=date(2026, 1, 1), people={"me": Person(joined_on=date(2026, 2, 1))})
    assert needs(days, replace(TOTALS, new_members=NewMembers.UNRANKED), "me", NEXT, new) is None


@pytest.mark.parametrize("points", list(PointsFrom))
@given(
    days=st.lists(
        st.lists(st.one_of(st.none(), st.integers(10, 45)), min_size=4, max_size=4),
        min_size=1,
        max_size=5,
    ),
    best=st.integers(1, 4),
    ties=st.permutations([t for t in SeasonTie if t not in (SeasonTie.COMMITTEE, SeasonTie.LOTS)]),
)
def test_each_figure_is_enough_and_the_one_before_is_not(
    points: PointsFrom, days: list[list[int | None]], best: int, ties: list[SeasonTie]
) -> None:
    """The whole table with one more fixture in which I alone played says the same."""
    events = season(**{name: [day[at] for day in days] for at, name in enumerate("abcd")})
    if points is PointsFrom.TOTAL:  # the place that goes with a total is not known before
        ties = [tie for tie in ties if tie is not SeasonTie.BEST_PLACES]
    rules = MeritRules(points=points, best=best, season_ties=tuple(ties), guests=Guests.UNRANKED)
    if not any(finish.player == "a" for event in events for finish in event.finishes):
        return
    found = needs(events, rules, "a", Next("next", field=9))
    assert found is not None
    for ahead in found.above:
        if ahead.figure is None:
            assert not _passes(events, rules, ahead.player, 1 if found.by_place else MOST_TOTAL)
            continue
        assert _passes(events, rules, ahead.player, ahead.figure)
        worse = ahead.figure + 1 if found.by_place else ahead.figure - 1
        if 0 <= worse <= 10 or (not found.by_place and worse >= 0):
            assert not _passes(events, rules, ahead.player, worse)


def _passes(events: list[Event], rules: MeritRules, other: str, figure: int) -> bool:
    """Whether I pass another with this outcome, by the table itself.

    A place is made with as many guests ahead; a total with three, so that it is among no first.
    """
    by_place = rules.points is PointsFrom.PLACES
    ghosts = range(figure - 1) if by_place else range(3)
    finishes = [Finish(f"ghost{n}", False, n + 1, 200 - n) for n in ghosts]
    finishes.append(Finish("a", True, len(finishes) + 1, 100 if by_place else figure))
    rows = standings([*events, Event("next", tuple(finishes))], rules)
    places = {row.player: row.place or 0 for row in rows}
    return places["a"] < places[other]
