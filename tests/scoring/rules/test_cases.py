"""The worked examples under `tests/cases/`, each with its source beside it, run on the engine."""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from scoring.rules import parameters
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.formats.maximum_score import maximum
from scoring.rules.games import GAMES
from scoring.rules.handicap import (
    course_handicap,
    playing_handicap,
    round_half_up,
    side_playing_handicap,
    strokes_received,
    tenth,
)
from scoring.rules.playing import best_of
from scoring.rules.strict_json import read_json
from scoring.rules.terms import read_terms
from scoring.rules.ties import share_of
from scoring.rules.values import Format, Share
from tests.scoring.rules import index_checks
from tests.scoring.rules.documents import INDEX, PAR, event, off

FOLDER = Path(__file__).resolve().parents[2] / "cases"
FILES = ("handicaps", "index", "rounding", "strokes", "ties", "values")
Case = dict[str, Any]


@cache
def all_cases() -> dict[str, Case]:
    found: dict[str, Case] = {}
    for name in FILES:
        content: Any = read_json((FOLDER / f"{name}.json").read_bytes())
        for case in content["cases"]:
            assert case["id"] not in found, f"{case['id']} stands twice"
            found[case["id"]] = case
    return found


def in_index_order(playing: int) -> list[int]:
    return list(strokes_received(playing, range(1, 19)))


def near(value: Fraction, printed: Decimal, places: int) -> bool:
    """Agrees with a figure printed to so many decimals, whether it was cut or rounded."""
    return abs(value - Fraction(printed)) < Fraction(1, 10**places)


def percent(share: Decimal) -> Fraction:
    return Fraction(share) * 100


def strokes_by_index(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    strokes = in_index_order(given["playing_handicap"])
    if "strokes_for_index_1_to_18" in expected:
        assert strokes == expected["strokes_for_index_1_to_18"]
        return
    words = {"one": 1, "two": 2}
    for key, indexes in expected.items():
        many = key.split("_")[0]
        each = words[many] if many in words else int(many)
        assert [index for index in range(1, 19) if strokes[index - 1] == each] == indexes
    assert sum(strokes) == given["playing_handicap"]


def strokes_plus(case: Case) -> None:
    strokes = in_index_order(case["inputs"]["playing_handicap"])
    back = [index for index in range(18, 0, -1) if strokes[index - 1] == -1]
    assert back == case["expected"]["gives_one_back_on"]
    assert sum(strokes) == case["inputs"]["playing_handicap"]


def strokes_chart(case: Case) -> None:
    given = case["inputs"]
    strokes = strokes_received(given["playing_handicap"], given["stroke_index_by_hole"])
    assert list(strokes) == case["expected"]["strokes_by_hole"]


def strokes_nine(case: Case) -> None:
    given = case["inputs"]
    strokes = strokes_received(given["playing_handicap_9"], given["stroke_index_by_hole"])
    assert list(strokes) == case["expected"]["strokes_by_hole"]


def index_repeats(case: Case) -> None:
    for strokes, playing in enumerate(case["expected"]["stroke_index_1_repeats_as"], start=2):
        assert in_index_order(playing)[0] == strokes
        assert in_index_order(playing - 1)[0] == strokes - 1


def course(given: Case) -> Fraction:
    return course_handicap(
        index=given["handicap_index"],
        slope=given["slope_rating"],
        rating=given["course_rating"],
        par=given["par"],
    )


def course_handicaps(case: Case) -> None:
    found, expected = course(case["inputs"]), case["expected"]
    if "course_handicap_unrounded" in expected:
        assert near(found, expected["course_handicap_unrounded"], 3)
        return
    assert near(found, expected["unrounded_6dp"], 6)
    assert round_half_up(found) == expected["course_handicap"]
    for allowance in (95, 85, 90):
        wanted = expected[f"playing_handicap_{allowance}"]
        assert playing_handicap(found, allowance=allowance) == wanted


def course_handicap_nine(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    assert tenth(Fraction(given["handicap_index"]) / 2) == expected["half_index"]
    found = course_handicap(
        index=given["handicap_index"],
        slope=given["slope_rating_9"],
        rating=given["course_rating_9"],
        par=given["par_9"],
        holes=9,
    )
    if "unrounded_6dp" in expected:
        assert near(found, expected["unrounded_6dp"], 6)
    else:
        assert near(found, expected["course_handicap_unrounded"], 3)
    assert round_half_up(found) == expected["course_handicap"]


def course_handicap_legacy(case: Case) -> None:
    """The older formula had no Course Rating - par: the same where the two are equal."""
    found = course(case["inputs"] | {"course_rating": 72, "par": 72})
    assert round_half_up(found) == case["expected"]["course_handicap"]


def different_par(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    found = course(given)
    allowance = percent(given["allowance"])
    assert near(found, expected["course_handicap_unrounded_6dp"], 6)
    assert playing_handicap(found, allowance=allowance) == expected["playing_handicap_stableford"]
    extra = given["par"] - given["lowest_par_in_field"]
    net = playing_handicap(found, allowance=allowance, extra=extra)
    assert net == expected["playing_handicap_net_stroke_play"]
    document = event(
        {"handicap_index": given["handicap_index"], "tee": "red"},
        off(0),
        cards=[PAR, PAR],
        format="medal",
        tees={
            "red": {
                "par": [5, *PAR[1:]],
                "stroke_index": INDEX,
                "course_rating": given["course_rating"],
                "slope_rating": given["slope_rating"],
            },
            "white": {"par": [*PAR[:-1], 4], "stroke_index": INDEX},
        },
    )
    rows = {row["player"]: row for row in score(read_event(document))["standings"]}
    assert rows["p1"]["playing_handicap"] == expected["playing_handicap_net_stroke_play"]
    document["terms"]["format"] = "stableford"
    rows = {row["player"]: row for row in score(read_event(document))["standings"]}
    assert rows["p1"]["playing_handicap"] == expected["playing_handicap_stableford"]


def different_par_rule(case: Case) -> None:
    """Higher par: the difference is added. Same par: nothing."""
    assert case["expected"]["same_par"] == "no adjustment"
    higher = {"par": [6, *PAR[1:]], "stroke_index": INDEX}
    lower = {"par": PAR, "stroke_index": INDEX}
    for tees, wanted in (
        ({"red": higher, "white": lower}, [12, 10]),
        ({"red": lower, "white": lower}, [10, 10]),
    ):
        document = event(off(10, tee="red"), off(10), cards=[PAR, PAR], format="medal", tees=tees)
        rows = {row["player"]: row for row in score(read_event(document))["standings"]}
        assert [rows[key]["playing_handicap"] for key in ("p1", "p2")] == wanted


def playing_from_index(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    found = course(given)
    by_slope = Fraction(given["handicap_index"]) * given["slope_rating"] / 113
    assert near(by_slope, expected["index_times_slope"], 3)
    assert near(found, expected["course_handicap_unrounded"], 3)
    allowance = percent(given["allowance"])
    assert near(found * allowance / 100, expected["playing_handicap_unrounded"], 3)
    assert playing_handicap(found, allowance=allowance) == expected["playing_handicap"]


def playing_unrounded(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    exact = Fraction(given["course_handicap_unrounded"])
    allowance = percent(given["allowance"])
    once = playing_handicap(exact, allowance=allowance)
    twice = playing_handicap(round_half_up(exact), allowance=allowance)
    assert once == expected["playing_handicap_from_unrounded"]
    assert twice == expected["playing_handicap_if_course_handicap_rounded_first"]


def rounding_of_allowance(case: Case) -> None:
    given = case["inputs"]
    allowance = percent(given["allowance"])
    found = [playing_handicap(course, allowance=allowance) for course in given["course_handicaps"]]
    assert found == case["expected"]["playing_handicaps"]


def allowances_all(case: Case) -> None:
    courses = case["inputs"]["course_handicaps_unrounded"]
    expected = case["expected"]
    four_ball = parameters.allowance_for(Format.FOUR_BALL, Format.STABLEFORD).value
    single = {
        "individual_95": parameters.allowance_for(Format.MEDAL, Format.MEDAL).value,
        "fourball_85": four_ball,
        "best1_75": parameters.best_of_allowance(Format.STABLEFORD, 1),
    }
    for key, allowance in single.items():
        assert [playing_handicap(one, allowance=allowance) for one in courses] == expected[key]
    shared = {
        "foursomes_first_two": (Format.FOURSOMES, 2),
        "greensomes_first_two": (Format.GREENSOMES, 2),
        "scramble_2_first_two": (Format.SCRAMBLE, 2),
        "scramble_3_first_three": (Format.SCRAMBLE, 3),
        "scramble_4": (Format.SCRAMBLE, 4),
    }
    for key, (format_, size) in shared.items():
        shares = parameters.shares_for(format_, size)
        assert side_playing_handicap(courses[:size], shares=shares) == expected[key]


def foursomes(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    shares = parameters.shares_for(Format.FOURSOMES, 2)
    if "course_handicaps" in given:
        found = side_playing_handicap(given["course_handicaps"], shares=shares)
        assert found == expected["team"]
        return
    for side in ("side_1", "side_2"):
        courses = given[f"{side}_course_handicaps"]
        assert side_playing_handicap(courses, shares=shares) == expected[side]
    assert Fraction(sum(given["side_2_course_handicaps"]), 2) == Fraction(
        expected["side_2_unrounded"]
    )


def greensomes(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    shares = parameters.shares_for(Format.GREENSOMES, 2)
    if "strokes_received" in given:
        assert side_playing_handicap(given["strokes_received"], shares=shares) == expected["team"]
        return
    for side in ("side_1", "side_2"):
        rounded = round_half_up(Fraction(expected[f"{side}_unrounded"]))
        assert side_playing_handicap(given[side], shares=shares) == rounded


def scramble_two(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    shares = [percent(share) for share in given["allowances"]]
    assert list(parameters.shares_for(Format.SCRAMBLE, 2)) == shares
    rounded = round_half_up(Fraction(expected["team_unrounded"]))
    assert side_playing_handicap(given["course_handicaps"], shares=shares) == rounded


def scramble_four(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    shares = [percent(share) for share in given["allowances"]]
    assert list(parameters.shares_for(Format.SCRAMBLE, 4)) == shares
    courses = [course(given | {"handicap_index": index}) for index in given["handicap_indexes"]]
    for one, share, printed in zip(courses, shares, expected["shares"], strict=True):
        assert near(one * share / 100, printed, 3)
    found = side_playing_handicap(courses, shares=shares)
    assert found == expected["team_playing_handicap"]


def tenths(case: Case) -> None:
    for value, rounded in zip(case["inputs"]["values"], case["expected"]["rounded"], strict=True):
        assert tenth(Fraction(value)) == rounded


def minus_tenth(case: Case) -> None:
    assert tenth(Fraction(case["inputs"]["unrounded"])) == case["expected"]["rounded"]


def worth(format_: str, par: int, strokes: int, gross: int | None) -> int | None:
    terms = read_terms({"format": format_}, 18)
    return GAMES[terms.format].value(terms, par, strokes, gross)


def stableford_hole(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    strokes = in_index_order(given["playing_handicap"])[given["stroke_index"] - 1]
    assert strokes == expected["strokes"]
    assert given["gross"] - strokes == expected["net"]
    assert worth("stableford", given["par"], strokes, given["gross"]) == expected["points"]


def stableford_table(case: Case) -> None:
    for step, points in case["expected"]["net_minus_target"].items():
        if step == "no_score":
            assert worth("stableford", 5, 0, None) == points
        elif step == "2_or_more":
            assert [worth("stableford", 5, 0, 5 + over) for over in (2, 3, 10)] == [points] * 3
        else:
            assert worth("stableford", 5, 0, 5 + int(step)) == points


def stableford_round(case: Case) -> None:
    document = event(off(18), cards=[[par + 1 for par in PAR]])
    row = score(read_event(document))["standings"][0]
    assert len(row["values"]) == case["inputs"]["net_pars"]
    assert row["total"] == case["expected"]["points"]


def modified_table(case: Case) -> None:
    steps = {"three_under": -3, "two_under": -2, "one_under": -1, "level": 0, "one_over": 1}
    expected = case["expected"]
    for key, step in steps.items():
        assert worth("modified_stableford", 5, 0, 5 + step) == expected[key]
    for over in (2, 3, 9):
        assert worth("modified_stableford", 5, 0, 5 + over) == expected["two_or_more_over"]


def par_table(case: Case) -> None:
    for key, gross in (
        ("below_target", 4),
        ("equal_to_target", 5),
        ("above_target", 6),
        ("no_score", None),
    ):
        assert worth("par", 4, 1, gross) == int(case["expected"][key])


def net_double_bogey(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    terms = read_terms({"format": "maximum_score"}, 18)
    strokes = given.get("strokes_on_hole")
    if strokes is None:
        strokes = in_index_order(given["course_handicap"])[given["stroke_index"] - 1]
        assert strokes == expected["strokes"]
    if "maximum" in expected:
        assert maximum(terms, given["par"], strokes) == expected["maximum"]
    else:
        counted = worth("maximum_score", given["par"], strokes, given["score"])
        assert counted == expected["adjusted"]
    index_checks.net_double_bogey(case, strokes)


def card_by_net_double_bogey(case: Case) -> None:
    """Maximum score with net double bogey off the same handicap counts the same strokes."""
    given, expected = case["inputs"], case["expected"]
    document = event(
        off(given["course_handicap"]),
        cards=[given["gross"]],
        format="maximum_score",
        tees={"white": {"par": given["par"], "stroke_index": given["stroke_index"]}},
    )
    row = score(read_event(document))["standings"][0]
    assert row["values"] == expected["adjusted"]
    assert row["total"] + row["playing_handicap"] == expected["adjusted_gross_score"]
    terms = read_terms({"format": "maximum_score"}, 18)
    most = [
        maximum(terms, par, strokes)
        for par, strokes in zip(given["par"], row["strokes"], strict=True)
    ]
    assert most == expected["max_by_hole"]
    index_checks.adjusted_card(case)


def best_scores(case: Case) -> None:
    nets, expected = case["inputs"]["net_scores"], case["expected"]
    for count, key in ((1, "best_1"), (2, "best_2_total"), (3, "best_3"), (4, "all_4")):
        assert best_of(nets, count, more_is_better=False) == expected[key]


def side_of_two(
    first: list[object], second: list[object], scoring: str, handicaps: tuple[int, int] = (0, 0)
) -> dict[str, Any]:
    document = event(
        *(off(playing) for playing in handicaps),
        cards=[first, second],
        format="four_ball",
        scoring=scoring,
    )
    document["sides"] = {"s1": ["p1", "p2"]}
    return score(read_event(document))


def identified_partner(case: Case) -> None:
    """A's recorded 4 counts; B's 4 was not recorded, so B's stroke there helps nobody."""
    given = case["inputs"]
    rest: list[object] = list(PAR[1:])
    answer = side_of_two(
        [given["gross_recorded_A"], *rest], [given["gross_recorded_B"], *rest], "medal", (0, 18)
    )
    assert answer["standings"][0]["values"][0] == case["expected"]["side_score"]


def four_ball_side_score(case: Case) -> None:
    expected = case["expected"]
    rest: list[object] = list(PAR[1:])

    def first_hole(one: object, other: object, scoring: str) -> object:
        answer = side_of_two([one, *rest], [other, *rest], scoring)
        if answer["unplaced"]:
            return answer["unplaced"][0]["status"]
        return answer["standings"][0]["values"][0]

    assert expected["both_complete"] == "lower of the two"
    assert first_hole(5, 4, "medal") == 4
    assert expected["one_completes"] == "that score"
    assert first_hole(None, 6, "medal") == 6
    assert "zero points in Stableford" in expected["neither_completes_stroke_play"]
    found = [
        first_hole(None, None, scoring)
        for scoring in ("medal", "stableford", "par", "maximum_score")
    ]
    assert found == ["no_return", 0, -1, PAR[0] + 2]


def rounded_shares(case: Case) -> None:
    """Two cards level on the total, compared on the last nine and then the last six."""
    given, expected = case["inputs"], case["expected"]
    players, cards = [], []
    for name in ("A", "B"):
        last_nine, last_six = given[name]["last_9_gross"], given[name]["last_6_gross"]
        playing = given[name].get("handicap_used", given[name].get("handicap"))
        first_nine = 100 + playing - last_nine  # both come to 100 net
        players.append(off(playing))
        card = spread(first_nine, 9) + spread(last_nine - last_six, 3) + spread(last_six, 6)
        cards.append(card)
    document = event(
        *players,
        cards=cards,
        format="medal",
        handicap_share="rounded",
        countback=["10-18", "13-18"],
    )
    rows = score(read_event(document))["standings"]
    by_player = dict(zip("AB", sorted(rows, key=lambda row: row["player"]), strict=True))
    for name, row in by_player.items():
        assert row["trail"]["10-18"] == str(expected["last_9_net"][name])
        assert row["trail"]["13-18"] == str(expected["last_6_net"][name])
        six = share_of(row["playing_handicap"], 6, 18, Share.ROUNDED)
        assert six == expected["last_6_deduction"][name]
    assert by_player[expected["winner"]]["place"] == 1


def spread(total: int, holes: int) -> list[int]:
    each, more = divmod(total, holes)
    return [each + (hole < more) for hole in range(holes)]


def decimal_share(case: Case) -> None:
    deduction = share_of(case["inputs"]["handicap"], 9, 18, Share.EXACT)
    assert deduction == Fraction(case["expected"]["deduction"])


def play_off_share(case: Case) -> None:
    given, expected = case["inputs"], case["expected"]
    exact = share_of(given["course_handicap"], given["holes"], 18, Share.EXACT)
    assert exact == Fraction(expected["strokes_unrounded"])
    rounded = share_of(given["course_handicap"], given["holes"], 18, Share.ROUNDED)
    assert rounded == expected["strokes"]


CHECKS: dict[str, Callable[[Case], None]] = {
    "strokes_by_index": strokes_by_index,
    "strokes_by_index_plus": strokes_plus,
    "strokes_by_index_chart": strokes_chart,
    "strokes_by_index_9": strokes_nine,
    "stroke_index_repeats": index_repeats,
    "course_handicap": course_handicaps,
    "course_handicap_9": course_handicap_nine,
    "course_handicap_legacy_no_par_term": course_handicap_legacy,
    "different_par": different_par,
    "different_par_rule": different_par_rule,
    "playing_handicap_fourball_85": playing_from_index,
    "playing_handicap_unrounded_vs_rounded": playing_unrounded,
    "rounding_of_allowance_legacy": rounding_of_allowance,
    "allowances_all_formats": allowances_all,
    "foursomes_match": foursomes,
    "foursomes_stroke": foursomes,
    "greensomes_match": greensomes,
    "greensomes_stroke": greensomes,
    "scramble_2": scramble_two,
    "scramble_4": scramble_four,
    "rounding_half_up_tenths": tenths,
    "rounding_minus_differential": minus_tenth,
    "stableford_hole": stableford_hole,
    "stableford_hole_plus": stableford_hole,
    "stableford_points": stableford_table,
    "stableford_round": stableford_round,
    "modified_stableford_common": modified_table,
    "par_bogey_scoring": par_table,
    "net_double_bogey": net_double_bogey,
    "adjusted_gross_score": card_by_net_double_bogey,
    "best_2_of_4_hole": best_scores,
    "fourball_score_identified": identified_partner,
    "fourball_side_score": four_ball_side_score,
    "countback_net_rounded_fractions": rounded_shares,
    "countback_share_decimal": decimal_share,
    "play_off_handicap_share": play_off_share,
    **index_checks.CHECKS,
}


def run(case: Case) -> None:
    CHECKS[case["topic"]](case)


@pytest.mark.parametrize("name", sorted(all_cases()))
def test_worked_example(name):
    run(all_cases()[name])


def test_every_case_keeps_its_source_and_says_how_far_it_is_published():
    for case in all_cases().values():
        if case["standing"] == "published":
            assert set(case["source"]) == {"title", "rule_or_page", "address"}, case["id"]
        else:
            assert case["standing"] == "derived", case["id"]
            assert len(case["follows_from"]) > 3, case["id"]


def test_no_check_is_left_without_a_case():
    assert set(CHECKS) == {case["topic"] for case in all_cases().values()}
