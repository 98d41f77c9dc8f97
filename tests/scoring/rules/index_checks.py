"""How the worked examples of `tests/cases/index.json` are run on the handicap engine."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from scoring.rules import parameters
from scoring.rules.handicap import strokes_received, tenth
from scoring.rules.parameters import EDITION, TableRow, in_force
from scoring.rules.record.differentials import (
    joined,
    most_on_a_hole,
    nine_hole_differential,
    score_differential,
)
from scoring.rules.record.index import (
    capped,
    committee_adjustment,
    exceptional_reduction,
    highest_by_committee,
    index_of,
    low_index,
    low_window,
    reckon,
)
from scoring.rules.record.values import Ratings
from tests.scoring.rules.documents import INDEX, PAR
from tests.scoring.rules.records import DAY, by_hole, days, gross, last, ready, record, worked

Case = dict[str, Any]
CHECKS: dict[str, Callable[[Case], None]] = {}


def check(topic: str) -> Callable[[Callable[[Case], None]], Callable[[Case], None]]:
    def keep(function: Callable[[Case], None]) -> Callable[[Case], None]:
        CHECKS[topic] = function
        return function

    return keep


def ratings(given: Case, nine: str = "") -> Ratings:
    return Ratings(
        Fraction(given[f"course_rating{nine}"]), given[f"slope_rating{nine}"], given["pcc"]
    )


def printed(value: Fraction, digits: int) -> Decimal:
    """Rounded to so many digits, a half upwards, as an example prints it."""
    return Decimal((value * 10**digits + Fraction(1, 2)) // 1).scaleb(-digits)


@check("score_differential_18")
def differential(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    exact = score_differential(given["adjusted_gross"], ratings(given))
    digits = {"unrounded": 3, "unrounded_2dp": 2, "unrounded_6dp": 6}
    shown = [key for key in digits if key in expected]
    assert shown
    for key in shown:
        assert printed(exact, digits[key]) == expected[key]
    if "difference" in expected:
        over = given["adjusted_gross"] - Fraction(given["course_rating"])
        assert (over, over * 113) == (Fraction(expected["difference"]), expected["times_113"])
    if "score_differential" in expected:
        assert tenth(exact) == expected["score_differential"]
        more = {key: given[key] for key in ("course_rating", "slope_rating", "pcc")}
        row = last(gross(given["adjusted_gross"], **more))
        assert row["differential"] == str(expected["score_differential"])


@check("record_of_20_differentials")
def twenty_differentials(case: Case) -> None:
    """The record prints the most recent first."""
    rounds = case["inputs"]["rounds"]
    scores = [
        gross(
            each["adjusted_gross"],
            on=DAY - timedelta(days=at),
            course_rating=each["course_rating"],
            slope_rating=each["slope_rating"],
        )
        for at, each in enumerate(rounds)
    ]
    found = [row["differential"] for row in worked(record(*scores))][::-1]
    assert found == [str(each) for each in case["expected"]["score_differentials"]]
    assert len(found) == 20


@check("handicap_index_few")
@check("handicap_index_by_count")
def index_by_count(case: Case) -> None:
    given, expected = case["inputs"]["score_differentials"], case["expected"]
    reckoned = reckon(given)
    assert reckoned is not None
    index, _ = index_of(reckoned, scores=len(given), low=None)
    assert index == expected["handicap_index"]
    assert reckoned.adjustment == expected["adjustment"]
    if "used" in expected:
        assert len(reckoned.counted) == expected["used"]
    if "lowest_4" in expected:
        assert sorted(given[at] for at in reckoned.counted) == expected["lowest_4"]
    for key in ("lowest", "average_lowest_2"):
        if key in expected:
            assert reckoned.average == expected[key]
    # Far apart and the best first, so that no score of the whole record is exceptional.
    scores = days(*sorted(given), step=10)
    assert last(*scores)["index"] == str(expected["handicap_index"])


@check("handicap_index_table")
def index_table(case: Case) -> None:
    expected = case["expected"]["count_to_lowest_and_adjustment"]
    figure = in_force(parameters.INDEX_TABLE, EDITION.effective)
    assert figure.value == {
        int(scores): TableRow(row["lowest"], Decimal(row["adjustment"]))
        for scores, row in expected.items()
    }
    for scores, row in expected.items():
        level = last(*days(*[Decimal("20.0")] * int(scores)))
        assert len(level["counted"]) == row["lowest"]
        assert Decimal(level["adjustment"]) == row["adjustment"]


@check("handicap_index_table_national_variation")
def other_table(case: Case) -> None:
    """The table is data: a national one is put in the place of ours, and ours is not it."""
    table = {
        int(scores): TableRow(row["lowest"], Decimal(row["adjustment"]))
        for scores, row in case["expected"].items()
    }
    for scores, row in table.items():
        given = [Decimal("20.0"), Decimal("21.0"), Decimal("22.0"), Decimal("23.0")][:scores]
        reckoned = reckon(given, table=table)
        assert reckoned is not None
        assert (len(reckoned.counted), reckoned.adjustment) == (row.lowest, row.adjustment)
        assert (reckon(given) is None) == (scores < 3)
        if scores >= 3:
            assert reckon(given) == reckoned


@check("handicap_index_20")
def index_of_twenty(case: Case) -> None:
    given, expected = case["inputs"]["score_differentials"], case["expected"]
    reckoned = reckon(given)
    assert reckoned is not None
    counted = sorted(given[at] for at in reckoned.counted)
    assert counted == expected["lowest_8"]
    assert Fraction(sum(counted)) / 8 == Fraction(expected["average"])
    assert index_of(reckoned, scores=20, low=None)[0] == expected["handicap_index"]


@check("handicap_index_20_rolling")
def rolling(case: Case) -> None:
    """Only the sum of the lowest eight is printed: eight of that sum and twelve worse ones."""
    total = case["inputs"]["sum_of_lowest_8_after_new_19.3"]
    eight = [Decimal("21.0")] * 7 + [total - 7 * Decimal("21.0")]
    reckoned = reckon([Decimal("40.0")] * 12 + eight)
    assert reckoned is not None
    assert index_of(reckoned, scores=20, low=None)[0] == case["expected"]["handicap_index"]


@check("maximum_index")
def maximum_index(case: Case) -> None:
    """57.3 by the table of three scores, and by that of twenty."""
    calculated, wanted = case["inputs"]["calculated"], case["expected"]["handicap_index"]
    for scores, lowest in ((3, calculated + 2), (20, calculated)):
        row = last(*days(*[lowest] * scores))
        assert Decimal(row["average"]) + Decimal(row["adjustment"]) == calculated
        assert row["index"] == str(wanted)


@check("cap")
def cap(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    average, low = given["average_lowest_8"], given["low_handicap_index"]
    index, _ = capped(average, low)
    assert index == expected["handicap_index"]
    if "difference" in expected:
        assert average - low == expected["difference"]
        assert average - low - 3 == expected["over_3"]
        assert expected["half"] * 2 == expected["over_3"]
        assert tenth(Fraction(expected["before_rounding"])) == index
    if "after_soft" in expected:
        assert expected["after_soft"] > index


@check("cap_hard_maximum")
def hard_cap(case: Case) -> None:
    low = case["inputs"]["low_handicap_index"]
    highest = case["expected"]["highest_possible_index"]
    averages = [low + Decimal(more).scaleb(-1) for more in range(200)]
    assert max(capped(average, low)[0] for average in averages) == highest


@check("cap_hard_step_1")
def hard_cap_step(case: Case) -> None:
    """The source prints the difference only; that it is over 7.0 makes the cap a hard one."""
    given = case["inputs"]
    average, low = given["average_lowest_8"], given["low_handicap_index"]
    assert average - low == case["expected"]["difference"]
    assert capped(average, low) == (low + 5, "hard")


@check("low_handicap_index_window")
def window(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    established = date.fromisoformat(given["low_established"])
    standing = [
        (established, given["low_handicap_index"]),
        (date(2021, 1, 1), given["handicap_index_after_2021_01_01"]),
    ]
    assert low_index(standing) == expected["low_used_for_2021_04_01_calculation"]
    following = date.fromisoformat(given["next_score"])
    opens, closes = low_window(following)
    assert [str(opens), str(closes)] == expected["new_low_searched_in"]
    assert low_index([*standing, (following, Decimal("12.5"))]) == Decimal("12.3")


def bands(key: str) -> tuple[Decimal, Decimal | None]:
    low, _, high = key.partition("_to_")
    return (Decimal(low), Decimal(high)) if high else (Decimal(low.removesuffix("_or_more")), None)


@check("exceptional_score_table")
def exceptional_table(case: Case) -> None:
    expected = case["expected"]
    index = Decimal("20.0")
    for key in ("7.0_to_9.9", "10.0_or_more"):
        low, high = bands(key)
        for better in (low, high or low + 9):
            assert exceptional_reduction(index, Fraction(index - better)) == expected[key]
    assert exceptional_reduction(index, Fraction(index) - Fraction("6.9999")) == 0
    assert "unrounded" in expected["basis"]
    assert "index in effect when the round was played" in expected["basis"]
    assert expected["multiple"] == "cumulative"
    assert expected["applied_to"].endswith("or all if fewer than 20, including the exceptional one")
    # Two exceptional scores in a row, each 10 better or more: the first is down by both.
    # Index 28.0, then 3 less 2 less 1 for four scores: 0.0; and -10 less 2, nothing for five.
    rows = worked(record(*days(*[Decimal(30)] * 3, Decimal(3), Decimal(-10), Decimal(9))))
    assert [row["exceptional"] for row in rows] == ["0.0", "0.0", "0.0", "-2.0", "-2.0", "0.0"]
    assert [row["index"] for row in rows[2:5]] == ["28.0", "0.0", "-12.0"]
    assert rows[5]["average"] == "-6.5"  # (-12 + (3 - 2 - 2)) / 2


@check("exceptional_score")
def exceptional(case: Case) -> None:
    """Index 14.8; with 6.8 the lowest eight of 20 average 13.5; each is then one lower."""
    given, expected = case["inputs"], case["expected"]
    index, new = given["handicap_index"], given["new_score_differential"]
    assert index - new == expected["strokes_better"]
    reduction = exceptional_reduction(index, Fraction(new))
    assert reduction == expected["reduction"]
    # Twelve that do not count and seven that bring the eight to 8 x 13.5.
    seven = (8 * given["index_from_8_of_20_without_reduction"] - new) / 7
    others = [seven.quantize(Decimal("0.1"))] * 7
    before = [*[Decimal("30.0")] * 12, *others, new]
    plain, reduced = reckon(before), reckon([each + reduction for each in before])
    assert plain is not None
    assert reduced is not None
    assert plain.average == given["index_from_8_of_20_without_reduction"]
    assert reduced.average == expected["handicap_index"]


@check("exceptional_score_rolling")
def exceptional_rolling(case: Case) -> None:
    """The record of P-REC-B, played in order, and one more score."""
    from tests.scoring.rules.test_cases import all_cases

    given, expected = case["inputs"], case["expected"]
    differentials = all_cases()[given["previous_record"]]["expected"]["score_differentials"]
    index, new = given["index_when_played"], given["new_differential"]
    assert index - new == expected["strokes_better"]
    reduction = exceptional_reduction(index, Fraction(new))
    assert reduction == expected["reduction_each"]
    latest = [*differentials[::-1][1:], new]  # the oldest of the 20 leaves
    reckoned = reckon([each + reduction for each in latest])
    assert reckoned is not None
    assert reckoned.average == expected["index_with"]


@check("exceptional_score_boundary")
def exceptional_boundary(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    index, exact = given["index_when_played"], Fraction(given["differential_unrounded"])
    assert tenth(exact) == given["differential_rounded"]
    assert Fraction(index) - exact == Fraction(expected["strokes_better_unrounded"])
    assert exceptional_reduction(index, exact) == expected["reduction"]
    assert exceptional_reduction(index, Fraction(given["differential_rounded"])) == -1


@check("committee_adjustment")
def committee(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    before = [given["handicap_index"]] * 20
    after = committee_adjustment(before, Decimal(given["adjustment_to_each_of_20"]))
    reckoned = reckon(after)
    assert reckoned is not None
    assert index_of(reckoned, scores=20, low=None)[0] == expected["handicap_index_after"]
    assert highest_by_committee(given["handicap_index"]) == given["handicap_index"] + 5


@check("maximum_before_index")
def before_index(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    assert (
        min(given["score"], most_on_a_hole(par=given["par"], strokes=None))
        == (expected["adjusted"])
    )
    assert PAR[0] == given["par"]
    row = last(by_hole([given["score"], *PAR[1:]]))
    assert row["adjusted_gross"] == sum(PAR) - given["par"] + expected["adjusted"]


def net_double_bogey(case: Case, strokes: int) -> None:
    """The same examples that maximum score is held against, for a handicap."""
    given, expected = case["inputs"], case["expected"]
    most = most_on_a_hole(par=given["par"], strokes=strokes)
    if "maximum" in expected:
        assert most == expected["maximum"]
    else:
        assert min(given["score"], most) == expected["adjusted"]


def adjusted_card(case: Case) -> None:
    """A Slope Rating of 113 and a Course Rating of par make the index the Course Handicap."""
    given, expected = case["inputs"], case["expected"]
    marks = {
        "par": given["par"],
        "stroke_index": given["stroke_index"],
        "course_rating": sum(given["par"]),
        "slope_rating": 113,
    }
    before = days(*[Decimal(given["course_handicap"] + 2)] * 3)
    row = last(*before, by_hole(given["gross"], on="2025-01-20", **marks))
    assert row["adjusted_gross"] == expected["adjusted_gross_score"]
    wildly = [99] * 18
    row = last(*before, by_hole(wildly, on="2025-01-20", **marks))
    assert row["adjusted_gross"] == sum(expected["max_by_hole"])


@check("net_par_plus_player")
def net_par(case: Case) -> None:
    """The hole on which a plus player gives a stroke back: par and the strokes received."""
    given = case["inputs"]
    easiest = INDEX.index(18)
    strokes = strokes_received(-given["strokes_given_back"], INDEX)[easiest]
    assert given["par"] + strokes == case["expected"]["net_par"]


@check("score_differential_9_part")
def nine(case: Case) -> None:
    given = case["inputs"]
    exact = nine_hole_differential(given["adjusted_gross_9"], ratings(given, "_9"))
    assert printed(exact, 6) == case["expected"]["unrounded_6dp"]


@check("score_differential_9_plus_9_2020")
def nines(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    one, other = [
        nine_hole_differential(each["ags"], Ratings(Fraction(each["cr"]), each["slope"], 0))
        for each in given["nines"]
    ]
    assert printed(one + other, 6) == expected["unrounded_6dp"]
    assert joined(one, other) == expected["score_differential"]
    # It enters a record as a ready differential.
    assert last(ready(joined(one, other)))["differential"] == "17.5"
