"""What a list of handicaps promises for each line: whose figure, how far it moves, from when."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.values import HandicapKind
from society.handicaps.rules.columns import guess
from society.handicaps.rules.figure_promises import handicap_promises
from society.handicaps.rules.figures import Figure, Source
from society.handicaps.rules.promises import Promise, promises
from society.members.rules import Person
from society.web.rules import DateStyle, Outcome, SheetLine

TODAY = date(2026, 4, 15)
IVO = Person("Ivo Marrable", "member", "men", "12", "ivo@example.org", id="ivo")
IDA = Person("Ida Low", "member", "women", "3", "low@example.org", id="ida")
JEM = Person("Jem Low", "member", "men", "4", "low@example.org", id="jem")
PIP = Person("Pip Bare", "guest", "men", id="pip")
KEPT = [IVO, IDA, JEM, PIP]
FIRST = Figure(HandicapKind.INDEX, Decimal("12.3"), Source.ASSOCIATION, date(2026, 4, 1))


def one(style: DateStyle = DateStyle.DAY_FIRST, /, **cells: str) -> Promise:
    records = {"ivo": [FIRST]}
    whole = {"source": "association", "handicap": "11.9"} | cells
    return handicap_promises([SheetLine(2, whole)], KEPT, records, TODAY, style)[0]


# whose figure it is


@pytest.mark.parametrize(
    ("cells", "whose"),
    [
        ({"email": "IVO@example.org"}, "ivo"),
        ({"email": "ivo@example.org", "name": "ivo marrable"}, "ivo"),
        ({"email": "ivo@example.org", "number": "77"}, "ivo"),  # a number of somewhere else
        ({"email": "new@example.org", "number": "12", "name": "Ivo Marrable"}, "ivo"),
        ({"number": "12"}, "ivo"),
        ({"email": "low@example.org", "name": "Jem Low"}, "jem"),
        ({"email": "low@example.org", "name": "Low, Jem"}, "jem"),
        ({"email": "low@example.org", "number": "3"}, "ida"),
        ({"id": "pip"}, "pip"),
    ],
)
def test_email_then_number_tell_whose_it_is(cells: dict[str, str], whose: str) -> None:
    made = one(**cells)
    assert (made.outcome, made.player) == (Outcome.CHANGED, whose)


@pytest.mark.parametrize(
    ("cells", "asked"),
    [
        ({"name": "Ivo Marrable"}, ["ivo"]),
        ({"name": "Marrable, Ivo"}, ["ivo"]),
        ({"name": "Pip Bare", "email": "pip@example.org"}, ["pip"]),
        ({"name": "Ivor Marrable", "number": "12"}, ["ivo"]),
        ({"name": "Someone Else", "email": "ivo@example.org"}, ["ivo"]),
        ({"email": "low@example.org"}, ["ida", "jem"]),
        ({"email": "low@example.org", "name": "Nobody Low"}, ["ida", "jem"]),
        ({"email": "low@example.org", "name": "Jem Low", "number": "3"}, ["ida", "jem"]),
        ({"email": "ivo@example.org", "number": "3"}, ["ivo", "ida"]),
        ({"email": "low@example.org", "name": "Jem Low", "number": "12"}, ["ida", "jem", "ivo"]),
    ],
)
def test_what_leaves_a_doubt_is_asked(cells: dict[str, str], asked: list[str]) -> None:
    made = one(**cells)
    assert made.outcome is Outcome.ASKS
    assert [option.choice for option in made.options] == [*asked, "leave"]
    assert made.figure is None
    assert "You decide" in made.words[0]


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"name": "Nobody Known"}, "Nobody of this name"),
        ({"name": "Nobody Known", "number": "99"}, "Nobody of this name"),
        ({"number": "99"}, "Nobody with this e-mail or number"),
        ({"email": "new@example.org"}, "Nobody with this e-mail or number"),
    ],
)
def test_nobody_is_made(cells: dict[str, str], said: str) -> None:
    made = one(**cells)
    assert made.outcome is Outcome.REFUSED
    assert made.words == (f"{said} is on the list of players. Add the player first.",)


@given(
    st.sampled_from([p.name for p in KEPT]),
    st.sampled_from(["", "new@example.org"]),
    st.sampled_from(["", "99"]),
)
def test_a_name_alone_never_decides(name: str, email: str, number: str) -> None:
    cells = {key: text for key, text in (("email", email), ("number", number)) if text}
    assert one(name=name, **cells).outcome is Outcome.ASKS


# how far it moves


@pytest.mark.parametrize(
    ("figure", "said", "large"),
    [
        ("11.9", "0.4 lower.", False),
        ("15.3", "3 higher.", False),
        ("15.4", "3.1 higher. That is more than 3.0: look whether it is right.", True),
        ("+1.2", "13.5 lower. That is more than 3.0: look whether it is right.", True),
    ],
)
def test_the_difference_is_said_and_a_large_one_marked(figure: str, said: str, large: bool) -> None:
    made = one(number="12", handicap=figure)
    assert made.words[1] == said
    assert made.large is large


def test_a_first_figure_of_a_source_is_held_beside_another_source() -> None:
    made = one(number="12", handicap="20", source="society")
    assert made.words == (
        "A first figure of the society: 20.0, from 15 April 2026",
        "7.7 higher than the association’s figure. "
        "That is more than 3.0: look whether it is right.",
    )
    assert made.large


def test_an_old_list_is_pointed_at() -> None:
    made = one(number="12", valid_from="2026-03-01")
    assert made.words[-1] == "12.3 from 1 April 2026 is newer and goes on counting."
    assert one(number="12", valid_from="2026-04-02").words[-1] == "0.4 lower."


# dates


@pytest.mark.parametrize(
    ("style", "text", "day"),
    [
        (DateStyle.DAY_FIRST, "1/4/2026", date(2026, 4, 1)),
        (DateStyle.MONTH_FIRST, "4/1/2026", date(2026, 4, 1)),
        (DateStyle.MONTH_FIRST, "April 1, 2026", date(2026, 4, 1)),
        (DateStyle.YEAR_FIRST, "2026/4/1", date(2026, 4, 1)),
        (DateStyle.YEAR_FIRST, "13/4/2026", date(2026, 4, 13)),
        (DateStyle.YEAR_FIRST, "4/13/2026", date(2026, 4, 13)),
        (DateStyle.DAY_FIRST, "2026-04-01 09:30", date(2026, 4, 1)),
    ],
)
def test_a_date_is_read_as_the_society_writes_it(style: DateStyle, text: str, day: date) -> None:
    figure = one(style, number="12", valid_from=text).figure
    assert figure is not None
    assert figure.valid_from == day


@pytest.mark.parametrize(
    ("style", "text", "said"),
    [
        (DateStyle.YEAR_FIRST, "1/4/2026", "in one way only"),
        (DateStyle.MONTH_FIRST, "13/4/2026", "no day of the calendar"),
        (DateStyle.MONTH_FIRST, "soon", "month first"),
    ],
)
def test_a_date_that_cannot_be_read_is_refused(style: DateStyle, text: str, said: str) -> None:
    made = one(style, number="12", valid_from=text)
    assert made.outcome is Outcome.REFUSED
    assert said in made.words[0]


# what is worked out here


def test_a_figure_from_cards_is_not_brought_in() -> None:
    made = one(number="12", source="cards")
    assert made.outcome is Outcome.REFUSED
    assert "worked out here" in made.words[0]
    by_list = SheetLine(
        2, {"name": "Ivo Marrable", "number": "12", "handicap": "9", "source": "cards"}
    )
    assert promises([by_list], KEPT, {}, TODAY)[0].outcome is Outcome.REFUSED
    fresh = SheetLine(3, {"name": "New One", "category": "men", "handicap": "9", "source": "cards"})
    assert promises([fresh], KEPT, {}, TODAY)[0].outcome is Outcome.REFUSED


def test_our_own_export_of_it_changes_nothing() -> None:
    kept = Figure(HandicapKind.INDEX, Decimal("9.0"), Source.CARDS, date(2026, 4, 1))
    cells = {"id": "ivo", "handicap": "9", "source": "cards", "valid_from": "2026-04-01"}
    made = handicap_promises([SheetLine(2, cells)], KEPT, {"ivo": [kept]}, TODAY)[0]
    assert made.outcome is Outcome.UNCHANGED


# which column is what


@pytest.mark.parametrize(
    ("known", "cells", "guessed"),
    [
        (["", ""], [["12.3", "+1.2"], ["a@b.org"]], ["handicap", "email"]),
        (["handicap", ""], [["12"], ["9.9"]], ["handicap", ""]),
        ([""], [["2026-04-01", "1/4/2026"]], ["valid_from"]),
        ([""], [["12.3", "NH"]], [""]),
        ([""], [[""]], [""]),
        (["", ""], [["9.1"], ["9.2"]], ["handicap", ""]),
    ],
)
def test_a_column_is_guessed_by_what_stands_in_it(
    known: list[str], cells: list[list[str]], guessed: list[str]
) -> None:
    assert guess(known, cells) == guessed
