"""The history of a handicap, step by step, with figures worked out by hand.

Source of every rule: handicap record document, section 2, which follows Rules of Handicapping 2024
(Rules 3.1, 5.1 to 5.4, 5.7 to 5.9). The published examples are in `tests/cases/index.json`.
"""

import doctest
import importlib
import json
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from scoring.rules import parameters
from scoring.rules.parameters import EDITION, in_force
from scoring.rules.record.cli import main
from scoring.rules.record.differentials import nine_hole_differential, still_waiting
from scoring.rules.record.index import committee_adjustment, highest_by_committee
from scoring.rules.record.values import Ratings
from scoring.rules.strict_json import read_json, write_document
from tests.scoring.rules.documents import INDEX, PAR
from tests.scoring.rules.records import DAY, by_hole, days, gross, last, ready, record, worked

KEYS = [
    "played",
    "adjusted_gross",
    "differential",
    "exceptional",
    "index",
    "counted",
    "average",
    "adjustment",
    "low_index",
    "cap",
]
D = Decimal


@pytest.mark.parametrize(
    "name",
    ["values", "document", "differentials", "index", "history", "answer", "cli"],
)
def test_the_worked_examples_in_the_modules(name):
    module = importlib.import_module(f"scoring.rules.record.{name}")
    found = doctest.testmod(module)
    assert (found.failed, found.attempted > 0) == (0, True)


def test_the_worked_examples_in_the_second_reading():
    found = doctest.testmod(importlib.import_module("scoring.rules.recount_index"))
    assert (found.failed, found.attempted > 0) == (0, True)


def test_the_example_of_the_document():
    """95 at 70.1/120: 24.9 x 113 / 120 = 23.4475, so 23.4; keys in order, no others."""
    out, wrong, status = main(
        write_document(record(gross(95, on="2026-03-07", pcc=0))).encode(), "json"
    )
    assert (wrong, status) == ("", 0)
    assert json.loads(out) == {
        "document": "handicap-history",
        "version": 1,
        "rules": "2024",
        "history": [
            {
                "played": "2026-03-07",
                "adjusted_gross": 95,
                "differential": "23.4",
                "exceptional": "0.0",
                "index": None,
                "counted": [],
                "average": None,
                "adjustment": None,
                "low_index": None,
                "cap": "none",
            }
        ],
    }
    assert list(json.loads(out)) == ["document", "version", "rules", "history"]
    assert list(json.loads(out)["history"][0]) == KEYS
    assert read_json(out) == json.loads(out)


def test_an_empty_record_has_an_empty_history():
    assert worked(record()) == []


def test_scores_are_taken_in_order_of_the_day_and_those_of_one_day_as_they_stand():
    rows = worked(
        record(
            ready("12.0", on="2026-03-02"),
            ready("11.0", on="2026-03-01"),
            ready("13.0", on="2026-03-02"),
            ready("10.0", on="2026-03-01"),
        )
    )
    assert [row["differential"] for row in rows] == ["11.0", "10.0", "12.0", "13.0"]


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"pcc": -1}, "24.4"),  # 25.9 x 113 / 120 = 24.389
        ({"pcc": 3}, "20.6"),  # 21.9 x 113 / 120 = 20.6225
        ({"course_rating": 95, "slope_rating": 155}, "0.0"),
        ({"course_rating": D("95.5"), "slope_rating": 113}, "-0.5"),
        # 0.35 and -0.35 cannot come up at Slope 113; 0.1 x 113 / 113 stays a tenth.
        ({"course_rating": D("94.9"), "slope_rating": 113}, "0.1"),
        # -0.1 x 113 / 155 = -0.073 rounds to -0.1; 0.1 the other way to 0.1.
        ({"course_rating": D("95.1"), "slope_rating": 155}, "-0.1"),
        # 5 x 113 / 100 = 5.65 goes up, -5.65 goes up too.
        ({"course_rating": 90, "slope_rating": 100}, "5.7"),
        ({"course_rating": 100, "slope_rating": 100}, "-5.6"),
    ],
)
def test_a_differential_is_rounded_once_a_half_upwards(more, expected):
    assert last(gross(95, **more))["differential"] == expected


def test_a_ready_differential_has_no_gross_and_minus_nought_is_nought():
    row = last(ready(D("-0.0")))
    assert (row["adjusted_gross"], row["differential"]) == (None, "0.0")
    assert last(ready(-50))["differential"] == "-50.0"
    assert last(ready(200))["differential"] == "200.0"


# Net double bogey.


def card_after(index: str | None, scores: list, **more) -> int:
    """The adjusted gross of a card by a player with this index, on ratings that leave it alone."""
    before = [] if index is None else days(*[D(index) + 2] * 3)
    flat = {"course_rating": sum(PAR), "slope_rating": 113, **more}
    return last(*before, by_hole(scores, on="2025-06-01", **flat))["adjusted_gross"]


@pytest.mark.parametrize(
    ("index", "over"),
    [
        (None, 5 * 18),  # par + 5 on every hole
        ("0.0", 2 * 18),
        ("9.0", 2 * 18 + 9),
        ("9.4", 2 * 18 + 9),  # the rounded Course Handicap
        ("9.5", 2 * 18 + 10),
        ("36.0", 4 * 18),
        ("52.0", 5 * 18 - 2),  # three strokes on 16 holes, two on 2
        ("54.0", 5 * 18),
        ("-2.0", 2 * 18 - 2),  # gives two back
        ("-2.5", 2 * 18 - 2),  # -2.5 rounds upwards
    ],
)
def test_every_hole_counts_its_maximum_at_most(index, over):
    for untaken in (None, "-", 99):
        assert card_after(index, [untaken] * 18) == sum(PAR) + over


def test_a_fourth_stroke_does_not_lift_the_maximum_over_par_and_five():
    """Index 54 at Slope 155 is a Course Handicap of 74: four strokes on two holes."""
    assert card_after("54.0", [None] * 18, slope_rating=155) == sum(PAR) + 5 * 18


def test_scores_below_the_maximum_stand():
    scores = list(PAR)
    scores[INDEX.index(1)] += 3  # one stroke there off 1: par + 3 is the maximum
    scores[INDEX.index(2)] += 3  # none: par + 2
    assert card_after("1.0", scores) == sum(PAR) + 3 + 2


def test_the_strokes_fall_by_the_ratings_and_par_of_the_round():
    """Index 10.0 at 120 with 70.1 and par 72: 10.62 - 1.9 = 8.72, so 9."""
    assert sum(PAR) == 72
    scores = card_after("10.0", [None] * 18, slope_rating=120, course_rating=D("70.1"))
    assert scores == 72 + 36 + 9


def test_the_index_in_force_is_that_of_an_earlier_day():
    """The third and the fourth score are of one day: there is no index on it yet."""
    first = days(20, 20)
    rows = worked(
        record(
            *first,
            ready(20, on="2025-02-01"),
            by_hole([None] * 18, on="2025-02-01", course_rating=72, slope_rating=113),
            by_hole([None] * 18, on="2025-02-02", course_rating=72, slope_rating=113),
        )
    )
    assert rows[2]["index"] == "18.0"
    assert rows[3]["adjusted_gross"] == 72 + 90
    # In force next day: the index of the day's last row, four scores: 20.0 less 1.0.
    assert rows[3]["index"] == "19.0"
    assert rows[4]["adjusted_gross"] == 72 + 36 + 19


# Exceptional scores.


@pytest.mark.parametrize(
    ("better", "reduction"),
    [("6.9", "0.0"), ("7.0", "-1.0"), ("9.9", "-1.0"), ("10.0", "-2.0"), ("30.0", "-2.0")],
)
def test_an_exceptional_score_takes_off_one_or_two(better, reduction):
    before = days(*[20] * 3)  # index 18.0
    row = last(*before, ready(D("18.0") - D(better), on="2025-02-01"))
    assert row["exceptional"] == reduction
    assert D(row["average"]) == D("18.0") - D(better) + D(reduction)
    # As first made: the reduction is not in it.
    assert row["differential"] == str(D("18.0") - D(better))


def test_the_test_is_on_the_unrounded_differential():
    """Index 15.7 and two scores of 8.7, one below it before rounding and one above.

    95 - 84.3 = 10.7 at Slope 139: 10.7 x 113 / 139 = 8.6986, rounded 8.7: 7.0014 better, -1.0.
    92 - 81.5 = 10.5 at Slope 136: 10.5 x 113 / 136 = 8.7243, rounded 8.7: 6.9757 better, none.
    """
    before = days(*[D("17.7")] * 3)  # index 15.7
    more = {"on": "2025-02-01"}
    row = last(*before, gross(95, course_rating=D("84.3"), slope_rating=139, **more))
    assert (row["differential"], row["exceptional"]) == ("8.7", "-1.0")
    row = last(*before, gross(92, course_rating=D("81.5"), slope_rating=136, **more))
    assert (row["differential"], row["exceptional"]) == ("8.7", "0.0")


def test_without_an_index_in_force_no_score_is_exceptional():
    rows = worked(record(*days(40, 40), ready(40, on="2025-02-01"), ready(2, on="2025-02-01")))
    assert [row["exceptional"] for row in rows] == ["0.0"] * 4


def test_a_reduction_is_for_good_and_for_the_latest_twenty_only():
    """25 level scores, then one 7 better: it and the 19 before it are down by 1, later ones not."""
    rows = worked(record(*days(*[D("20.0")] * 25, D("13.0"), *[D("25.0")] * 19)))
    assert rows[25]["exceptional"] == "-1.0"
    # (12.0 + 7 x 19.0) / 8 = 18.125
    assert rows[25]["average"] == "18.1"
    # Nineteen worse ones later only the exceptional one is left of the twenty, still down by 1.
    # (12.0 + 7 x 25.0) / 8 = 23.375
    assert rows[44]["average"] == "23.4"
    assert 25 in rows[44]["counted"]


def test_reductions_add_up():
    """18.0, then 8.0 (10 better): 8.0 - 2 - 1 = 5.0 for four; then -5.0 (10 better) - 2 = -7.0."""
    rows = worked(record(*days(20, 20, 20, 8, -5, 0)))
    assert [row["exceptional"] for row in rows[3:]] == ["-2.0", "-2.0", "0.0"]
    assert [row["index"] for row in rows[3:5]] == ["5.0", "-7.0"]
    # Lowest two of six: -5.0 - 2.0 and 0.0 (8.0 - 2.0 - 2.0 is 4.0): -3.5, less 1.0.
    assert (rows[5]["counted"], rows[5]["index"]) == ([4, 5], "-4.5")


def test_two_exceptional_scores_of_one_day_are_judged_by_the_same_index():
    rows = worked(record(*days(20, 20, 20), *[ready(10, on="2025-02-01")] * 2))
    assert [row["exceptional"] for row in rows[3:]] == ["-1.0", "-1.0"]  # 18.0 both times
    assert rows[4]["index"] == "8.0"  # of 10 - 2 and 10 - 1 the lowest


# The table.


def test_of_equal_ones_the_later_counts_and_positions_rise():
    assert last(*days(*[20] * 4))["counted"] == [3]
    assert last(*days(20, 19, 20, 19, 25, 19))["counted"] == [3, 5]
    assert last(*days(*[20] * 25))["counted"] == list(range(17, 25))
    assert last(*days(*[20] * 4, *[30] * 16))["counted"] == [0, 1, 2, 3, 16, 17, 18, 19]


def test_a_score_of_the_past_leaves_the_latest_twenty():
    rows = worked(record(*days(1, *[20] * 20)))
    assert 0 in rows[19]["counted"]
    assert rows[20]["counted"] == list(range(13, 21))


def test_fewer_than_three_scores_make_no_index_and_one_day_can_bring_three():
    rows = worked(record(*[ready(20)] * 3))
    assert [row["index"] for row in rows] == [None, None, "18.0"]
    assert [row["adjustment"] for row in rows] == [None, None, "-2.0"]


def test_twenty_scores_have_an_adjustment_of_nought():
    assert last(*days(*[20] * 20))["adjustment"] == "0.0"


def test_an_average_goes_up_at_a_half():
    assert last(*days(*[D("10.1")] * 6, D("10.0")))["average"] == "10.1"  # 10.05
    assert last(*days(*[D("-10.1")] * 6, D("-10.0")))["average"] == "-10.1"
    assert last(*days(*[-9] * 5, -10, D("-10.1")))["average"] == "-10.0"  # -10.05


# Low Index.


def year(step: int = 1) -> list[dict]:
    """Twenty scores of 10.0 on successive days: index 8.0 after three, 10.0 after five."""
    return days(*[10] * 20, step=step)


def test_there_is_a_low_index_from_the_day_after_the_twentieth_score():
    rows = worked(record(*year(), *[ready(10, on="2025-01-21")] * 2))
    assert [row["low_index"] for row in rows[:20]] == [None] * 20
    assert [row["low_index"] for row in rows[20:]] == ["8.0", "8.0"]
    assert {row["cap"] for row in rows} == {"none"}


def test_scores_of_one_day_have_no_low_index_before_that_day_is_over():
    rows = worked(record(*year()[:19], *[ready(10, on="2025-02-01")] * 3))
    assert [row["low_index"] for row in rows[18:]] == [None] * 4
    rows = worked(
        record(*year()[:19], *[ready(10, on="2025-02-01")] * 3, ready(10, on="2025-02-02"))
    )
    assert rows[-1]["low_index"] == "8.0"


def test_only_the_last_index_of_a_day_was_ever_in_force():
    """The 8.0 after three scores of one day is gone by the evening: five make 10.0."""
    rows = worked(record(*[ready(10)] * 5, *year()[5:], ready(10, on="2025-02-01")))
    assert (rows[2]["index"], rows[4]["index"]) == ("8.0", "10.0")
    assert rows[-1]["low_index"] == "9.0"  # six scores on the next day but four: less 1.0


@pytest.mark.parametrize(
    ("days_after", "low"),
    [(365, "8.0"), (366, "9.0"), (368, "9.0"), (369, "10.0")],
)
def test_the_window_is_365_days_before_the_last_score_of_an_earlier_day(days_after, low):
    """8.0 came with the third score, 9.0 with the fourth and sixth, on days 2, 3 and 5."""
    start = DAY + timedelta(days=2)
    scores = [*year(), ready(10, on=start + timedelta(days=days_after))]
    rows = worked(record(*scores, ready(10, on="2027-12-31")))
    assert rows[-2]["low_index"] == "8.0"  # the window still ends with the twentieth score
    assert rows[-1]["low_index"] == low


def test_the_low_index_counts_from_the_last_score_however_long_ago_that_was():
    """Interpretation 5.7/1: the low can be much older than a year when the next score comes."""
    rows = worked(record(*year(), ready(10, on="2035-01-01"), ready(10, on="2035-01-02")))
    assert [row["low_index"] for row in rows[20:]] == ["8.0", "10.0"]


# Caps.


def risen(average: str, low: str) -> dict:
    """A record of level scores whose low is known, then twenty level scores of one later day."""
    settled = days(*[D(low)] * 30, step=20)  # 8.0, 9.0 under it are more than a year gone
    later = [ready(D(average), on="2026-08-30")] * 20
    return last(*settled, *later)


@pytest.mark.parametrize(
    ("average", "low", "index", "cap"),
    [
        ("13.0", "10.0", "13.0", "none"),
        ("13.1", "10.0", "13.1", "soft"),  # 13.05 goes up: held back by less than a rounding
        ("13.2", "10.0", "13.1", "soft"),
        ("16.9", "10.0", "15.0", "soft"),  # 14.95
        ("17.0", "10.0", "15.0", "soft"),  # exactly 15.0 is not above it
        ("17.1", "10.0", "15.0", "hard"),
        ("30.0", "10.0", "15.0", "hard"),
        ("9.0", "10.0", "9.0", "none"),
        ("2.4", "-1.0", "2.2", "soft"),
        ("0.1", "-6.0", "-1.4", "soft"),  # -3 + 3.1 / 2 = -1.45 goes up
        ("0.0", "-6.1", "-1.5", "soft"),  # -3.1 + 1.55 = -1.55 goes up
        ("60.0", "52.0", "54.0", "hard"),  # 57.0, and at most 54.0
        ("56.0", "52.0", "54.0", "soft"),  # 55.5, and at most 54.0
        ("54.9", "52.0", "54.0", "none"),
    ],
)
def test_caps(average, low, index, cap):
    row = risen(average, low)
    assert (row["average"], row["low_index"]) == (average, low)
    assert (row["index"], row["cap"]) == (index, cap)
    assert row["adjustment"] == "0.0"


def test_a_low_index_is_shown_where_it_caps_nothing():
    row = last(*year(), ready(10, on="2025-03-01"))
    assert (row["low_index"], row["cap"], row["index"]) == ("8.0", "none", "10.0")


# The table for people.


def as_text(*scores: dict) -> list[str]:
    out, wrong, status = main(write_document(record(*scores)).encode(), "text")
    assert (wrong, status) == ("", 0)
    assert out.endswith("\n")
    return out.splitlines()


def test_text_of_an_empty_record():
    assert as_text()[-1] == "No scores."


def test_text_says_that_it_is_no_official_index():
    assert "official index" in as_text(*days(20))[1]


def test_text_of_a_young_record():
    lines = as_text(gross(95, on="2026-03-07"))
    assert lines[0] == "Handicap record (rules 2024)"
    assert lines[3].split() == [
        "No.",
        "Played",
        "Gross",
        "Differential",
        "Exceptional",
        "Average",
        "Adjustment",
        "Low",
        "Cap",
        "Index",
        "Counted",
    ]
    assert lines[4].split() == ["1", "2026-03-07", "95", "23.4", *"-------"]
    assert lines[-1] == "No index yet: there are too few scores."


def test_text_shows_what_counts_from_one_and_what_was_capped():
    lines = as_text(*days(20, 20, 20, 8))
    assert lines[7].split() == (
        ["4", "2025-01-04", "-", "8.0", "-2.0", "6.0", "-1.0", "-", "-", "5.0", "4"]
    )
    assert lines[-1] == "Index 5.0, made by score 4."
    # (7 x 10.0 + 25.0) / 8 = 11.875; 3.9 above the low: 8.0 + 3.0 + 0.45, so 11.5.
    lines = as_text(*year(), *[ready(25, on="2025-03-01")] * 13)
    assert lines[36].split()[:10] == (
        ["33", "2025-03-01", "-", "25.0", "-", "11.9", "0.0", "8.0", "soft", "11.5"]
    )
    assert lines[-1] == "Index 11.5, made by scores 14, 15, 16, 17, 18, 19, 20, 33."


# The figures, and what no document asks for.


def test_figures_are_dated_and_say_where_they_stand():
    for name in (
        "MOST_OVER_PAR_ON_A_HOLE",
        "PART_OF_PCC_FOR_NINE_HOLES",
        "LATEST_SCORES",
        "INDEX_TABLE",
        "HIGHEST_INDEX",
        "DAYS_OF_THE_LOW_INDEX",
        "SOFT_CAP_ABOVE_LOW",
        "PART_OF_RISE_UNDER_SOFT_CAP",
        "HARD_CAP_ABOVE_LOW",
        "EXCEPTIONAL_REDUCTIONS",
        "SMALLEST_COMMITTEE_ADJUSTMENT",
        "COMMITTEE_RISE_ABOVE_LOW",
    ):
        figure = in_force(getattr(parameters, name), EDITION.effective)
        assert figure.effective == date(2020, 1, 1)
        assert "2024" in figure.edition
        assert "Rule" in figure.source
        with pytest.raises(LookupError):
            in_force(getattr(parameters, name), date(2019, 12, 31))


def test_nines_were_joined_from_2020_until_the_edition_of_2024():
    series = parameters.NINES_ARE_JOINED
    assert in_force(series, date(2020, 1, 1)).value is True
    assert in_force(series, date(2024, 3, 31)).value is True
    assert in_force(series, date(2024, 4, 1)).value is False
    assert "not published" in in_force(series, EDITION.effective).source


def test_half_of_the_days_conditions_for_nine_holes():
    """36 at 35.0 and Slope 113: 1, less half of each step."""
    for pcc, exact in ((-1, "1.5"), (0, "1.0"), (1, "0.5"), (3, "-0.5")):
        ratings = Ratings(Fraction(35), 113, pcc)
        assert nine_hole_differential(36, ratings) == Fraction(exact)


def test_a_nine_waits_until_twenty_later_scores_are_in():
    twenty = [DAY + timedelta(days=at) for at in range(20)]
    assert still_waiting(DAY - timedelta(days=400), twenty[:19])
    assert still_waiting(DAY, twenty[::-1])
    assert not still_waiting(DAY - timedelta(days=1), twenty)


def test_a_committee_moves_by_one_or_more_and_the_latest_twenty_only():
    level = [D("10.3")] * 20
    assert committee_adjustment(level, D("1.0")) == (D("11.3"),) * 20
    assert committee_adjustment(level[:2], D("-1.5")) == (D("8.8"),) * 2
    for by in ("0.9", "-0.9", "0.0"):
        with pytest.raises(ValueError, match=r"1\.0 or more"):
            committee_adjustment(level, D(by))
    with pytest.raises(ValueError, match="latest 20"):
        committee_adjustment([*level, D("10.3")], D("1.0"))


def test_a_committee_raises_to_five_above_the_low_and_never_above_54():
    assert highest_by_committee(D("10.3")) == D("15.3")
    assert highest_by_committee(D("49.1")) == D("54.0")
