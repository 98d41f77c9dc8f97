"""What the next score must be: by hand, and against every score tried one by one.

Rules of Handicapping 2024, Rules 5.2a, 5.8 and 5.9; points: Rules of Golf 2023, Rule 21.1b.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.rules.handicap import round_half_up, strokes_received
from scoring.rules.record.document import read_record
from scoring.rules.record.history import history, work_out
from scoring.rules.record.next import next_gross, next_score
from scoring.rules.record.values import (
    Adjustment,
    ByHole,
    Nine,
    Ratings,
    Ready,
    Score,
    Total,
)
from scoring.rules.values import Gross
from tests.scoring.rules.documents import INDEX, PAR
from tests.scoring.rules.records import days, record

WHITE = Ratings(course=Fraction("70.1"), slope=120, pcc=0)
PLAYED = date(2026, 6, 6)


def scores(*differentials: str) -> tuple[Score, ...]:
    return read_record(record(*days(*differentials)))


def tried(found: Sequence[Score | Nine], more: Score) -> Decimal | None:
    return history([*found, more])[-1].index


# by hand --------------------------------------------------------------------------------------


def test_twenty_scores_of_which_a_counting_one_goes() -> None:
    """Rule 5.2a: (seven of 10.0 and the new one) ÷ 8 rounded; from 10.4 on it is 10.1 or more.

    The worst leaves 19.0 as the eighth: 11.125, so 11.1; the low is 8.0, that of the third score,
    so the soft cap (Rule 5.8) makes 8.0 + 3.0 + 0.1 ÷ 2 = 11.05, so 11.1.
    """
    found = next_score(scores("10.0", *["19.0"] * 12, *["10.0"] * 7), on=PLAYED)
    assert found.now == Decimal("10.0")
    assert (found.lowers, found.lowered) == (Decimal("9.5"), Decimal("9.9"))
    assert (found.raises, found.raised) == (Decimal("10.4"), Decimal("10.1"))
    assert found.most == Decimal("11.1")
    assert found.between


def test_twenty_scores_of_which_none_that_counts_goes() -> None:
    """The oldest does not count: no score raises, and one better than the eighth lowers."""
    found = next_score(scores(*["16.0"] * 12, *["10.0"] * 8), on=PLAYED)
    assert (found.raises, found.raised, found.most) == (None, None, None)
    assert found.lowers == Decimal("9.5")
    assert found.between


def test_too_few_scores() -> None:
    none = next_score((), on=PLAYED)
    assert none.now is None
    assert not none.first
    two = next_score(scores("20.0", "21.0"), on=PLAYED)
    assert two.first
    assert two.lowers is None
    assert next_gross(scores("20.0"), on=PLAYED, ratings=WHITE, par=72) is None


def test_a_figure_that_no_score_leaves_as_it_is() -> None:
    """With the fourth score the table takes 1.0 off the lowest, no longer 2.0: now 10.0, at least
    11.0 after anything from 12.0 on, and 0.1 more for each tenth below it."""
    found = next_score(scores("12.0", "12.0", "12.0"), on=PLAYED)
    assert (found.now, found.lowers, found.raises) == (
        Decimal("10.0"),
        Decimal("10.9"),
        Decimal("11.1"),
    )
    assert found.between
    capped = next_score(scores("70.0", "70.0", "70.0", "70.0"), on=PLAYED)
    assert capped.now == Decimal("54.0")
    assert capped.raises is None


def test_the_day_is_after_the_last_change() -> None:
    found = scores("12.0", "13.0", "14.0")
    last = found[-1].played
    assert next_score(found, on=date(2020, 1, 1)).on == last + timedelta(days=1)
    moved = [Adjustment(date(2026, 12, 1), Decimal("-1.0"))]
    assert next_score(found, moved, on=PLAYED).on == date(2026, 12, 2)
    assert next_score((), on=PLAYED).on == PLAYED


def test_the_gross_of_a_tee() -> None:
    """113 ÷ 120 × (80 − 70.1) is 9.32, so 9.3; 81 is 10.26, so 10.3; 82 is 11.21, so 11.2.

    Off 10.0 the course handicap is 10.0 × 120 ÷ 113 + (70.1 − 72) = 8.72, so 9.
    """
    found = next_gross(
        scores("10.0", *["19.0"] * 12, *["10.0"] * 7), on=PLAYED, ratings=WHITE, par=72
    )
    assert found is not None
    assert (found.course, found.lowers, found.raises) == (9, 80, 82)
    assert (found.lowers_points, found.raises_points) == (72 + 9 + 36 - 80, 72 + 9 + 36 - 82)


def test_points_are_left_out_where_a_hole_may_count_less_than_net_double_bogey() -> None:
    """Rule 3.1b: a course handicap above 54 has holes that are held at par + 5."""
    hard = Ratings(course=Fraction("78.0"), slope=155, pcc=0)
    found = next_gross(scores(*["50.0"] * 5), on=PLAYED, ratings=hard, par=72)
    assert found is not None
    assert found.course > 54
    assert found.lowers is not None
    assert (found.lowers_points, found.raises_points) == (None, None)


def test_no_gross_where_no_score_does_it() -> None:
    found = next_gross(scores(*["16.0"] * 12, *["10.0"] * 8), on=PLAYED, ratings=WHITE, par=72)
    assert found is not None
    assert (found.raises, found.raises_points) == (None, None)


# against every score --------------------------------------------------------------------------


def some_scores(seed: int) -> list[Score]:
    chance = Random(seed)
    level = chance.randint(-30, 400)
    count = chance.choice([3, 4, 5, 6, 8, 12, 19, 20, 20, 21, 25])
    return [
        Ready(
            date(2025, 1, 1) + timedelta(days=chance.choice([3, 9, 15]) * at),
            Decimal(max(-90, level + chance.randint(-40, 60))).scaleb(-1),
        )
        for at in range(count)
    ]


@settings(max_examples=15)
@given(st.integers(0, 10**6))
def test_every_differential_on_either_side_of_an_edge_does_what_is_said(seed: int) -> None:
    found = some_scores(seed)
    said = next_score(found, on=PLAYED)
    now = work_out(found).index
    assert now is not None
    assert said.now == now
    for tenths in range(-150, 700, 3 if len(found) > 12 else 1):
        differential = Decimal(tenths).scaleb(-1)
        after = tried(found, Ready(said.on, differential))
        assert after is not None
        assert (after < now) == (said.lowers is not None and differential <= said.lowers)
        assert (after > now) == (said.raises is not None and differential >= said.raises)
        assert after <= (now if said.most is None else said.most)


@settings(max_examples=15)
@given(st.integers(0, 10**6), st.sampled_from([("70.1", 120), ("66.4", 99), ("75.9", 149)]))
def test_every_gross_of_a_tee_does_what_is_said(seed: int, rated: tuple[str, int]) -> None:
    found = some_scores(seed)
    ratings = Ratings(course=Fraction(rated[0]), slope=rated[1], pcc=0)
    said = next_gross(found, on=PLAYED, ratings=ratings, par=72)
    now = work_out(found).index
    assert said is not None
    assert now is not None
    on = next_score(found, on=PLAYED).on
    for gross in range(50, 160):
        after = tried(found, Total(on, gross, ratings))
        assert after is not None
        assert (after < now) == (said.lowers is not None and gross <= said.lowers)
        assert (after > now) == (said.raises is not None and gross >= said.raises)


@pytest.mark.parametrize("index", ["10.0", "-2.5", "28.4", "49.0"])
def test_points_and_adjusted_gross_go_together(index: str) -> None:
    """A card's Stableford points off the whole course handicap, counted hole by hole."""
    chance = Random(index)
    found: list[Score] = [Ready(date(2026, 1, 1), Decimal(index))] * 5
    said = next_gross(found, on=PLAYED, ratings=WHITE, par=sum(PAR))
    assert said is not None
    shots = strokes_received(said.course, INDEX)
    for _ in range(50):
        card = [par + given + chance.randint(-2, 5) for par, given in zip(PAR, shots, strict=True)]
        card = [max(1, strokes) for strokes in card]
        points = sum(
            max(0, 2 + par + given - strokes)
            for par, given, strokes in zip(PAR, shots, card, strict=True)
        )
        written = ByHole(
            date(2026, 5, 1), tuple(Gross(one) for one in card), tuple(PAR), tuple(INDEX), WHITE
        )
        gross = history([*found, written])[-1].adjusted_gross
        assert gross == sum(PAR) + said.course + 36 - points
    assert round_half_up(Fraction(said.course)) == said.course
