"""What may be written on a card, and what is refused where it stands."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.cards.rules.strokes import as_line, read_boxes, read_line, read_values

EIGHTEEN = tuple(range(1, 19))
SECOND_NINE = tuple(range(10, 19))


def boxes(text: str, hole: int = 7) -> list[str]:
    return [text if number == hole else "4" for number in EIGHTEEN]


@pytest.mark.parametrize("text", ["1", "4", "04", "15", " 9 "])
def test_a_plain_figure_is_taken(text: str) -> None:
    assert read_boxes(boxes(text), EIGHTEEN).strokes[6] == int(text)


@pytest.mark.parametrize("text", ["", " "])
def test_an_empty_box_is_a_missing_hole_and_is_named(text: str) -> None:
    words = "Hole 7 has no figure. Write the strokes, or a dash for no score."
    read = read_boxes(boxes(text), EIGHTEEN)
    assert read.problems == ((7, words),)
    assert read.strokes == ()


@pytest.mark.parametrize("text", ["-", "–", "—", "−"])
def test_a_dash_is_no_score(text: str) -> None:
    read = read_boxes(boxes(text), EIGHTEEN)
    assert read.good
    assert read.strokes[6] is None


@pytest.mark.parametrize(
    "text",
    [
        "0",
        "00",
        "100",
        "1000000000000000000000",
        "five",
        "1_0",
        "+4",
        "-4",
        "4.0",
        "4 5",
        "\u0664",  # an Arabic-Indic four
        "\uff14",  # a full-width four
        "²",
        "4\x00",
        "=1+1",
        "4e0",
        "--",
    ],
)
def test_anything_else_is_refused_and_names_the_hole(text: str) -> None:
    read = read_boxes(boxes(text), EIGHTEEN)
    assert read.strokes == ()
    [(hole, words)] = read.problems
    assert hole == 7
    assert "Hole 7" in words


def test_above_fifteen_asks_once_and_then_takes_it() -> None:
    read = read_boxes(boxes("16"), EIGHTEEN)
    assert not read.good
    assert not read.problems
    assert read.asks == ((7, 16),)
    assert read_boxes(boxes("16"), EIGHTEEN, right=frozenset({8})).asks == ((7, 16),)
    assert read_boxes(boxes("16"), EIGHTEEN, right=frozenset({7})).strokes[6] == 16


def test_a_figure_and_the_tick_for_no_score_contradict_each_other() -> None:
    read = read_boxes(boxes("4"), EIGHTEEN, none=frozenset({7}))
    assert read.problems[0][0] == 7
    assert read_boxes(boxes(""), EIGHTEEN, none=frozenset({7})).strokes[6] is None


def test_a_card_with_nothing_on_it_is_refused_but_one_of_dashes_is_a_card() -> None:
    assert read_boxes([""] * 18, EIGHTEEN).problems[0][0] == 0
    assert read_boxes(["-"] * 18, EIGHTEEN).strokes == (None,) * 18
    assert read_boxes([""] * 18, EIGHTEEN, none=frozenset(EIGHTEEN)).good


@pytest.mark.parametrize(
    "line",
    [
        "5 4 6 - 3 5 4 4 6 5 4 3 7 5 4 - 5 6",
        "5,4,6,-,3,5,4,4,6,5,4,3,7,5,4,-,5,6",
        " 5, 4  6 – 3;5 4 4 6\t5 4 3 7 5 4 – 5 6 ",
    ],
)
def test_a_card_in_one_line(line: str) -> None:
    wanted = (5, 4, 6, None, 3, 5, 4, 4, 6, 5, 4, 3, 7, 5, 4, None, 5, 6)
    assert read_line(line, EIGHTEEN).strokes == wanted


@pytest.mark.parametrize(
    ("line", "hole", "part"),
    [
        ("", 0, "one line"),
        ("5 " * 17, 18, "18 are needed, 17 were written"),
        ("5 " * 19, 0, "19 figures for 18 holes"),
        ("5" * 18, 1, "space between"),
        ("5 0 " + "4 " * 16, 2, "Hole 2"),
        ("5 100 " + "4 " * 16, 2, "Hole 2"),
        ("5 five " + "4 " * 16, 2, "five"),
    ],
)
def test_a_line_is_refused_where_it_is_wrong(line: str, hole: int, part: str) -> None:
    read = read_line(line, EIGHTEEN)
    assert read.strokes == ()
    assert read.problems[0][0] == hole
    assert part in read.problems[0][1]


def test_nine_holes_keep_their_own_numbers() -> None:
    read = read_line("5 " * 8, SECOND_NINE)
    assert read.problems[0][0] == 18
    assert read_line("4 " * 8 + "17", SECOND_NINE).asks == ((18, 17),)


@pytest.mark.parametrize("bad", [True, False, 0, 100, -1, "4", "", 4.5, [], {}, "five"])
def test_json_values_are_not_guessed(bad: object) -> None:
    read = read_values([bad] + [4] * 17, EIGHTEEN)
    assert read.strokes == ()
    assert read.problems[0][0] == 1


@pytest.mark.parametrize("value", [None, {}, "4 4", [4] * 17, [4] * 19, []])
def test_json_of_another_shape_is_refused(value: object) -> None:
    assert read_values(value, EIGHTEEN).problems


def test_json_takes_figures_null_and_dash() -> None:
    assert read_values([5, None, "-"] + [4] * 15, EIGHTEEN).strokes[:3] == (5, None, None)
    assert read_values([16] + [4] * 17, EIGHTEEN).asks == ((1, 16),)


@given(st.lists(st.one_of(st.none(), st.integers(1, 15)), min_size=18, max_size=18))
def test_a_card_written_in_one_line_reads_back_the_same(strokes: list[int | None]) -> None:
    assert read_line(as_line(strokes), EIGHTEEN).strokes == tuple(strokes)


@given(st.text(max_size=80))
def test_no_line_makes_the_reader_fall_over(text: str) -> None:
    read = read_line(text, EIGHTEEN)
    assert read.good == (len(read.strokes) == 18)


@given(st.lists(st.text(max_size=12), min_size=9, max_size=9))
def test_no_box_makes_the_reader_fall_over(texts: list[str]) -> None:
    read = read_boxes(texts, SECOND_NINE)
    if read.good:
        assert all(gross is None or 1 <= gross <= 15 for gross in read.strokes)
    else:
        assert all(hole in (0, *SECOND_NINE) for hole, _ in (*read.problems, *read.asks))
