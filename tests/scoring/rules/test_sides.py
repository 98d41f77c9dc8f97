"""Sides: reading them, handicaps, values and answers.

Source: event document, sections 1, 1.1 to 1.5. Expected figures are worked out by hand.
"""

from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest

from scoring.rules.engine import answer_text, score
from scoring.rules.event import read_event
from scoring.rules.strict_json import Refused
from tests.scoring.rules.documents import INDEX, PAR, event, off
from tests.scoring.rules.test_engine import ROW_KEYS, answer, changed, places, row, tees
from tests.scoring.rules.test_refusals import GONE, spoil


def own(*players: dict[str, Any], size: int = 2, **more: Any) -> dict[str, Any]:
    """An own-ball event; sides s1, s2 ... of so many players in their order."""
    more.setdefault("format", "four_ball")
    more.setdefault("scoring", "stableford")
    if more["format"] == "best_of":
        more.setdefault("best", 1)
        more.setdefault("allowance", 100)
    document = event(*players, **more)
    keys = list(document["players"])
    document["sides"] = {
        f"s{number + 1}": keys[number * size : (number + 1) * size]
        for number in range(len(keys) // size)
    }
    return document


def one(*players: dict[str, Any], cards: list[Any] | None = None, **more: Any) -> dict[str, Any]:
    """A one-ball event; the cards are the sides'."""
    more.setdefault("format", "foursomes")
    document = own(*players, **more)
    document["cards"] = {
        f"s{number}": list(card) for number, card in enumerate(cards or [], start=1) if card
    }
    return document


def course(handicap: object, **more: object) -> dict[str, Any]:
    return {"course_handicap": handicap, **more}


def place_of(document: dict[str, Any]) -> str:
    with pytest.raises(Refused) as refused:
        read_event(document)
    return refused.value.place


ONE_SIDE = {"kind": "withdrawn", "side": "s1"}
OWN_CASES: list[tuple[tuple[str | int, ...], object, str]] = [
    (("sides",), GONE, "sides"),
    (("sides",), [], "sides"),
    (("sides", "s1"), "p1", "sides.s1"),
    (("sides", "s1"), ["p1"], "sides.s1"),
    (("sides", "s1"), ["p1", "p2", "p5"], "sides.s1[2]"),
    (("sides", "s1"), ["p1", 2], "sides.s1[1]"),
    (("sides", "s1"), ["p1", "p1"], "sides.s1[1]"),
    (("sides", "s2"), ["p3", "p1"], "sides.s2[1]"),
    (("sides", "s2"), GONE, "players.p3"),
    (("sides", "a b"), [], 'sides."a b"'),
    (("sides", "s" * 41), [], "sides." + "s" * 41),
    (("sides", "s3"), [], "sides.s3"),
    (("terms", "scoring"), GONE, "terms.scoring"),
    (("terms", "scoring"), "four_ball", "terms.scoring"),
    (("terms", "scoring"), "points", "terms.scoring"),
    (("terms", "scoring"), None, "terms.scoring"),
    (("terms", "format"), GONE, "terms.format"),
    (("terms", "format"), "fourball", "terms.format"),
    (("terms", "format"), ["four_ball"], "terms.format"),
    (("terms",), [], "terms"),
    (("terms", "best"), 1, "terms.best"),
    (("terms", "allowance"), [50, 50], "terms.allowance"),
    (("terms", "points"), {"0": 1, "none": 0}, "terms.points"),
    (("cards", "s1"), PAR, "cards.s1"),
    (("players", "p1", "playing_handicap"), GONE, "players.p1"),
    (("rulings",), [{"kind": "penalty", "side": "s1", "hole": 1, "strokes": 1}],
     "rulings[0].side"),
    (("rulings",), [{"kind": "points_off", "player": "p1", "points": 1}], "rulings[0].player"),
    (("rulings",), [{"kind": "withdrawn", "player": "p1"}], "rulings[0].player"),
    (("rulings",), [{"kind": "no_return", "side": "s9"}], "rulings[0].side"),
    (("rulings",), [{"kind": "no_return"}], "rulings[0].side"),
    (("rulings",), [{"kind": "disqualified"}], "rulings[0]"),
    (("rulings",), [{"kind": "disqualified", "side": "s1", "player": "p1"}], "rulings[0]"),
    (("rulings",), [{"kind": "disqualified", "player": "s1"}], "rulings[0].player"),
    (("rulings",), [{"kind": "disqualified", "player": "p1"}] * 2, "rulings[1].kind"),
    (("rulings",), [ONE_SIDE, {"kind": "disqualified", "side": "s1"}], "rulings[1].kind"),
    (("rulings",), [{"kind": "order", "players": ["p1", "p2"], "reason": "x"}],
     "rulings[0].players"),
    (("rulings",), [{"kind": "order", "sides": ["s1", "s1"], "reason": "x"}],
     "rulings[0].sides[1]"),
    (("rulings",), [{"kind": "order", "sides": ["s1"], "reason": "x"}], "rulings[0].sides"),
    (("rulings",), [ONE_SIDE, {"kind": "order", "sides": ["s1", "s2"], "reason": "x"}],
     "rulings[1].sides"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "place"), OWN_CASES)
def test_own_ball_documents_are_refused_at_their_place(path, value, place):
    document = own(*[off(4)] * 4, cards=[PAR] * 4)
    read_event(document)
    spoil(document, path, deepcopy(value))
    assert place_of(document) == place


ONE_CASES: list[tuple[tuple[str | int, ...], object, str]] = [
    (("terms", "allowance"), 50, "terms.allowance"),
    (("terms", "allowance"), [50], "terms.allowance"),
    (("terms", "allowance"), [], "terms.allowance"),
    (("terms", "allowance"), [50, 50, 50], "terms.allowance"),
    (("terms", "allowance"), [50, 101], "terms.allowance[1]"),
    (("terms", "allowance"), [Decimal("0.1234567"), 1], "terms.allowance[0]"),
    (("players", "p1"), {"name": "x", "tee": "white", "playing_handicap": 4},
     "players.p1.playing_handicap"),
    (("cards", "p1"), PAR, "cards.p1"),
    (("rulings",), [{"kind": "penalty", "player": "p1", "hole": 1, "strokes": 1}],
     "rulings[0].player"),
    (("rulings",), [{"kind": "disqualified", "player": "p1"}], "rulings[0].player"),
    (("sides", "s1"), ["p1", "p2", "p3"], "sides.s1"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "place"), ONE_CASES)
def test_one_ball_documents_are_refused_at_their_place(path, value, place):
    document = one(*[course(4)] * 4, cards=[PAR, PAR])
    read_event(document)
    spoil(document, path, deepcopy(value))
    assert place_of(document) == place


def test_sides_that_do_not_suit_the_format_are_refused():
    three = own(*[off(4)] * 3, size=3, format="aggregate")
    read_event(three)
    for format_ in ("four_ball", "foursomes", "greensomes", "chapman"):
        trio = own(*[course(4)] * 3, size=3, format=format_)
        assert place_of(trio) == "sides.s1"
    mixed = own(*[off(4)] * 4, format="aggregate")
    mixed["sides"] = {"s1": ["p1"], "s2": ["p2", "p3", "p4"]}
    assert place_of(mixed) == "sides.s1"
    mixed = own(*[off(4)] * 5, format="aggregate")
    mixed["sides"] = {"s1": ["p1", "p2"], "s2": ["p3", "p4", "p5"]}
    assert place_of(mixed) == "sides.s2"
    assert place_of(own(*[off(4)] * 9, size=9, format="aggregate")) == "sides.s1"
    assert place_of(own(*[off(4)] * 9, size=9, format="best_of")) == "sides.s1"
    assert place_of(one(*[course(4)] * 5, size=5, format="scramble")) == "sides.s1"


@pytest.mark.parametrize(
    ("best", "place"),
    [
        (0, "terms.best"),
        (3, "terms.best"),
        (9, "terms.best"),
        (True, "terms.best"),
        (Decimal("1.0"), "terms.best"),
        ("1", "terms.best"),
        (None, "terms.best"),
        ([1] * 17, "terms.best"),
        ([1] * 17 + [0], "terms.best[17]"),
        ([1, 3] + [1] * 16, "terms.best[1]"),
        ([1, True] + [1] * 16, "terms.best[1]"),
        (GONE, "terms.best"),
    ],
)
def test_how_many_count_goes_up_to_the_smallest_side(best, place):
    document = own(*[off(4)] * 5, format="best_of", allowance=90)
    document["sides"] = {"s1": ["p1", "p2", "p3"], "s2": ["p4", "p5"]}
    read_event(document)
    spoil(document, ("terms", "best"), best)
    assert place_of(document) == place


def test_best_of_wants_an_allowance_where_none_is_recommended():
    fours = own(*[course(10)] * 8, size=4, cards=[PAR] * 8, format="best_of", best=2)
    del fours["terms"]["allowance"]
    read_event(fours)
    for change in (
        {"best": [2] * 18},
        {"best": [1] * 9 + [2] * 9},
    ):
        document = deepcopy(fours)
        document["terms"] |= change
        assert place_of(document) == "terms.allowance"
        document["terms"]["basis"] = "gross"
        read_event(document)
    threes = own(*[course(10)] * 3, size=3, format="best_of", best=1)
    del threes["terms"]["allowance"]
    assert place_of(threes) == "terms.allowance"


@pytest.mark.parametrize(
    ("terms", "size", "expected"),
    [
        # Every member has a Course Handicap of 20: the Playing Handicap is a fifth of the percent.
        ({"format": "four_ball", "scoring": "stableford"}, 2, 17),
        ({"format": "four_ball", "scoring": "medal"}, 2, 17),
        ({"format": "four_ball", "scoring": "par"}, 2, 18),
        ({"format": "aggregate", "scoring": "stableford"}, 2, 20),
        ({"format": "best_of", "scoring": "stableford", "best": 1}, 4, 15),
        ({"format": "best_of", "scoring": "medal", "best": 2}, 4, 17),
        ({"format": "best_of", "scoring": "medal", "best": 3}, 4, 20),
        ({"format": "best_of", "scoring": "medal", "best": 4}, 4, 20),
        ({"format": "best_of", "scoring": "par", "best": 1}, 4, 15),
        ({"format": "best_of", "scoring": "par", "best": 2}, 4, 16),
        ({"format": "best_of", "scoring": "par", "best": 3}, 4, 18),
        ({"format": "best_of", "scoring": "par", "best": 4}, 4, 20),
        ({"format": "best_of", "scoring": "par", "best": 1, "allowance": 50}, 2, 10),
    ],
)
def test_recommended_allowances_of_own_ball_sides(terms, size, expected):
    """Seen through the lower handicap: the sum of the members' Playing Handicaps."""
    document = event(
        *[course(20)] * (2 * size),
        cards=[PAR] * 2 * size,
        **terms,
        after_countback="lower_handicap",
    )
    keys = list(document["players"])
    document["sides"] = {"s1": keys[:size], "s2": keys[size:]}
    assert f"handicap at {expected * size})" in row(document, "s1")["settled"]
    assert row(document, "s1")["playing_handicap"] is None
    assert row(document, "s1")["strokes"] is None
    assert row(document, "s1")["course_handicap"] is None


@pytest.mark.parametrize(
    ("format_", "courses", "expected"),
    [
        ("foursomes", [12, 19], 16),  # 15.5 goes up
        ("greensomes", [19, 12], 15),  # 60 % of 12 and 40 % of 19: 14.8
        ("chapman", [19, 12], 15),
        ("scramble", [20, 10], 7),  # 3.5 + 3
        ("scramble", [30, 10, 20], 10),  # 3 + 4 + 3
        ("scramble", [40, 30, 20, 10], 15),  # 2.5 + 4 + 4.5 + 4
        ("foursomes", [Decimal("-2.4"), Decimal("1.5")], 0),  # -0.45
    ],
)
def test_recommended_shares_of_one_ball_sides(format_, courses, expected):
    players = [course(value) for value in courses]
    document = one(*players, size=len(players), cards=[PAR], format=format_)
    found = row(document, "s1")
    assert found["playing_handicap"] == expected
    assert sum(found["strokes"]) == expected
    assert found["course_handicap"] is None


def test_scramble_sides_may_differ_in_size_where_the_shares_are_left_out():
    document = one(*[course(20)] * 5, size=5, cards=[PAR, PAR], format="scramble")
    document["sides"] = {"s1": ["p1", "p2"], "s2": ["p3", "p4", "p5"]}
    assert row(document, "s1")["playing_handicap"] == 10  # 35 + 15 per cent of 20
    assert row(document, "s2")["playing_handicap"] == 12  # 60 per cent of 20
    document["terms"]["allowance"] = [35, 15]
    assert place_of(document) == "terms.allowance"


def test_a_one_ball_side_plays_the_tee_and_par_of_its_first_named_player():
    """Par of the side's tee in every Course Handicap, the ratings of each member's own tee.

    p1 on red (par 74): 11.3 x 113/113 + 72.0 - 74 = 9.3; p2 on white: 20 + 71.0 - 74 = 17.
    Half of 26.3 is 13.15: 13, and 2 more for par 74 against the lowest tee some side is on.
    """
    marks = tees(red=2, white=0)
    marks["red"] |= {"course_rating": 72, "slope_rating": 113}
    marks["white"] |= {"course_rating": 71, "slope_rating": 113}
    document = one(
        {"handicap_index": Decimal("11.3"), "tee": "red"},
        {"handicap_index": 20},
        course(10),
        course(10, tee="red"),
        cards=[PAR, PAR],
        scoring="medal",
        tees=marks,
    )
    assert row(document, "s1")["playing_handicap"] == 15
    assert row(document, "s2")["playing_handicap"] == 10
    document["terms"]["maximum_playing_handicap"] = 12
    assert row(document, "s1")["playing_handicap"] == 14
    document["sides"]["s2"].reverse()  # now no side is on white: nobody gets extra strokes
    assert row(document, "s1")["playing_handicap"] == 12
    document["terms"]["reference_par"] = 74
    read_event(document)
    document["sides"]["s2"].reverse()
    assert place_of(document) == "terms.reference_par"


def test_one_ball_sides_are_scored_like_a_player():
    rulings = [
        {"kind": "penalty", "side": "s1", "hole": 1, "strokes": 2},
        {"kind": "points_off", "side": "s2", "points": 2},
        {"kind": "disqualified", "side": "s3", "rule": "22.3"},
    ]
    document = one(*[course(0)] * 8, cards=[PAR, PAR, PAR], rulings=rulings)
    assert [row(document, key)["total"] for key in ("s1", "s2")] == [34, 34]
    assert row(document, "s1")["values"][0] == 0
    out = answer(document)["unplaced"]
    assert [(one["side"], one["status"], one["rule"]) for one in out] == [
        ("s3", "disqualified", "22.3"),
        ("s4", "no_card", None),
    ]
    medal = one(*[course(9)] * 2, cards=[PAR], scoring="medal", format="chapman")
    assert row(medal, "s1")["total"] == 72 - 9
    gross = one(*[off(9)] * 2, cards=[PAR], scoring="medal", basis="gross")
    assert row(gross, "s1")["total"] == 72
    assert (
        answer(one(*[course(9)] * 2, cards=[changed(PAR, h1=None)], scoring="medal"))["unplaced"][
            0
        ]["status"]
        == "no_return"
    )


def test_one_ball_medals_share_the_handicap_over_a_range():
    document = one(*[course(11)] * 4, cards=[PAR, PAR], scoring="medal", countback=["10-18"])
    assert row(document, "s1")["trail"] == {"10-18": "30.5"}


def test_own_ball_medals_are_net_of_the_strokes_received_on_each_hole():
    """Off 17 (85 % of 20) strokes fall everywhere but on index 18, hole 16; the partner is off 0.

    Both play par, so the side is 17 under; on the back nine eight strokes come off 36.
    """
    document = own(course(20), course(0), course(20), course(0), cards=[PAR] * 4, scoring="medal")
    found = row(document, "s1")
    assert found["values"] == [par - (index != 18) for par, index in zip(PAR, INDEX, strict=True)]
    assert found["total"] == 72 - 17
    assert found["trail"]["10-18"] == "28"


def test_maximum_score_of_own_balls_is_net_too():
    document = own(off(18), off(0), cards=[[9] * 18, [None] * 18], scoring="maximum_score")
    assert row(document, "s1")["values"] == [par + 2 for par in PAR]  # both net double bogey


@pytest.mark.parametrize(
    ("terms", "expected"),
    [
        ({"format": "four_ball", "scoring": "stableford"}, 3),
        ({"format": "four_ball", "scoring": "medal"}, 3),
        ({"format": "four_ball", "scoring": "par"}, 1),
        ({"format": "aggregate", "scoring": "stableford"}, 4),
        ({"format": "aggregate", "scoring": "medal"}, 8),
        ({"format": "best_of", "scoring": "stableford", "best": 1}, 3),
        ({"format": "best_of", "scoring": "stableford", "best": 2}, 4),
        ({"format": "best_of", "scoring": "medal", "best": 2}, 8),
        ({"format": "best_of", "scoring": "medal", "best": [1] + [2] * 17}, 3),
    ],
)
def test_what_counts_for_the_side_on_a_hole(terms, expected):
    """Par 4: a 3 and a 5, off scratch."""
    document = own(off(0), off(0), cards=[changed(PAR, h1=3), changed(PAR, h1=5)], **terms)
    assert row(document, "s1")["values"][0] == expected


def test_a_side_short_of_scores_is_no_return_in_a_medal_only():
    cards = [changed(PAR, h1=None), PAR]
    assert row(own(off(0), off(0), cards=cards, scoring="medal"), "s1")["values"][0] == 4
    both = own(off(0), off(0), cards=cards, scoring="medal", format="aggregate")
    assert answer(both)["unplaced"][0]["status"] == "no_return"
    both["terms"]["scoring"] = "stableford"
    assert row(both, "s1")["values"][0] == 2
    both["terms"]["scoring"] = "modified_stableford"
    assert row(both, "s1")["values"][0] == -3


def test_a_member_without_a_card_has_no_score_on_any_hole():
    document = own(off(0), off(0), off(0), off(0), cards=[PAR], scoring="medal")
    assert row(document, "s1")["total"] == 72
    out = answer(document)["unplaced"]
    assert [(one["side"], one["status"]) for one in out] == [("s2", "no_card")]


def test_a_member_disqualified_and_all_members_disqualified():
    first = {"kind": "disqualified", "player": "p1", "rule": "4.1"}
    second = {"kind": "disqualified", "player": "p2", "rule": "1.2"}
    document = own(off(0), off(0), cards=[[1] * 18, PAR], scoring="medal", rulings=[first])
    assert row(document, "s1")["total"] == 72
    document["rulings"] = [second, first]
    (out,) = answer(document)["unplaced"]
    assert (out["side"], out["status"], out["rule"]) == ("s1", "disqualified", "4.1")
    document["cards"] = {}
    assert answer(document)["unplaced"] == [out]
    document["rulings"] = [second]
    assert answer(document)["unplaced"][0]["status"] == "no_card"
    document["rulings"] = [{"kind": "withdrawn", "side": "s1"}, first, second]
    assert answer(document)["unplaced"][0]["status"] == "withdrawn"


def test_rulings_on_own_ball_sides():
    rulings = [
        {"kind": "penalty", "player": "p1", "hole": 1, "strokes": 2},
        {"kind": "points_off", "side": "s1", "points": 3},
    ]
    document = own(off(0), off(0), cards=[PAR, changed(PAR, h1=5)], rulings=rulings)
    assert row(document, "s1")["values"][0] == 1
    assert row(document, "s1")["total"] == 1 + 34 - 3


def test_the_answer_of_sides_names_them_by_their_members():
    document = own(
        off(0, divisions=["A", "B"], first_hole=10),
        off(0, divisions=["B"]),
        off(0),
        off(0, divisions=["B", "C"]),
        cards=[PAR] * 4,
        rulings=[{"kind": "order", "sides": ["s2", "s1"], "reason": "by lot"}],
    )
    found = answer(document)
    assert list(found["standings"][0]) == ["side" if key == "player" else key for key in ROW_KEYS]
    assert [(one["place"], one["tied"], one["name"]) for one in found["standings"]] == [
        (1, False, "Player p3 & Player p4"),
        (2, False, "Player p1 & Player p2"),
    ]
    assert {name: len(lists["standings"]) for name, lists in found["divisions"].items()} == {
        "A": 0,
        "B": 1,
        "C": 0,
    }
    assert "Player p3 & Player p4" in answer_text(found)


def test_the_first_hole_of_a_side_is_that_of_its_first_named_player():
    """Began on 14: 10-18 in the order played are holes 5 to 13."""
    card = changed(PAR, h13=PAR[12] - 1, h14=PAR[13] + 1)
    document = own(
        off(0, first_hole=14),
        off(0),
        off(0),
        off(0, first_hole=14),
        cards=[card, [None] * 18, card, [None] * 18],
        countback_holes="played",
    )
    assert row(document, "s1")["trail"] == {"10-18": "19"}
    assert places(document) == [(1, False, "s1"), (2, False, "s2")]


def test_the_engine_scores_what_it_read():
    document = own(off(4), off(4), cards=[PAR, PAR])
    assert score(read_event(document)) == answer(document)
