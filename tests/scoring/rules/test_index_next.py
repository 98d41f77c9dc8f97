"""What the next score must be: figures worked out by hand, and every score tried in turn.

Sources: Rules of Handicapping 2024, Rules 5.1a, 5.2a, 5.3, 5.8 and 5.9; handicap record document.
"""

import doctest
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from random import Random
from typing import Any

import pytest

from scoring.rules.record import next as next_module
from scoring.rules.record.history import work_out
from scoring.rules.record.next import index_after, most_strokes, next_score, strokes_on
from scoring.rules.record.values import Adjustment, Nine, Ratings, Ready, Total
from scoring.rules.recount_index import recount_record
from tests.scoring.rules.records import DAY, Record, kept_values, some_kept_record

D = Decimal
LATER = DAY + timedelta(days=200)


def ready(*differentials: object) -> list[Ready]:
    return [Ready(DAY + timedelta(days=at), D(str(each))) for at, each in enumerate(differentials)]


def test_the_worked_examples_in_the_module():
    found = doctest.testmod(next_module)
    assert (found.failed, found.attempted > 0) == (0, True)


@pytest.mark.parametrize(("scores", "missing"), [(0, 3), (1, 2)])
def test_with_too_few_scores_the_next_one_makes_no_figure(scores, missing):
    found = next_score(ready(*[20] * scores), (), LATER)
    assert (found.now, found.missing, found.lowest, found.highest) == (None, missing, None, None)
    assert found.turns == next_module.Turns(None, None, ())


def test_the_third_score_makes_the_first_figure_and_no_more_than_the_best_allows():
    """Of 20.0 and 24.0 and a third the lowest less 2.0: at most 18.0."""
    found = next_score(ready(20, 24), (), LATER)
    assert (found.now, found.missing) == (None, 1)
    assert (found.lowest, found.highest) == (D("-52.0"), D("18.0"))
    assert found.turns.lowers is None


def test_three_scores_of_20_0():
    """18.0. A fourth: the lowest less 1.0. 18.9 makes 17.9; 19.0 still 18.0; 19.1 makes 18.1.

    11.0 is 7.0 better and 8.0 is 10.0 better. At most it rises to 19.0.
    """
    found = next_score(ready(20, 20, 20), (), LATER)
    assert (found.now, found.highest) == (D("18.0"), D("19.0"))
    assert (found.turns.lowers, found.turns.raises) == (D("18.9"), D("19.1"))
    assert found.turns.exceptional == ((D("11.0"), D("-1.0")), (D("8.0"), D("-2.0")))


def test_a_score_that_counted_goes_out_of_the_twenty():
    """A 15.0 and nineteen of 20.0: 19.4. The 15.0 goes out.

    (7 x 20 + d) / 8 is below 19.35 up to 14.7, and 19.45 or more from 15.6; at most 20.0.
    """
    monthly = [Ready(DAY + timedelta(days=30 * at), D(20 if at else 15)) for at in range(20)]
    found = next_score(monthly, (), DAY + timedelta(days=600))
    assert (found.now, found.highest) == (D("19.4"), D("20.0"))
    assert (found.turns.lowers, found.turns.raises) == (D("14.7"), D("15.6"))


def test_any_next_score_can_lower_a_figure_when_the_first_low_comes_to_count():
    """The same on successive days: the low is 13.0, of three scores, and caps from score 21 on.

    20.0 is 7.0 above it, so 18.0 by the soft cap, whatever the score.
    """
    found = next_score(ready(15, *[20] * 19), (), LATER)
    assert (found.now, found.highest) == (D("19.4"), D("18.0"))
    assert (found.turns.lowers, found.turns.raises) == (D("200.0"), None)


def test_a_cap_holds_it_whatever_the_next_score_is():
    """Low 10.0 and the hard cap: 15.0, and it cannot rise."""
    settled = [Ready(DAY + timedelta(days=20 * at), D(10)) for at in range(30)]
    later = [Ready(DAY + timedelta(days=600), D(30))] * 20
    found = next_score([*settled, *later], (), DAY + timedelta(days=601))
    assert (found.now, found.highest, found.turns.raises) == (D("15.0"), D("15.0"), None)


def test_54_0_is_the_end():
    found = next_score(ready(60, 60, 60), (), LATER)
    assert (found.now, found.highest, found.turns.raises) == (D("54.0"), D("54.0"), None)
    assert found.turns.lowers == D("54.9")


def test_what_is_later_than_the_day_is_left_out():
    scores = ready(20, 20, 20)
    later = [Ready(LATER + timedelta(days=1), D(5)), Nine(Ready(LATER + timedelta(days=2), D(2)))]
    moves = [Adjustment(LATER + timedelta(days=1), D(-2))]
    assert next_score([*scores, *later], moves, LATER) == next_score(scores, (), LATER)


def test_what_a_committee_moves_that_day_comes_after_the_score():
    scores, moves = ready(20, 20, 20), [Adjustment(LATER, D("1.0"))]
    assert index_after(scores, moves, LATER, D("18.0")) == D("18.0")
    assert index_after(scores, moves, LATER + timedelta(days=1), D("18.0")) == D("17.0")


TEE = Ratings(Fraction("70.1"), 120, 0)


def test_strokes_on_a_tee():
    """18.0: 18.9 or better at 70.1 / 120. 90 makes 19.9 x 113 / 120 = 18.739, so 18.7; 91 19.7.

    7.0 better is 11.0: 81 makes 10.264, 82 makes 11.206. 10.0 better: 78 makes 7.439.
    """
    scores = ready(20, 20, 20)
    found = strokes_on(scores, (), LATER, TEE)
    assert (found.lowers, found.raises) == (90, 91)
    assert found.exceptional == ((81, D("-1.0")), (78, D("-2.0")))
    assert most_strokes(D("18.9"), TEE) == 90


def test_strokes_go_by_the_unrounded_differential():
    """Index 15.7: 92 at 81.5 / 136 is 8.7243, rounded 8.7, and no exceptional score: 91 is."""
    found = strokes_on(ready(*["17.7"] * 3), (), LATER, Ratings(Fraction("81.5"), 136, 0))
    assert found.exceptional[0] == (91, D("-1.0"))
    assert most_strokes(D("8.7"), Ratings(Fraction("81.5"), 136, 0)) == 92


def test_no_score_at_all_may_be_that_low():
    assert most_strokes(D("-50.0"), TEE) is None  # 18 at 70.1 / 120 is -49.06
    assert most_strokes(D("-49.1"), TEE) == 18


def around(figure: Decimal) -> range:
    """The differentials within fifteen strokes of a figure, in tenths."""
    middle = int(figure * 10)
    return range(max(-500, middle - 150), min(2000, middle + 150) + 1)


@pytest.mark.parametrize("seed", range(24))
def test_every_next_score_tried_in_turn_says_the_same(seed):
    """With nines and moves too, and on the day of the last score as well as on a later one."""
    scores, moves = kept_values(some_kept_record(Random(seed), most=30))
    last = max([score.played for score in scores] + [move.on for move in moves], default=DAY)
    for on in (last, last + timedelta(days=40)):
        found = next_score(scores, moves, on)
        assert found.now == work_out(scores, moves).index
        if found.now is None:
            continue
        tried = {}
        for tenths in around(found.now):
            more = Ready(on, D(tenths).scaleb(-1))
            tried[more.differential] = work_out([*scores, more], moves).index
        figures = list(tried.values())
        assert figures == sorted(figures)
        assert found.lowest <= figures[0]
        assert figures[-1] <= found.highest
        lower = [each for each, figure in tried.items() if figure < found.now]
        higher = [each for each, figure in tried.items() if figure > found.now]
        if lower:
            assert found.turns.lowers == max(lower)
        if higher:
            assert found.turns.raises == min(higher)


def second_reading(kept: Record, on: date, differential: Decimal) -> Decimal:
    """The figure when the day is over with one more score on it, by the recount."""
    more: dict[str, Any] = {"played": str(on), "differential": differential}
    again = recount_record({**kept, "scores": [*kept["scores"], more]})
    return D(again["figures"][str(on)])


def test_the_second_reading_agrees_on_both_sides_of_each_turn():
    turned = 0
    for seed in range(120):
        kept = some_kept_record(Random(seed), most=30)
        scores, moves = kept_values(kept)
        last = max([score.played for score in scores] + [move.on for move in moves], default=DAY)
        on = last + timedelta(days=3)
        found = next_score(scores, moves, on)
        if found.now is None:
            continue
        for turn, step in ((found.turns.lowers, D("0.1")), (found.turns.raises, D("-0.1"))):
            if turn in (None, D("200.0"), D("-50.0")):  # nothing is beyond the limits
                continue
            on_it, beside = [second_reading(kept, on, each) for each in (turn, turn + step)]
            if step > 0:
                assert on_it < found.now <= beside, seed
            else:
                assert beside <= found.now < on_it, seed
            turned += 1
    assert turned > 60


def test_strokes_tried_in_turn_say_the_same():
    for seed in range(12):
        scores, moves = kept_values(some_kept_record(Random(seed), most=30))
        on = date(2035, 1, 1)
        now = work_out(scores, moves).index
        if now is None:
            continue
        found = strokes_on(scores, moves, on, TEE)
        tried = {
            strokes: work_out([*scores, Total(on, strokes, TEE)], moves).index
            for strokes in range(18, 260)
        }
        lower = [strokes for strokes, figure in tried.items() if figure < now]
        higher = [strokes for strokes, figure in tried.items() if figure > now]
        assert found.lowers == max(lower, default=None)
        assert found.raises == min(higher, default=None)
