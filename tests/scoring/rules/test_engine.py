"""The answer to an event, line by line of the event document, sections 1.1 to 1.5.

Expected figures are worked out by hand from the document's own sentences.
"""

from decimal import Decimal
from typing import Any

import pytest

from scoring.rules.engine import answer_text, score
from scoring.rules.event import read_event
from scoring.rules.strict_json import read_json, write_document
from tests.scoring.rules.documents import INDEX, PAR, event, good, off

ROW_KEYS = [
    "place",
    "tied",
    "player",
    "name",
    "course_handicap",
    "playing_handicap",
    "strokes",
    "values",
    "total",
    "trail",
    "settled",
]


def answer(document: dict[str, Any]) -> dict[str, Any]:
    return score(read_event(document))


def row(document: dict[str, Any], key: str = "p1") -> dict[str, Any]:
    rows = answer(document)["standings"]
    return next(row for row in rows if row.get("player", row.get("side")) == key)


def places(document: dict[str, Any]) -> list[tuple[int, bool, str]]:
    return [
        (row["place"], row["tied"], row.get("player", row.get("side")))
        for row in answer(document)["standings"]
    ]


def changed(card: list[int], **holes: object) -> list[object]:
    """A card with some holes (h1, h18 ...) changed."""
    new: list[object] = list(card)
    for hole, score_ in holes.items():
        new[int(hole[1:]) - 1] = score_
    return new


def tees(**pars: int) -> dict[str, Any]:
    """Tees whose par is 72 and so many over."""
    return {
        name: {"par": [PAR[0] + more, *PAR[1:]], "stroke_index": INDEX}
        for name, more in pars.items()
    }


def test_the_keys_stand_in_the_order_of_the_document():
    found = answer(good())
    assert list(found) == [
        "document",
        "version",
        "engine",
        "rules",
        "standings",
        "unplaced",
        "divisions",
    ]
    assert (found["document"], found["version"], found["rules"]) == ("golf-standings", 1, "2024")
    assert [list(row) for row in found["standings"]] == [ROW_KEYS] * 3
    out = event(off(4), cards=[PAR], rulings=[{"kind": "withdrawn", "player": "p1"}])
    assert answer(out)["unplaced"] == [
        {"player": "p1", "name": "Player p1", "status": "withdrawn", "rule": None, "total": None}
    ]
    assert list(answer(out)["unplaced"][0]) == ["player", "name", "status", "rule", "total"]


def test_the_answer_reads_back_as_the_same_values():
    found = answer(good())
    assert read_json(write_document(found)) == found


@pytest.mark.parametrize(
    ("brought", "shown", "playing"),
    [
        # 12.3 x 120 / 113 + (70.1 - 72) = 11.1619..., 95 % of it 10.60
        ({"handicap_index": Decimal("12.3")}, "11.16", 11),
        ({"handicap_index": Decimal("-2.5")}, "-4.55", -4),  # -4.5549, 95 %: -4.327
        ({"course_handicap": Decimal("10.526315")}, "10.53", 10),  # 95 %: 9.99999925
        ({"course_handicap": Decimal("10.526316")}, "10.53", 10),  # 95 %: 10.0000002
        ({"course_handicap": 10}, "10.00", 10),  # 9.5 goes up
        ({"course_handicap": -10}, "-10.00", -9),  # -9.5 goes up
        ({"course_handicap": Decimal("-0.001")}, "0.00", 0),
        ({"course_handicap": Decimal("-0.38")}, "-0.38", 0),
        ({"playing_handicap": 10}, None, 10),  # has had the allowance already
    ],
)
def test_the_handicap_a_player_brings(brought, shown, playing):
    document = event(brought, cards=[PAR])
    document["tees"]["white"] |= {"course_rating": Decimal("70.1"), "slope_rating": 120}
    found = row(document)
    assert (found["course_handicap"], found["playing_handicap"]) == (shown, playing)
    assert sum(found["strokes"]) == playing


def test_a_nine_hole_index_is_halved_and_rounded_to_a_tenth_first():
    """14.5 / 2 = 7.25, a tenth: 7.3; x 113 / 113 + (36.0 - 36) = 7.3; 95 %: 6.935."""
    document = event({"handicap_index": Decimal("14.5")}, cards=[PAR[:9]], holes=9)
    document["tees"]["white"] |= {"course_rating": 36, "slope_rating": 113}
    assert sum(PAR[:9]) == 36
    assert row(document)["course_handicap"] == "7.30"
    document["players"]["p1"]["handicap_index"] = Decimal("-0.5")  # -0.25, a tenth: -0.2
    assert row(document)["course_handicap"] == "-0.20"


def test_the_maximum_comes_before_the_strokes_of_rule_6_2b():
    document = event(
        off(30, tee="red"),
        off(30),
        cards=[PAR, PAR],
        format="medal",
        maximum_playing_handicap=28,
        tees=tees(white=0, red=2),
    )
    assert row(document)["playing_handicap"] == 30
    assert row(document, "p2")["playing_handicap"] == 28
    assert sum(row(document)["strokes"]) == 30


@pytest.mark.parametrize(
    ("terms", "expected"),
    [
        ({"format": "medal"}, 12),
        ({"format": "maximum_score"}, 12),
        ({"format": "stableford"}, 10),
        ({"format": "modified_stableford"}, 10),
        ({"format": "par"}, 10),
        ({"format": "medal", "different_par": False}, 10),
        ({"format": "medal", "reference_par": 70}, 14),
        ({"format": "medal", "reference_par": 72}, 12),
        ({"format": "medal", "basis": "gross", "reference_par": 70}, 0),
    ],
)
def test_different_par_is_added_where_strokes_are_totalled(terms, expected):
    document = event(
        off(10, tee="red"), off(10), cards=[PAR, PAR], tees=tees(white=0, red=2), **terms
    )
    assert row(document)["playing_handicap"] == expected


def test_a_tee_counts_as_in_use_without_a_card_and_an_unused_tee_does_not():
    document = event(
        off(10, tee="red"),
        off(10, tee="red"),
        cards=[PAR, PAR],
        format="medal",
        tees=tees(white=0, red=2),
    )
    assert row(document)["playing_handicap"] == 10
    document["players"]["p3"] = {"name": "No card", "tee": "white", "playing_handicap": 4}
    assert row(document)["playing_handicap"] == 12


def test_gross_works_out_no_handicap_even_if_one_is_given():
    document = event(off(20), {"course_handicap": 9}, {}, cards=[PAR] * 3, basis="gross")
    for key in ("p1", "p2", "p3"):
        found = row(document, key)
        assert found["course_handicap"] is None
        assert (found["playing_handicap"], found["strokes"]) == (0, [0] * 18)
        assert found["total"] == 36


def test_nine_holes_rank_their_own_indexes():
    """Off 10 over nine: one each, and the second on the lowest index, hole 5."""
    document = event(off(10), off(-2), cards=[PAR[:9]] * 2, holes=9)
    assert row(document)["strokes"] == [1, 1, 1, 1, 2, 1, 1, 1, 1]
    assert row(document, "p2")["strokes"] == [0, 0, 0, -1, 0, 0, 0, -1, 0]  # 17 and 15


@pytest.mark.parametrize(
    ("terms", "gross", "expected"),
    [
        ({"format": "stableford"}, [1, 3, 4, 5, 6, 99, None, "-"], [6, 4, 3, 2, 1, 0, 0, 0]),
        ({"format": "par"}, [1, 4, 5, 6, 99, None], [1, 1, 0, -1, -1, -1]),
        ({"format": "medal"}, [1, 4, 99], [1, 4, 99]),
        (
            {"format": "modified_stableford"},
            [1, 2, 3, 4, 5, 6, 7, None],
            [8, 8, 5, 2, 0, -1, -3, -3],
        ),
        (
            {"format": "modified_stableford", "points": {"-1": 9, "0": 4, "1": -7, "none": 3}},
            [1, 4, 5, 6, 7, None],
            [9, 9, 4, -7, -7, 3],
        ),
        ({"format": "maximum_score"}, [1, 7, 8, None], [1, 7, 7, 7]),
        (
            {"format": "maximum_score", "maximum_hole_score": {"kind": "over_par", "strokes": 5}},
            [9, 10, "-"],
            [9, 9, 9],
        ),
        (
            {"format": "maximum_score", "maximum_hole_score": {"kind": "fixed", "strokes": 10}},
            [9, 11, None],
            [9, 10, 10],
        ),
        (
            {"format": "maximum_score", "maximum_hole_score": {"kind": "times_par", "times": 2}},
            [8, 9, None],
            [8, 8, 8],
        ),
    ],
)
def test_the_value_of_a_hole(terms, gross, expected):
    """Par 4 with one stroke received, in every format."""
    for given, wanted in zip(gross, expected, strict=True):
        document = event(off(18), cards=[changed(PAR, h1=given)], **terms)
        assert row(document)["values"][0] == wanted, given


@pytest.mark.parametrize(
    ("format_", "total"),
    [("stableford", 54), ("par", 18), ("medal", 54), ("maximum_score", 54)],
)
def test_totals(format_, total):
    """Level par off 18: one under on every hole, 72 less 18, 18 holes won."""
    assert row(event(off(18), cards=[PAR], format=format_))["total"] == total


def test_a_hole_without_a_score_ends_a_medal_card_only():
    card = changed(PAR, h7=None)
    for format_ in ("stableford", "modified_stableford", "par", "maximum_score"):
        assert len(answer(event(off(4), cards=[card], format=format_))["standings"]) == 1
    assert answer(event(off(4), cards=[card], format="medal"))["unplaced"][0]["status"] == (
        "no_return"
    )


def test_penalty_strokes_come_first_and_add_up():
    rulings = [
        {"kind": "penalty", "player": "p1", "hole": 1, "strokes": 2},
        {"kind": "penalty", "player": "p1", "hole": 1, "strokes": 1},
        {"kind": "penalty", "player": "p1", "hole": 2, "strokes": 2},
    ]
    card = changed(PAR, h2=None)
    medal = event(off(0), cards=[PAR], format="medal", rulings=rulings[:2])
    assert row(medal)["values"][:2] == [7, 4]
    stableford = event(off(0), cards=[card], rulings=rulings)
    assert row(stableford)["values"][:2] == [0, 0]
    capped = event(off(0), cards=[card], format="maximum_score", rulings=rulings)
    assert row(capped)["values"][:2] == [6, 6]
    unfinished = event(off(0), cards=[card], format="medal", rulings=rulings)
    assert answer(unfinished)["unplaced"][0]["status"] == "no_return"


def test_points_off_come_off_the_total_and_never_touch_a_range():
    ruling = {"kind": "points_off", "player": "p1", "points": 2}
    one_better = changed(PAR, h1=PAR[0] - 1, h2=PAR[1] - 1)
    document = event(off(0), off(0), cards=[one_better, PAR], rulings=[ruling])
    assert row(document)["total"] == 36
    assert row(document)["trail"]["10-18"] == row(document, "p2")["trail"]["10-18"] == "18"
    assert places(document) == [(1, True, "p1"), (1, True, "p2")]
    level = {"kind": "points_off", "player": "p1", "points": 1}
    par = event(off(0), cards=[PAR], format="par", rulings=[level, level])
    assert row(par)["total"] == -2


@pytest.mark.parametrize("kind", ["disqualified", "withdrawn", "no_return"])
def test_a_status_wins_over_the_card_and_over_its_absence(kind):
    ruling = {"kind": kind, "player": "p1", "rule": "3.3b", "reason": "signed late"}
    for card in (PAR, changed(PAR, h1=None), None):
        document = event(off(4), cards=[card], format="medal", rulings=[ruling])
        assert answer(document)["standings"] == []
        (out,) = answer(document)["unplaced"]
        assert (out["status"], out["rule"], out["total"]) == (kind, "3.3b", None)


def test_those_without_a_place_stand_in_order_of_key():
    document = event(
        off(4),
        off(4),
        off(4),
        cards=[None, changed(PAR, h1="-"), None],
        format="medal",
        rulings=[{"kind": "withdrawn", "player": "p3"}],
    )
    document["players"] = dict(reversed(document["players"].items()))
    found = [(out["player"], out["status"], out["rule"]) for out in answer(document)["unplaced"]]
    assert found == [("p1", "no_card", None), ("p2", "no_return", None), ("p3", "withdrawn", None)]


def test_joint_places_leave_a_gap_and_stand_in_order_of_key():
    best, worst = changed(PAR, h1=3), changed(PAR, h1=6)
    document = event(*[off(0)] * 4, cards=[worst, PAR, best, PAR])
    assert places(document) == [
        (1, False, "p3"),
        (2, True, "p2"),
        (2, True, "p4"),
        (4, False, "p1"),
    ]


def test_keys_are_compared_code_point_by_code_point():
    document = event(off(0), off(0), off(0), cards=[PAR] * 3)
    for old, new in (("p1", "b"), ("p2", "B"), ("p3", "_")):
        document["players"][new] = document["players"].pop(old)
        document["cards"][new] = document["cards"].pop(old)
    assert [key for _, _, key in places(document)] == ["B", "_", "b"]


def test_fewest_strokes_win_and_the_most_points():
    cards = [changed(PAR, h1=5), PAR]
    assert [key for *_, key in places(event(off(0), off(0), cards=cards, format="medal"))] == [
        "p2",
        "p1",
    ]
    assert [key for *_, key in places(event(off(0), off(0), cards=cards))] == ["p2", "p1"]


def test_the_example_of_the_document_word_for_word():
    """Level on the total and on 10-18, parted on 13-18: own figure first, loser too."""
    one = changed(PAR, h12=PAR[11] + 1, h13=PAR[12] - 1)
    two = changed(PAR, h12=PAR[11] - 1, h13=PAR[12] + 1)
    document = event(off(0), off(0), cards=[one, two])
    assert row(document)["trail"] == {"10-18": "18", "13-18": "13"}
    assert row(document)["settled"] == "won on holes 13-18, 13 v 11 (level on 10-18 at 18)"
    assert row(document, "p2")["settled"] == ("lost on holes 13-18, 11 v 13 (level on 10-18 at 18)")
    assert places(document) == [(1, False, "p1"), (2, False, "p2")]


def test_only_those_still_level_go_on_to_the_next_range():
    better_back = changed(PAR, h1=5, h10=3)
    level_a = changed(PAR, h11=5, h2=3)
    level_b = changed(PAR, h11=5, h3=2)
    alone = changed(PAR, h1=6)
    document = event(*[off(0)] * 4, cards=[level_a, better_back, level_b, alone])
    assert row(document, "p2")["trail"] == {"10-18": "19"}
    assert row(document, "p2")["settled"] == "won on holes 10-18, 19 v 17"
    assert list(row(document)["trail"]) == ["10-18", "13-18", "16-18", "18", "4-9", "7-9", "9"]
    assert row(document)["settled"].startswith(
        "level to the end (17 v 19 on 10-18; level on 13-18 at 12, 16-18 at 6,"
    )
    assert row(document, "p4")["trail"] == {}
    assert row(document, "p4")["settled"] == ""


def test_one_who_beats_one_and_loses_to_another_on_a_range():
    cards = [changed(PAR, h10=3, h1=5), PAR, changed(PAR, h10=5, h1=3)]
    document = event(*[off(0)] * 3, cards=cards)
    assert [row(document, key)["settled"] for key in ("p1", "p2", "p3")] == [
        "won on holes 10-18, 19 v 18 and 17",
        "placed on holes 10-18, 18 v 19 and 17",
        "lost on holes 10-18, 17 v 19 and 18",
    ]


@pytest.mark.parametrize(
    ("share", "figures"),
    [
        ("exact", {"10-18": "30.5", "13-18": "21 1/3", "16-18": "10 1/6", "18": "4 7/18"}),
        ("rounded", {"10-18": "30", "13-18": "21", "16-18": "10", "18": "4"}),
        ("by_stroke_index", {"10-18": "31", "13-18": "22", "16-18": "11", "18": "5"}),
    ],
)
def test_three_ways_of_sharing_a_handicap(share, figures):
    """Off 11 the shares of 9, 6, 3 and 1 holes are 5.5, 3 2/3, 1 5/6 and 11/18.

    Rounded they are 6, 4, 2 and 1. By stroke index the strokes fall on holes 10 (8), 12 (2),
    13 no (12), 14 (6), 15 (10) and 17 (4): five on the nine, three on the six, one on the three.
    """
    twin = changed(PAR, h1=5, h2=3)
    document = event(off(11), off(11), cards=[PAR, twin], format="medal", handicap_share=share)
    gross = {"10-18": 36, "13-18": 25, "16-18": 12, "18": 5}
    assert {label: sum_of(label) for label in gross} == gross
    assert {label: row(document)["trail"][label] for label in figures} == figures


def sum_of(label: str) -> int:
    ends = label.split("-")
    return sum(PAR[int(ends[0]) - 1 : int(ends[-1])])


def test_a_plus_share_is_added_and_rounds_up():
    """Off -3 the half is -1.5: exact 36 + 1.5, rounded -1, so 36 + 1.

    By stroke index 18, 17 and 16 are given back, on holes 16, 6 and 11: two of them on the nine.
    """
    for share, figure in (("exact", "37.5"), ("rounded", "37"), ("by_stroke_index", "38")):
        document = event(off(-3), off(-3), cards=[PAR, PAR], format="medal", handicap_share=share)
        assert row(document)["trail"]["10-18"] == figure


def test_gross_medals_take_nothing_off_a_range():
    document = event(off(11), off(2), cards=[PAR, PAR], format="medal", basis="gross")
    assert row(document)["trail"]["10-18"] == "36"


def test_maximum_score_shares_the_handicap_as_a_medal_does():
    document = event(off(11), off(11), cards=[PAR, PAR], format="maximum_score")
    assert row(document)["trail"]["10-18"] == "30.5"


def test_played_begins_where_the_player_began():
    """Who began on 14 of 18 has holes 5 to 13 as 10-18; who began on 1 has the card's."""
    five_to_thirteen = changed(PAR, h13=PAR[12] - 1, h14=PAR[13] + 1)
    document = event(
        off(0, first_hole=14),
        off(0),
        cards=[five_to_thirteen, five_to_thirteen],
        countback_holes="played",
    )
    assert row(document)["trail"] == {"10-18": "19"}
    assert row(document, "p2")["trail"] == {"10-18": "18"}
    assert row(document)["settled"] == "won on holes 10-18 in the order played, 19 v 18"
    document["terms"]["countback_holes"] = "card"
    assert row(document)["tied"] is True


def test_a_single_hole_and_no_countback_at_all():
    cards = [changed(PAR, h18=4, h1=5), PAR]
    single = event(off(0), off(0), cards=cards, countback=["18"])
    assert row(single)["settled"] == "won on hole 18, 3 v 2"
    none = event(off(0), off(0), cards=cards, countback=[])
    assert row(none)["trail"] == {}
    assert row(none)["tied"] is True
    assert row(none)["settled"] == (
        "level on the total, and there is no countback: the place is shared"
    )


def test_nine_holes_have_their_own_countback():
    document = event(off(0), off(0), cards=[PAR[:9]] * 2, holes=9)
    assert row(document)["trail"] == {"4-9": "12", "7-9": "6", "9": "2"}


def test_the_lower_handicap_decides_after_every_range():
    document = event(
        off(1), off(0), cards=[changed(PAR, h5=5), PAR], after_countback="lower_handicap",
        countback=["18"],
    )  # fmt: skip
    assert places(document) == [(1, False, "p2"), (2, False, "p1")]
    assert row(document)["trail"] == {"18": "2"}
    assert row(document)["settled"] == "lost on the lower handicap, 1 v 0 (level on 18 at 2)"
    document["players"]["p2"]["playing_handicap"] = 1
    document["cards"]["p2"] = document["cards"]["p1"]
    assert places(document) == [(1, True, "p1"), (1, True, "p2")]
    assert row(document)["settled"] == (
        "level to the end (level on 18 at 2, handicap at 1): the place is shared"
    )


def test_an_order_ends_a_tie_with_its_reason_word_for_word():
    reason = "drawn by lot, “p3” first"
    order = {"kind": "order", "players": ["p3", "p1", "p2"], "reason": reason, "rule": "5A(6)"}
    document = event(*[off(0)] * 4, cards=[PAR, PAR, PAR, changed(PAR, h1=9)], rulings=[order])
    assert places(document) == [
        (1, False, "p3"),
        (2, False, "p1"),
        (3, False, "p2"),
        (4, False, "p4"),
    ]
    for key in ("p1", "p2", "p3"):
        assert row(document, key)["settled"] == reason
        assert len(row(document, key)["trail"]) == 7


def test_penalties_count_for_an_order_wherever_they_stand():
    document = event(
        off(0),
        off(0),
        cards=[changed(PAR, h1=3), PAR],
        rulings=[
            {"kind": "order", "players": ["p2", "p1"], "reason": "by lot"},
            {"kind": "penalty", "player": "p1", "hole": 1, "strokes": 1},
        ],
    )
    assert places(document) == [(1, False, "p2"), (2, False, "p1")]


def test_divisions_are_placed_afresh_with_the_same_handicaps():
    document = event(
        off(0, divisions=["Seniors", "Blue"], tee="red"),
        off(0),
        off(0, divisions=["Seniors"], tee="red"),
        off(0, divisions=["Seniors"], tee="red"),
        cards=[PAR, changed(PAR, h1=3), changed(PAR, h1=8), None],
        format="medal",
        tees=tees(white=0, red=1),
    )
    found = answer(document)["divisions"]
    assert list(found) == ["Blue", "Seniors"]
    seniors = found["Seniors"]
    assert [(row["place"], row["player"]) for row in seniors["standings"]] == [
        (1, "p1"),
        (2, "p3"),
    ]
    assert {row["playing_handicap"] for row in seniors["standings"]} == {1}
    assert [out["player"] for out in seniors["unplaced"]] == ["p4"]
    assert list(seniors) == ["standings", "unplaced"]
    assert found["Blue"]["standings"][0]["trail"] == {}


def test_a_tie_in_a_division_is_ordered_by_the_ruling_that_names_all_of_it():
    order = {"kind": "order", "players": ["p3", "p2", "p1"], "reason": "by lot"}
    seniors = {"divisions": ["Seniors"]}
    document = event(off(0, **seniors), off(0), off(0, **seniors), cards=[PAR] * 3, rulings=[order])
    found = answer(document)["divisions"]["Seniors"]["standings"]
    assert [(row["place"], row["tied"], row["player"]) for row in found] == [
        (1, False, "p3"),
        (2, False, "p1"),
    ]


def test_a_division_of_people_who_have_no_place_is_listed():
    document = event(off(0, divisions=["Late"]))
    assert answer(document)["divisions"] == {
        "Late": {
            "standings": [],
            "unplaced": [
                {
                    "player": "p1",
                    "name": "Player p1",
                    "status": "no_card",
                    "rule": None,
                    "total": None,
                }
            ],
        }
    }


def test_the_text_says_the_same_with_the_sentence_under_each_tie():
    order = {"kind": "withdrawn", "player": "p4", "rule": "5.7"}
    document = event(
        off(0, divisions=["Seniors"]),
        off(0),
        off(3),
        off(0),
        cards=[PAR, PAR, PAR, PAR],
        rulings=[order],
        countback=["18"],
    )
    text = answer_text(answer(document))
    assert text.splitlines()[2:9] == [
        "Place  Name       Course  Playing  Total  Holes",
        "    1  Player p3       -        3     39  2 3 2 2 3 2 2 2 2  2 2 3 2 2 2 2 2 2",
        "   =2  Player p1       -        0     36  2 2 2 2 2 2 2 2 2  2 2 2 2 2 2 2 2 2",
        "       level to the end (level on 18 at 2): the place is shared",
        "   =2  Player p2       -        0     36  2 2 2 2 2 2 2 2 2  2 2 2 2 2 2 2 2 2",
        "       level to the end (level on 18 at 2): the place is shared",
        "",
    ]
    assert text.splitlines()[9:] == [
        "Without a place",
        "  Player p4: withdrawn (Rule 5.7)",
        "",
        "Seniors",
        "",
        "Place  Name       Course  Playing  Total  Holes",
        "    1  Player p1       -        0     36  2 2 2 2 2 2 2 2 2  2 2 2 2 2 2 2 2 2",
    ]
    nobody = answer_text(answer(event(off(0))))
    assert nobody.splitlines()[2:] == ["Nobody has a place.", "", "Without a place",
                                       "  Player p1: no card"]  # fmt: skip
