"""The format modules themselves, and what they say when built by hand the wrong way."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from scoring.rules import parameters
from scoring.rules.games import GAMES
from scoring.rules.lines import course_of
from scoring.rules.terms import read_terms
from scoring.rules.values import INDIVIDUAL, Format, Handicap, HandicapKind, Player, Tee


@pytest.mark.parametrize(
    ("format_", "totals"),
    [
        ("stableford", {36: "36 points", 1: "1 point", -1: "-1 point", 0: "0 points"}),
        ("modified_stableford", {7: "7 points"}),
        ("medal", {72: "72"}),
        ("maximum_score", {72: "72"}),
        ("par", {2: "2 up", 0: "all square", -3: "3 down"}),
    ],
)
def test_every_total_has_its_words(format_, totals):
    game = GAMES[Format(format_)]
    assert {total: game.describe(total) for total in totals} == totals


def test_there_is_a_module_for_every_individual_format_and_no_other():
    assert set(GAMES) == set(INDIVIDUAL)
    assert len({id(game) for game in GAMES.values()}) == len(INDIVIDUAL)


@pytest.mark.parametrize(
    ("format_", "field"),
    [("maximum_score", "maximum_hole_score"), ("modified_stableford", "points")],
)
def test_terms_put_together_by_hand_without_what_the_format_needs_are_told_so(format_, field):
    terms = replace(read_terms({"format": format_}, 18), **{field: None})
    with pytest.raises(ValueError, match="wants"):
        GAMES[terms.format].value(terms, 4, 0, 5)


def test_no_course_handicap_without_a_handicap_or_ratings():
    tee = Tee("white", (4,) * 18, tuple(range(1, 19)), None, None, 72)
    player = Player("p1", "A. Player", tee, None, frozenset(), 1)
    with pytest.raises(ValueError, match="brings no handicap"):
        course_of(player, 72, 18)
    index = replace(player, handicap=Handicap(HandicapKind.INDEX, Fraction(12)))
    with pytest.raises(ValueError, match="no ratings"):
        course_of(index, 72, 18)


def test_a_figure_holds_from_its_day_until_a_later_one():
    """Dates made up for the test."""
    old = parameters.Figure(1, "old", date(2020, 1, 1), "test")
    new = parameters.Figure(2, "new", date(2024, 4, 1), "test")
    series = (new, old)
    assert parameters.in_force(series, date(2024, 3, 31)).value == 1
    assert parameters.in_force(series, date(2024, 4, 1)).value == 2
    with pytest.raises(LookupError):
        parameters.in_force(series, date(2019, 12, 31))


def test_a_format_without_one_allowance_is_told_so():
    with pytest.raises(LookupError):
        parameters.allowance_for(Format.SCRAMBLE, Format.STABLEFORD)


def test_every_number_of_a_rule_book_has_an_edition_a_day_and_a_source():
    """Appendix C of the Rules of Handicapping, table of recommended allowances, by hand."""
    figures = [
        entry
        for name, entry in vars(parameters).items()
        if name.isupper()
        for entry in (entry if isinstance(entry, tuple) else (entry,))
        if isinstance(entry, parameters.Figure)
    ]
    assert len(figures) > 15
    for figure in figures:
        assert figure.edition
        assert figure.effective <= parameters.EDITION.effective
        assert len(figure.source) > 10
    assert [
        parameters.INDIVIDUAL_ALLOWANCE.value,
        parameters.FOUR_BALL_ALLOWANCE.value,
        parameters.FOUR_BALL_PAR_ALLOWANCE.value,
        parameters.BEST_OF_FOUR_ALLOWANCE.value,
        parameters.BEST_OF_FOUR_PAR_ALLOWANCE.value,
        parameters.FOURSOMES_SHARES.value,
        parameters.GREENSOMES_SHARES.value,
        parameters.SCRAMBLE_SHARES.value,
    ] == [
        95,
        85,
        90,
        {1: 75, 2: 85, 3: 100, 4: 100},
        {1: 75, 2: 80, 3: 90, 4: 100},
        (50, 50),
        (60, 40),
        {2: (35, 15), 3: (30, 20, 10), 4: (25, 20, 15, 10)},
    ]
