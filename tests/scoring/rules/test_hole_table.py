"""The table a page carries. Source: event document, section 1.2; Rules of Golf 2023, Rule 21."""

import pytest

from scoring.rules.hole_table import pick_up, value_table
from scoring.rules.terms import read_terms
from scoring.rules.values import Terms

NEGATIVE = {"0": -1, "1": -5, "none": -2}
ALWAYS = {"0": 4, "1": 2, "none": 0}


def terms(format_: str, **more: object) -> Terms:
    return read_terms({"format": format_, **more}, 18)


@pytest.mark.parametrize(
    ("format_", "values"),
    [
        ("stableford", [6, 5, 4, 3, 2, 1, 0, 0]),
        ("par", [1, 1, 1, 1, 0, -1, -1, -1]),
        ("medal", [1, 2, 3, 4, 5, 6, 7, None]),
        ("maximum_score", [1, 2, 3, 4, 5, 6, 7, 7]),
        ("modified_stableford", [8, 8, 5, 2, 0, -1, -3, -3]),
    ],
)
def test_the_value_of_every_score_on_a_par_four_with_a_stroke(format_, values):
    table = value_table(terms(format_), par=4, strokes=1, top=7)
    assert list(table) == ["1", "2", "3", "4", "5", "6", "7", "-"]
    assert list(table.values()) == values


def test_the_table_goes_to_fifteen_unless_it_is_told():
    assert list(value_table(terms("medal"), par=4, strokes=0))[-2:] == ["15", "-"]


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        (pick_up(terms("stableford"), 4, 1), 7),
        (pick_up(terms("stableford"), 3, -1), 4),
        (pick_up(terms("stableford"), 3, -9), 1),
        (pick_up(terms("par"), 4, 1), 6),
        (pick_up(terms("medal"), 4, 1), None),
        (pick_up(terms("maximum_score"), 4, 1), 7),
        (pick_up(terms("modified_stableford"), 4, 0), 6),
        (pick_up(terms("modified_stableford", points=NEGATIVE), 4, 0), 5),
        (pick_up(terms("modified_stableford", points=ALWAYS), 4, 0), None),
    ],
)
def test_the_first_score_that_is_no_better_than_picking_up(found, expected):
    assert found == expected
