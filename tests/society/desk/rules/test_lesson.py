"""The newcomer's table against published charts and tables, and against what must always hold."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scoring.rules.games import GAMES
from scoring.rules.terms import read_terms
from scoring.rules.values import Format
from society.desk.rules.lesson import Ground, Lesson, Scores, chart, lesson, where_shots_fall
from tests.factories.courses import INDEXES, PARS

CASES = Path(__file__).resolve().parents[3] / "cases"
EIGHTEEN = tuple(range(1, 19))
CARD = Ground(numbers=EIGHTEEN, par=tuple(PARS), stroke_index=tuple(INDEXES))
FORMATS = ("stableford", "modified_stableford", "medal", "par", "maximum_score")


def made(format_: str, playing: int, card: Ground = CARD, **more: object) -> Lesson:
    terms = read_terms({"format": format_, **more}, len(card.numbers))
    return lesson(terms, card, playing=playing)


def cases(file: str, topic: str) -> list[dict]:
    listed = json.loads((CASES / file).read_text())["cases"]
    return [case for case in listed if case["topic"] == topic]


def by_heading(found: Lesson, number: int) -> dict[str, Scores]:
    hole = next(hole for hole in found.holes if hole.number == number)
    return dict(zip((column.heading for column in found.columns), hole.cells, strict=True))


# outside: shots charts -------------------------------------------------------------------------

# Published charts of where strokes fall, each with its title in the file of cases.
CHARTS = cases("strokes.json", "strokes_by_index_chart")


@pytest.mark.parametrize("case", CHARTS, ids=[case["id"] for case in CHARTS])
def test_the_shots_of_every_handicap_agree_with_a_published_chart(case):
    playing = case["inputs"]["playing_handicap"]
    index = case["inputs"]["stroke_index_by_hole"]
    printed = tuple(case["expected"]["strokes_by_hole"])
    assert chart(index, [playing]) == [(playing, printed)]
    card = Ground(numbers=EIGHTEEN, par=(4,) * 18, stroke_index=tuple(index))
    assert tuple(hole.shots for hole in made("stableford", playing, card).holes) == printed


# outside: points, par play, maximum ------------------------------------------------------------

# Rules of Golf, Rule 21.1b (Player's Edition 2019, R&A; unchanged in 2023), the table of points.
(POINTS,) = cases("values.json", "stableford_points")


@pytest.mark.parametrize("playing", [-5, 0, 7, 18, 23, 36, 54])
def test_each_column_holds_the_scores_of_the_printed_table_of_points(playing):
    printed = POINTS["expected"]["net_minus_target"]
    found = made("stableford", playing)
    for hole in found.holes:
        cells = by_heading(found, hole.number)
        level = hole.par + hole.shots
        for over in (1, 0, -1, -2):
            gross = level + over
            cell = cells[str(printed[str(over)])]
            assert (cell.first, cell.last) == ((gross, gross) if gross > 0 else (None, None))
        for over in (-3, -4):
            gross = level + over
            if gross > 0:
                assert cells["5+"].first <= gross <= cells["5+"].last
                assert printed[str(over)] >= 5
        assert printed["2_or_more"] == 0
        assert (cells["0"].first, cells["0"].last) == (level + 2, None)
        assert hole.pick_up == level + 2


def test_eighteen_net_pars_are_36_points():
    # Society notes on Stableford, England (case P-SF-02)
    (case,) = cases("values.json", "stableford_round")
    for playing in (-3, 0, 18, 54):
        found = made("stableford", playing)
        assert found.two_each == case["expected"]["points"]
        worth = GAMES[Format.STABLEFORD].value
        terms = read_terms({"format": "stableford"}, 18)
        points = [worth(terms, hole.par, hole.shots, hole.target) for hole in found.holes]
        assert sum(points) == found.two_each
        assert found.target == found.par + playing


def test_a_published_hole_and_one_of_a_plus_player():
    # cases D-SF-02 (inputs of a published example) and D-SF-PLUS (Appendix C, Rule 21.1b)
    for case in cases("values.json", "stableford_hole") + cases(
        "values.json", "stableford_hole_plus"
    ):
        given_, printed = case["inputs"], case["expected"]
        index = (
            [18, *range(1, 18)] if given_["stroke_index"] == 18 else [*range(10, 19), *range(1, 10)]
        )
        card = Ground(EIGHTEEN, (given_["par"],) * 18, tuple(index))
        found = made("stableford", given_["playing_handicap"], card)
        assert found.holes[0].stroke_index == given_["stroke_index"]
        assert found.holes[0].shots == printed["strokes"]
        cell = by_heading(found, 1)[str(printed["points"])]
        assert (cell.first, cell.last) == (given_["gross"], given_["gross"])


def test_par_play_wins_halves_and_loses_as_printed():
    # Rules of Golf 2023, Rule 21.3b(1) (case P-PB-TAB)
    (case,) = cases("values.json", "par_bogey_scoring")
    assert case["expected"] == {
        "below_target": "+1",
        "equal_to_target": "0",
        "above_target": "-1",
        "no_score": "-1",
    }
    for hole in made("par", 20).holes:
        won, half, lost = hole.cells
        assert (won.first, won.last) == (1, hole.target - 1)
        assert (half.first, half.last) == (hole.target, hole.target)
        assert (lost.first, lost.last) == (hole.target + 1, None)
        assert hole.pick_up == hole.target + 1


@pytest.mark.parametrize(
    "case", cases("values.json", "net_double_bogey"), ids=lambda case: case["id"]
)
def test_the_maximum_of_a_hole_is_the_published_net_double_bogey(case):
    given_, printed = case["inputs"], case["expected"]
    shots = given_.get("strokes_on_hole", printed.get("strokes"))
    card = Ground(EIGHTEEN, (given_["par"],) * 18, EIGHTEEN)
    found = made("maximum_score", 18 * shots, card)
    most = printed.get("maximum", printed.get("adjusted"))
    assert str(by_heading(found, 1)["Most"]) == str(most)
    assert found.holes[0].pick_up == most


@pytest.mark.parametrize(
    ("maximum", "most"),
    [
        ({"kind": "times_par", "times": 2}, {3: 6, 4: 8, 5: 10}),
        ({"kind": "fixed", "strokes": 9}, {3: 9, 4: 9, 5: 9}),
        ({"kind": "over_par", "strokes": 5}, {3: 8, 4: 9, 5: 10}),
    ],
)
def test_a_maximum_the_committee_sets_is_told_hole_by_hole(maximum, most):
    # Rules of Golf 2023, Rule 21.2: a fixed number, so much over par, a multiple of par
    for hole in made("maximum_score", 12, maximum_hole_score=maximum).holes:
        assert hole.pick_up == most[hole.par]


def test_modified_stableford_goes_by_the_committees_table():
    # the usual table, common practice (case P-MS-TAB), and one of a committee's own
    (case,) = cases("values.json", "modified_stableford_common")
    printed = case["expected"]
    names = {-3: "three_under", -2: "two_under", -1: "one_under", 0: "level", 1: "one_over"}
    found = made("modified_stableford", 18)
    for hole in found.holes:
        cells = by_heading(found, hole.number)
        for over, name in names.items():
            gross, worth = hole.target + over, printed[name]
            cell = cells[f"−{-worth}" if worth < 0 else str(worth)]
            assert gross < 1 or cell.first <= gross <= (cell.last or gross)
        assert hole.pick_up == hole.target + 2
    assert [column.heading for column in found.columns if column.best_known] == ["0"]
    own = {**{str(step): 40 - 2 * (step + 9) for step in range(-9, 10)}, "none": 0}
    assert len(made("modified_stableford", 18, points=own).columns) == 19


def test_nobody_picks_up_in_a_medal():
    # Rules of Golf 2023, Rule 3.3c
    found = made("medal", 18)
    assert {hole.pick_up for hole in found.holes} == {None}
    assert [column.heading for column in found.columns] == ["Net par"]


def test_gross_has_no_shots():
    found = made("stableford", 24, basis="gross")
    assert {hole.shots for hole in found.holes} == {0}
    assert found.playing == 0


# laws ------------------------------------------------------------------------------------------

pars = st.lists(st.integers(3, 6), min_size=18, max_size=18)
orders = st.permutations(range(1, 19))


@settings(deadline=None)
@given(st.sampled_from(FORMATS), pars, orders, st.integers(-20, 100), st.booleans())
def test_every_score_stands_in_the_one_column_of_its_value(format_, par, index, playing, nine):
    holes = 9 if nine else 18
    card = Ground(EIGHTEEN[:holes], tuple(par[:holes]), tuple(index[:holes]))
    terms = read_terms({"format": format_}, holes)
    found = lesson(terms, card, playing=playing)
    assert sum(hole.shots for hole in found.holes) == playing
    value = GAMES[terms.scoring].value
    if format_ in ("medal", "maximum_score"):
        return
    for hole in found.holes:
        for gross in range(1, 30):
            held = [
                column.key
                for column, cell in zip(found.columns, hole.cells, strict=True)
                if cell.first is not None and cell.first <= gross <= (cell.last or gross)
            ]
            worth = value(terms, hole.par, hole.shots, gross)
            assert held == ["5+" if format_ == "stableford" and worth >= 5 else str(worth)]


@settings(deadline=None)
@given(pars, orders, st.integers(-20, 100))
def test_more_handicap_never_earns_a_score_less(par, index, playing):
    card = Ground(EIGHTEEN, tuple(par), tuple(index))
    less, more = made("stableford", playing, card), made("stableford", playing + 1, card)
    moved = [b.target - a.target for a, b in zip(less.holes, more.holes, strict=True)]
    assert sorted(moved) == [0] * 17 + [1]


# words -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("playing", "holes", "said"),
    [
        (0, 18, "None: every score counts as it is."),
        (1, 18, "One on the hardest: stroke index 1."),
        (2, 18, "One on the 2 hardest: stroke index 1 and 2."),
        (18, 18, "One on every hole."),
        (20, 18, "One on every hole, and a second on the 2 hardest: stroke index 1 and 2."),
        (36, 18, "Two on every hole."),
        (54, 18, "Three on every hole."),
        (63, 18, "Three on every hole, and a fourth on the 9 hardest: stroke index 1 to 9."),
        (-1, 18, "You give one back on the easiest hole: stroke index 18."),
        (-4, 18, "You give one back on the 4 easiest holes: stroke index 15 to 18."),
        (-18, 18, "You give one back on every hole."),
        (-20, 18, "You give one back on every hole, and a second on the 2 easiest holes: "
                  "stroke index 17 and 18."),
        (9, 9, "One on every hole."),
        (10, 9, "One on every hole, and a second on the hardest of the nine."),
        (4, 9, "One on the 4 hardest of the nine."),
    ],
)  # fmt: skip
def test_where_shots_fall_in_words(playing, holes, said):
    assert where_shots_fall(playing, holes) == said


def test_scores_as_they_are_written():
    shown = [Scores(None, None), Scores(6, 6), Scores(1, 3), Scores(8, None)]
    assert [str(one) for one in shown] == ["", "6", "1–3", "8"]
    assert [one.is_open for one in shown] == [False, False, False, True]
