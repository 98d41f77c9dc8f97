"""What may stand on the card of a course, and what a change or a file would do."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.values import Category
from society.courses.rules import (
    COLUMNS,
    NEEDED,
    CourseData,
    CoursePromise,
    Fault,
    RatedHoles,
    RatingData,
    TeeData,
    Typed,
    changes,
    promises,
    read_card,
)
from society.web.rules import Outcome
from society.web.sheets import read_sheet

TODAY = date(2026, 4, 15)
PAR = "4 4 3 5 4 4 3 4 5 4 3 4 5 4 4 3 4 5"
INDEX = "7 3 15 11 1 9 17 5 13 8 16 2 12 6 10 18 4 14"
YARDS = " ".join(str(300 + n) for n in range(18))
TYPED = Typed(
    tee="Yellow",
    category="men",
    par=PAR,
    stroke_index=INDEX,
    yards=YARDS,
    ratings={RatedHoles.EIGHTEEN: ("70.1", "120")},
    valid_from="2026-04-01",
)


def faults(holes: int = 18, **change: object) -> list[str]:
    card, wrong = read_card(replace(TYPED, **change), holes)
    assert (card is None) == bool(wrong)
    return [fault.words for fault in wrong]


def test_a_card_is_read() -> None:
    card, wrong = read_card(TYPED, 18)
    assert wrong == []
    assert sum(card.par) == 72
    assert card.stroke_index[:3] == (7, 3, 15)
    assert card.ratings == (
        RatingData(RatedHoles.EIGHTEEN, Decimal("70.1"), 120, date(2026, 4, 1)),
    )


def test_commas_and_lines_part_figures_too() -> None:
    assert faults(par=PAR.replace(" ", ","), stroke_index=INDEX.replace(" ", "\n")) == []


def test_an_unrated_card_without_yards_is_taken() -> None:
    card, wrong = read_card(replace(TYPED, ratings={}, yards="", valid_from=""), 18)
    assert (wrong, card.ratings, card.yards) == ([], (), ())


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"par": PAR[:-2]}, "Yellow, men: par has 17 figures, and 18 are needed."),
        ({"par": ""}, "Yellow, men: par has 0 figures, and 18 are needed."),
        ({"par": "9" + PAR[1:]}, "Yellow, men, hole 1: par 9 is not from 3 to 6."),
        ({"par": "x" + PAR[1:]}, "Yellow, men, hole 1: par “x” is no whole number."),
        ({"par": "4.0" + PAR[1:]}, "Yellow, men, hole 1: par “4.0” is no whole number."),
        (
            {"stroke_index": INDEX.replace("15", "7")},
            "Yellow, men, hole 3: stroke index 7 stands on hole 1 already; 15 is missing.",
        ),
        (
            {"stroke_index": INDEX.replace("18", "19")},
            "Yellow, men, hole 16: stroke index 19 is not from 1 to 18.",
        ),
        (
            {"stroke_index": "0" + INDEX[1:]},
            "Yellow, men, hole 1: stroke index 0 is not from 1 to 18.",
        ),
        ({"yards": "39 " + YARDS[4:]}, "Yellow, men, hole 1: yards 39 is not from 40 to 900."),
        ({"tee": " "}, "A tee without a name, men: name the tee."),
        ({"tee": "x" * 41}, "The tee is longer than 40 letters."),
        ({"category": "boys"}, "Yellow, boys: the category is men or women."),
        ({"valid_from": "soon"}, "Yellow, men: say from which day the rating is valid"),
    ],
)
def test_a_fault_names_tee_category_and_hole(change: dict[str, str], said: str) -> None:
    assert any(words.startswith(said) for words in faults(**change))


@pytest.mark.parametrize(
    ("rated", "pair", "said"),
    [
        # the limits of the event document; slope 55 to 155 is Rules of Handicapping, Slope Rating
        (RatedHoles.EIGHTEEN, ("9.9", "120"), "course rating 9.9 for 18 holes is not from 10"),
        (RatedHoles.EIGHTEEN, ("100.1", "120"), "course rating 100.1"),
        (RatedHoles.EIGHTEEN, ("70.12", "120"), "course rating 70.12"),
        (RatedHoles.EIGHTEEN, ("abc", "120"), "course rating abc"),
        (RatedHoles.EIGHTEEN, ("70.1", "54"), "slope rating 54 for 18 holes is not a whole"),
        (RatedHoles.EIGHTEEN, ("70.1", "156"), "slope rating 156"),
        (RatedHoles.EIGHTEEN, ("70.1", "120.5"), "slope rating 120.5"),
        (RatedHoles.EIGHTEEN, ("70.1", ""), "go together"),
        (RatedHoles.EIGHTEEN, ("", "120"), "go together"),
        (RatedHoles.EIGHTEEN, ("35.1", "120"), "far from par"),
        (RatedHoles.FIRST_NINE, ("70.1", "120"), "far from par"),
        (RatedHoles.SECOND_NINE, ("9", "120"), "for the second nine is not from 10"),
    ],
)
def test_an_impossible_rating_is_refused(
    rated: RatedHoles, pair: tuple[str, str], said: str
) -> None:
    assert any(said in words for words in faults(ratings={rated: pair}))


@pytest.mark.parametrize("pair", [("70", "55"), ("70,1", "155"), ("90.0", "120")])
def test_possible_ratings_are_taken(pair: tuple[str, str]) -> None:
    assert faults(ratings={RatedHoles.EIGHTEEN: pair}) == []


def test_all_faults_are_told_at_once_with_their_fields() -> None:
    _, wrong = read_card(replace(TYPED, par="1", stroke_index="1", yards="1"), 18)
    assert [fault.field for fault in wrong] == ["par", "stroke_index", "yards"]
    assert all(isinstance(fault, Fault) for fault in wrong)


def test_a_course_of_nine() -> None:
    nine = {
        "par": "4 3 5 4 4 3 4 4 5",
        "yards": "",
        "ratings": {RatedHoles.FIRST_NINE: ("34.5", "110")},
    }
    assert faults(9, **nine, stroke_index="1 3 5 7 9 11 13 15 17") == []
    assert faults(9, **nine, stroke_index="1 2 3 4 5 6 7 8 9") == []
    assert "already" in faults(9, **nine, stroke_index="1 2 3 4 5 6 7 8 8")[0]
    wrong = nine | {"ratings": {RatedHoles.EIGHTEEN: ("69.0", "110")}}
    assert "has no rating for 18 holes" in faults(9, **wrong, stroke_index="1 2 3 4 5 6 7 8 9")[0]


@given(st.permutations(range(1, 19)))
def test_every_permutation_is_a_stroke_index(index: list[int]) -> None:
    assert faults(stroke_index=" ".join(map(str, index))) == []


@given(st.lists(st.integers(1, 18), min_size=18, max_size=18))
def test_nothing_else_is(index: list[int]) -> None:
    taken = faults(stroke_index=" ".join(map(str, index))) == []
    assert taken == (sorted(index) == list(range(1, 19)))


# changes

CARD, _ = read_card(TYPED, 18)
COURSE = CourseData("Fen", 18, (TeeData("Yellow", (CARD,), "t1"),), "by the mere")


def test_a_new_course_says_all_of_it() -> None:
    assert changes(None, COURSE) == [
        "New course of 18 holes",
        "New card for Yellow, men: par 72, 5,553 yards",
        "Yellow, men: rated 70.1 / 120 for 18 holes from 1 April 2026",
    ]


def test_what_is_the_same_is_no_change() -> None:
    assert changes(COURSE, COURSE) == []
    bare = replace(CARD, yards=(), ratings=())
    assert changes(COURSE, replace(COURSE, tees=(TeeData("yellow", (bare,)),))) == []


def test_each_change_is_told() -> None:
    par = (5, *CARD.par[1:])
    index = (3, 7, *CARD.stroke_index[2:])
    later = RatingData(RatedHoles.EIGHTEEN, Decimal("70.4"), 121, date(2026, 5, 1))
    card = replace(CARD, par=par, stroke_index=index, ratings=(*CARD.ratings, later))
    women = replace(CARD, category=Category.WOMEN, ratings=())
    wanted = CourseData("Fenmere", 18, (TeeData("Gold", (card, women), "t1"),))
    assert changes(COURSE, wanted) == [
        "Name: Fen becomes Fenmere",
        "Place: by the mere becomes none",
        "Tee Yellow becomes Gold",
        "Gold, men: par changes on hole 1",
        "Gold, men: stroke index changes on holes 1, 2",
        "Gold, men: rated 70.4 / 121 for 18 holes from 1 May 2026",
        "New card for Gold, women: par 72, 5,553 yards",
    ]


# a file


def sheet(course: str = "Fen", holes: int = 18, **change: str) -> str:
    """A file with one tee and category, a line for each hole."""
    pars, indexes = PAR.split(), INDEX.split()
    if holes == 9:
        indexes = [str(n) for n in range(1, 10)]
    cells = {"rating": "70.1", "slope": "120", "from": "2026-04-01"} | change
    rows = ["course,place,tee,category,hole,par,SI,yards,course rating,slope rating,rating from"]
    for n in range(holes):
        rated = f"{cells['rating']},{cells['slope']},{cells['from']}" if n == 0 else ",,"
        rows.append(f"{course},mere,Yellow,men,{n + 1},{pars[n]},{indexes[n]},{300 + n},{rated}")
    return "\n".join(rows) + "\n"


def promised(text: str, *kept: CourseData) -> list[CoursePromise]:
    lines = read_sheet(text, COLUMNS, NEEDED).lines
    return promises(lines, {course.name.casefold(): course for course in kept}, TODAY)


def test_a_file_gives_the_course_as_typed() -> None:
    (made,) = promised(sheet())
    assert made.outcome is Outcome.NEW
    assert made.data == CourseData("Fen", 18, (TeeData("Yellow", (CARD,)),), "mere")


def test_the_order_of_lines_does_not_matter() -> None:
    head, *rows = sheet().splitlines()
    assert promised("\n".join([head, *reversed(rows)]))[0].data == promised(sheet())[0].data


def test_the_same_file_again_is_unchanged() -> None:
    (made,) = promised(sheet())
    (again,) = promised(sheet("FEN"), made.data)
    assert (again.outcome, again.words, again.name) == (Outcome.UNCHANGED, (), "Fen")


def test_a_new_rating_is_a_change() -> None:
    (made,) = promised(sheet())
    (again,) = promised(sheet(rating="70.4", **{"from": "2026-05-01"}), made.data)
    assert again.words == ("Yellow, men: rated 70.4 / 120 for 18 holes from 1 May 2026",)


def test_a_rating_without_a_day_is_todays() -> None:
    (made,) = promised(sheet(**{"from": ""}))
    assert made.data.tees[0].cards[0].ratings[0].valid_from == TODAY


def test_an_unrated_course_is_taken() -> None:
    (made,) = promised(sheet(rating="", slope="", **{"from": ""}))
    assert made.data.tees[0].cards[0].ratings == ()


def test_a_course_of_nine_in_a_file() -> None:
    (made,) = promised(sheet(holes=9, rating="34.5", slope="110"))
    assert made.data.holes == 9
    assert made.data.tees[0].cards[0].ratings[0].holes is RatedHoles.FIRST_NINE


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("Yellow,men,7,3,", "Yellow,men,7,9,", "Yellow, men, hole 7: par 9 is not from 3 to 6."),
        ("Yellow,men,7,", "Yellow,men,6,", "hole 6 stands there twice"),
        ("Yellow,men,7,", "Yellow,men,19,", "hole 7 is missing"),
        ("Yellow,men,7,3,17", "Yellow,men,7,3,7", "stroke index 7 stands on hole 1 already"),
        ("Yellow,men,7,3,17", "Yellow,men,7,,17", "hole 7: par “none” is no whole number"),
        ("Fen,mere,Yellow,men,1,", "Fen,mere,Yellow,boys,1,", "Yellow, men: hole 1 is missing."),
        (",120,", ",20,", "slope rating 20"),
        ("301,,,", "301,70.2,,", "course rating differs from hole to hole (70.1, 70.2)"),
        ("Fen,mere,Yellow,men,1,", ",mere,Yellow,men,1,", "names no course"),
        ("2026-04-01", "soon", "from which day"),
    ],
)
def test_a_file_is_refused_with_what_is_wrong(old: str, new: str, said: str) -> None:
    text = sheet()
    assert old in text
    made = promised(text.replace(old, new, 1))
    refused = [promise for promise in made if promise.outcome is Outcome.REFUSED]
    assert refused
    assert any(said in words for promise in refused for words in promise.words)
    assert all(promise.data is None for promise in refused)
