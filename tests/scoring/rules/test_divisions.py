"""Divisions of a field. Common practice, no source; the bounds are those that societies print."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.divisions import (
    DivideBy,
    Scheme,
    scheme_of,
    scheme_sentences,
    scheme_text,
)


def bands(*tops: str) -> Scheme:
    names = tuple(f"Division {n}" for n in range(1, len(tops) + 2))
    return Scheme(DivideBy.BROUGHT, names, tuple(Fraction(top) for top in tops))


def parts(number: int) -> Scheme:
    names = tuple(f"Division {n}" for n in range(1, number + 1))
    return Scheme(DivideBy.PLAYING, names, equal=True)


@pytest.mark.parametrize(
    ("figure", "division"),
    [("-1.2", 1), ("0", 1), ("9", 1), ("9.1", 2), ("18", 2), ("19", 3), ("28", 3), ("54", 3)],
)
def test_bands_0_to_9_10_to_18_and_19_to_28(figure: str, division: int) -> None:
    """Common practice, no source: three divisions cut at 9 and 18."""
    assert bands("9", "18").division_of(Fraction(figure)) == f"Division {division}"


def test_equal_thirds_of_a_field_of_eleven() -> None:
    """Worked by hand: eleven players make parts of four, four and three."""
    figures = [Fraction(n) for n in (3, 5, 8, 9, 11, 12, 14, 16, 20, 24, 28)]
    cut = parts(3).cut(figures)
    assert cut.tops == (9, 16)
    assert [cut.division_of(figure)[-1] for figure in figures] == list("11112222333")


def test_players_on_one_figure_stay_together_in_the_lower_division() -> None:
    """Worked by hand: the halves of 8, 10, 12, 12, 12, 15 part between the twelves."""
    figures = [Fraction(n) for n in (8, 10, 12, 12, 12, 15)]
    cut = parts(2).cut(figures)
    assert [cut.division_of(figure)[-1] for figure in figures] == list("111112")


def test_nobody_stands_in_a_division_that_is_not_cut_yet() -> None:
    assert parts(3).division_of(Fraction(10)) == ""


@given(
    st.lists(st.integers(-50, 540), min_size=1, max_size=60, unique=True),
    st.integers(1, 6),
)
def test_equal_parts_differ_by_one_at_most_where_no_two_are_level(
    tenths: list[int], number: int
) -> None:
    figures = [Fraction(n, 10) for n in tenths]
    cut = parts(number).cut(figures)
    sizes = [0] * number
    for figure in figures:
        sizes[int(cut.division_of(figure)[-1]) - 1] += 1
    if len(figures) >= number:
        assert max(sizes) - min(sizes) <= 1
        assert sizes == sorted(sizes, reverse=True)
    lows = sorted(figures)
    order = [cut.division_of(figure) for figure in lows]
    assert order == sorted(order)


def test_a_scheme_is_the_same_after_writing_and_reading() -> None:
    for scheme in (bands("-1.2", "12.4"), parts(3), parts(2).cut([Fraction(1), Fraction(2)])):
        assert scheme_of(scheme_text(scheme)) == scheme


def test_the_page_says_how_the_field_is_divided() -> None:
    assert scheme_sentences(bands("-1.2", "12.4")) == [
        "Division 1: handicap up to +1.2.",
        "Division 2: above +1.2, up to 12.4.",
        "Division 3: above 12.4.",
    ]
    assert "Players on one figure stay together" in scheme_sentences(parts(2))[0]


@pytest.mark.parametrize(
    "scheme",
    [
        bands("18", "9"),
        Scheme(DivideBy.BROUGHT, ("A", "A"), (Fraction(9),)),
        Scheme(DivideBy.BROUGHT, ("A", "B")),
        Scheme(DivideBy.BROUGHT, ()),
        Scheme(DivideBy.BROUGHT, ("A", " "), (Fraction(9),)),
        Scheme(DivideBy.PLAYING, tuple("ABCDEFG"), equal=True),
    ],
)
def test_what_cannot_be_is_said(scheme: Scheme) -> None:
    assert scheme.faults
    assert not bands("9", "18").faults
