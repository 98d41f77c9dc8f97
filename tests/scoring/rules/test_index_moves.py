"""What no handicap record document holds: nines that wait for each other, and a committee's moves.

Sources: Rules of Handicapping, Rule 5.1b in the 2020 edition (two nines make one differential, one
that is older than the twentieth score is dropped), Rules 5.3, 5.4, 5.7 and 7.1a of 2024. All
figures are worked out by hand from these rules; no handbook prints them.
"""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from scoring.rules.record.document import read_nine, read_score
from scoring.rules.record.history import history, work_out
from scoring.rules.record.values import Adjustment, ByHole, Cap, Nine, Ratings, Ready, Total
from scoring.rules.strict_json import Refused
from tests.scoring.rules.documents import INDEX, PAR
from tests.scoring.rules.records import DAY

D = Decimal


def on(day: int) -> date:
    return DAY + timedelta(days=day)


def ready(*differentials: object, first: int = 0) -> list[Ready]:
    return [Ready(on(first + at), D(str(each))) for at, each in enumerate(differentials)]


def nine(day: int, gross: int, rating: str = "35.4", slope: int = 121, pcc: int = 0) -> Nine:
    return Nine(Total(on(day), gross, Ratings(Fraction(rating), slope, pcc)))


def committee(day: int, shots: str, *, anew: bool = False) -> Adjustment:
    return Adjustment(on(day), D(shots), resets_low=anew)


# Nines.


def test_two_nines_make_one_score_of_the_later_day():
    """44 - 35.4 = 8.6 x 113 / 121 = 8.0314; 46 - 36.1 = 9.9 x 113 / 118 = 9.4805; 17.512."""
    found = work_out([nine(9, 46, "36.1", 118), nine(2, 44)])
    (row,) = found.rows
    assert (row.played, row.differential, row.adjusted_gross) == (on(9), D("17.5"), 90)
    assert row.made_of == (1, 0)
    assert (found.waiting, found.lapsed) == (None, ())


def test_the_third_nine_waits_and_is_no_score():
    found = work_out([nine(1, 44), nine(2, 44), nine(3, 44), *ready(20, 21, first=5)])
    assert [row.made_of for row in found.rows] == [(0, 1), (3,), (4,)]
    assert found.waiting == 2
    assert found.index == D("14.1")  # 8.0314 twice is 16.0628, so 16.1; less 2.0


def test_half_of_the_days_conditions_go_with_each_nine():
    """8.6 less half of 1 is 8.1, x 113 / 121 = 7.5645; with 8.0314 that is 15.596."""
    (row,) = history([nine(1, 44, pcc=1), nine(2, 44)])
    assert row.differential == D("15.6")


def test_the_sum_is_rounded_once():
    """5.25 and 5.25, each a tenth of its own would make 10.6: 10.5."""
    level = [Nine(Total(on(day), 40, Ratings(Fraction("34.75"), 113, 0))) for day in (1, 2)]
    assert history(level)[0].differential == D("10.5")


def test_a_ready_nine_has_no_gross():
    (row,) = history([Nine(Ready(on(1), D("8.1"))), nine(2, 44)])
    assert (row.differential, row.adjusted_gross) == (D("16.1"), None)


def test_a_nine_by_hole_goes_by_the_index_of_its_own_day_and_half_of_it():
    """No index: par + 5. Index 18.0: 9 over nine holes of slope 113 and par, so par + 3 each."""
    par, index = tuple(PAR[:9]), tuple(INDEX[:9])
    flat = Ratings(Fraction(sum(par)), 113, 0)
    blown = [Nine(ByHole(on(day), (None,) * 9, par, index, flat)) for day in (0, 20)]
    (row,) = [
        each for each in history([*blown, *ready(20, 20, 20, first=5)]) if each.adjusted_gross
    ]
    assert row.adjusted_gross == 2 * sum(par) + 9 * 5 + 9 * 3


def test_two_nines_can_be_exceptional_together():
    """Index 18.0; two nines of 4.0 make 8.0, ten better: 8.0 - 2.0, four scores less 1.0."""
    nines = [Nine(Ready(on(day), D("4.0"))) for day in (10, 11)]
    row = history([*ready(20, 20, 20), *nines])[-1]
    assert (row.exceptional, row.index) == (D("-2.0"), D("5.0"))


def test_a_nine_is_dropped_when_it_is_older_than_the_twentieth_score():
    twenty = ready(*[20] * 20, first=1)
    found = work_out([nine(0, 44), *twenty])
    assert (found.waiting, found.lapsed, len(found.rows)) == (None, (0,), 20)
    found = work_out([nine(0, 44), *twenty, nine(30, 46), nine(31, 46)])
    assert (found.waiting, found.lapsed) == (None, (0,))
    assert found.rows[-1].made_of == (21, 22)
    assert work_out([nine(1, 44), *twenty]).waiting == 0


def test_a_nine_that_waits_works_no_index_out():
    """Rule 5.7: only an index that was worked out in the window can be the low."""
    level = ready(*[10] * 20)
    later = [Ready(on(200 + at), D(14)) for at in range(20)]
    year = [Ready(date(2026, 8, 30), D(14)), Ready(date(2026, 8, 31), D(14))]
    scores = [*level, *later, *year]
    plain = history(scores)
    waits = work_out([*scores, nine(500, 44)])
    assert waits.rows == plain
    assert on(500) not in dict(waits.figures)


# The committee.


def test_each_of_the_latest_twenty_moves_and_the_older_ones_stay():
    """Twenty-two level scores of 10.0, then -1.0: 9.0 the next day, and in every figure after."""
    found = work_out([*ready(*[10] * 22), *ready(10, first=40)], [committee(30, "-1.0")])
    (move,) = found.moves
    assert (move.first, move.rows, move.before, move.index) == (2, 22, D("10.0"), D("9.0"))
    # 19 of 9.0 and the new 10.0: eight of 9.0.
    assert (found.rows[-1].index, found.index) == (D("9.0"), D("9.0"))
    assert found.figures[-2] == (on(30), D("9.0"))


def test_it_holds_from_the_next_day_and_not_for_scores_of_the_day_itself():
    """Index 18.0. 11.0 is seven better on the day; after +1.0 (19.0) it is eight, 12.0 is seven."""
    before = ready(20, 20, 20)
    of_the_day, of_the_next = [
        work_out([*before, Ready(on(day), D("12.0"))], [committee(10, "1.0")]) for day in (10, 11)
    ]
    assert of_the_day.rows[-1].exceptional == D("0.0")
    assert of_the_next.rows[-1].exceptional == D("-1.0")
    # On the day: 12.0, less 1.0 for four scores, then the committee's 1.0 on top.
    assert (of_the_day.rows[-1].index, of_the_day.index) == (D("11.0"), D("12.0"))


def test_differentials_move_as_they_stand():
    """20, 20, 20 and 8.0 (10 better): 6.0 with the reduction, 5.0 moved; less 1.0 for four."""
    found = work_out(ready(20, 20, 20, 8), [committee(9, "-1.0")])
    assert (found.moves[0].reckoned.average, found.index) == (D("5.0"), D("4.0"))
    assert found.rows[-1].differential == D("8.0")


def test_two_moves_of_one_day_add_up_in_the_order_given():
    found = work_out(ready(20, 20, 20), [committee(9, "-1.0"), committee(9, "-2.5")])
    assert [(move.before, move.index) for move in found.moves] == [
        (D("18.0"), D("17.0")),
        (D("17.0"), D("14.5")),
    ]
    assert found.figures[-1] == (on(9), D("14.5"))


@pytest.mark.parametrize("scores", [0, 1, 2])
def test_without_an_index_the_differentials_move_all_the_same(scores):
    found = work_out(ready(*[20] * scores), [committee(9, "-2.0")])
    assert (found.index, found.moves[0].index, found.figures) == (None, None, ())
    more = [*ready(*[20] * scores), *ready(*[20] * (3 - scores), first=20)]
    lowest = 18 if scores else 20
    assert work_out(more, [committee(9, "-2.0")]).index == lowest - 2


@pytest.mark.parametrize("shots", ["0.9", "-0.9", "0"])
def test_less_than_a_shot_is_no_adjustment(shots):
    with pytest.raises(ValueError, match=r"1\.0 or more"):
        work_out([], [committee(1, shots)])


def test_never_above_54():
    assert work_out(ready(55, 55, 55), [committee(9, "5.0")]).index == D("54.0")


def test_a_rise_is_held_by_the_caps_unless_the_low_begins_anew():
    """Low 10.0. +4.0 makes an average of 14.0: 13.5 by the soft cap; with a new low 14.0.

    +7.0: 17.0, by the soft cap 15.0; with a new low 15.0 too, as high as a committee may go.
    """
    settled = [Ready(on(20 * at), D(10)) for at in range(30)]
    day = 20 * 30
    found = {
        (shots, anew): work_out(settled, [committee(day, shots, anew=anew)]).moves[0]
        for shots in ("4.0", "7.0", "8.0")
        for anew in (False, True)
    }
    assert {key: (move.index, move.cap) for key, move in found.items()} == {
        ("4.0", False): (D("13.5"), Cap.SOFT),
        ("4.0", True): (D("14.0"), Cap.NONE),
        ("7.0", False): (D("15.0"), Cap.SOFT),
        ("7.0", True): (D("15.0"), Cap.HARD),
        ("8.0", False): (D("15.0"), Cap.HARD),
        ("8.0", True): (D("15.0"), Cap.HARD),
    }
    assert {move.low for move in found.values()} == {D("10.0")}


def test_scores_after_it_are_held_against_the_low_that_began_anew():
    settled = [Ready(on(20 * at), D(10)) for at in range(30)]
    later = [Ready(on(601), D(14))]
    kept, anew = [
        work_out([*settled, *later], [committee(600, "4.0", anew=flag)]).rows[-1]
        for flag in (False, True)
    ]
    assert (kept.low, kept.index) == (D("10.0"), D("13.5"))
    assert (anew.low, anew.index) == (D("14.0"), D("14.0"))


def test_a_fall_can_be_the_low_at_once():
    settled = [Ready(on(20 * at), D(10)) for at in range(30)]
    row = work_out([*settled, Ready(on(700), D(10))], [committee(600, "-2.0")]).rows[-1]
    assert (row.low, row.index) == (D("8.0"), D("8.0"))


def test_the_low_begins_anew_after_a_rise_only():
    with pytest.raises(ValueError, match="after a rise only"):
        work_out(ready(20, 20, 20), [committee(9, "-1.0", anew=True)])


def test_a_move_before_every_score_moves_nothing():
    scores = ready(20, 20, 20, first=10)
    assert history(scores, [committee(1, "-3.0")]) == history(scores)


# Reading one score, and nine holes.


def test_one_score_and_nine_holes_are_read_by_the_keys_of_the_document():
    rated = {"course_rating": D("35.4"), "slope_rating": 121}
    played = {"played": "2026-03-14"}
    assert read_score({**played, "differential": D("21.4")}, "said") == Ready(
        date(2026, 3, 14), D("21.4")
    )
    nine_holes = {**played, **rated, "hole_scores": [None] * 9}
    nine_holes |= {"par": PAR[:9], "stroke_index": INDEX[:9]}
    found = read_nine(nine_holes, "said")
    assert isinstance(found.of, ByHole)
    assert (found.played, len(found.of.par)) == (date(2026, 3, 14), 9)
    assert isinstance(read_nine({**played, **rated, "adjusted_gross": 9}, "said").of, Total)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"hole_scores": PAR}, "said.hole_scores"),
        ({"par": PAR}, "said.par"),
        ({"stroke_index": [1] * 9}, "said.stroke_index"),
        ({"stroke_index": [*range(1, 9), 19]}, "said.stroke_index[8]"),
        ({"slope_rating": 54}, "said.slope_rating"),
        ({"adjusted_gross": 44}, "said"),
    ],
)
def test_nine_holes_are_refused_at_the_place(change, place):
    good = {
        "played": "2026-03-14",
        "hole_scores": PAR[:9],
        "par": PAR[:9],
        "stroke_index": INDEX[:9],
        "course_rating": D("35.4"),
        "slope_rating": 121,
    }
    read_nine(good, "said")
    with pytest.raises(Refused) as refused:
        read_nine(good | change, "said")
    assert refused.value.place == place
