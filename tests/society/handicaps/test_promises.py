"""What an import promises for each line of a file, without a database."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from scoring.rules.values import HandicapKind
from society.handicaps.rules.figures import Figure, Source
from society.handicaps.rules.promises import COLUMNS, Promise, promises, settle
from society.members.rules import Person
from society.web.rules import Outcome, SheetLine

TODAY = date(2026, 4, 15)
IVO = Person("Ivo Marrable", "member", "men", "12", "ivo@example.org", "Fen", id="ivo")
IDA = Person("Ida Low", "member", "women", "", "low@example.org", "", id="ida")
PIP = Person("Pip Bare", "guest", "men", "", "", "", id="pip")
KEPT = [IVO, IDA, PIP]
IVOS = Figure(HandicapKind.INDEX, Decimal("12.3"), Source.ASSOCIATION, date(2026, 4, 1))
RECORDS = {"ivo": [IVOS]}


def line(at_line: int = 2, /, **cells: str) -> SheetLine:
    assert set(cells) <= set(COLUMNS)
    return SheetLine(at_line, {name: text for name, text in cells.items() if text})


def promised(*lines: SheetLine) -> list[Promise]:
    return promises(lines, KEPT, RECORDS, TODAY)


def one(**cells: str) -> Promise:
    return promised(line(**cells))[0]


# who is it


def test_a_new_player_with_a_plus_handicap() -> None:
    made = one(name="Jem Saltcote", category="men", handicap="+1.2", number="9")
    assert made.outcome is Outcome.NEW
    assert made.words == (
        "New member, men, number 9",
        "Handicap: index plus 1.2 (society, from 15 April 2026)",
    )
    assert made.figure == Figure(HandicapKind.INDEX, Decimal("-1.2"), Source.SOCIETY, TODAY)
    assert made.values["kind"] == "member"


def test_the_same_number_is_the_same_player_whatever_the_name() -> None:
    made = one(name="Ivor Marrable", number="12")
    assert (made.outcome, made.player) == (Outcome.CHANGED, "ivo")
    assert made.words == ("Name: Ivo Marrable becomes Ivor Marrable",)
    assert made.values == {"name": "Ivor Marrable"}


def test_email_and_name_together_are_the_same_player() -> None:
    made = one(name="ivo  marrable", email="IVO@example.org", home_club="Moor")
    assert (made.outcome, made.player) == (Outcome.CHANGED, "ivo")
    assert "Home club: Fen becomes Moor" in made.words


def test_what_says_nothing_new_is_unchanged() -> None:
    made = one(name="Ivo Marrable", number="12", email="Ivo@Example.org", category="M")
    assert (made.outcome, made.words) == (Outcome.UNCHANGED, ())


def test_empty_cells_take_nothing_away() -> None:
    assert one(name="Ivo Marrable", number="12").outcome is Outcome.UNCHANGED


@pytest.mark.parametrize(
    ("cells", "near"),
    [
        ({"name": "Ivo Marrable"}, ["ivo"]),
        ({"name": "Ivo Marrable", "email": "other@example.org"}, ["ivo"]),
        ({"name": "Wilf Low", "email": "low@example.org"}, ["ida"]),
        ({"name": "Ivo Marrable", "email": "low@example.org"}, ["ivo", "ida"]),
        # both, but with another number: perhaps renumbered, perhaps a son
        ({"name": "Ivo Marrable", "email": "ivo@example.org", "number": "13"}, ["ivo"]),
        ({"name": "Pip Bare"}, ["pip"]),
    ],
)
def test_one_of_the_two_alone_asks(cells: dict[str, str], near: list[str]) -> None:
    made = one(category="men", **cells)
    assert made.outcome is Outcome.ASKS
    assert [option.choice for option in made.options] == ["new", *near, "leave"]
    assert "You decide" in made.words[0]
    assert made.figure is None
    assert not made.values


def test_each_answer_says_what_it_would_do() -> None:
    made = one(name="Wilf Low", email="low@example.org", category="men", handicap="20")
    new, same, leave = made.options
    assert new.words == ("New member, men, low@example.org", f"Handicap: {same.figure.in_words}")
    assert same.words[:2] == (
        "Name: Ida Low becomes Wilf Low",
        "Category: women becomes men",
    )
    assert leave.outcome is Outcome.LEFT_OUT


def test_an_id_decides_before_all_else() -> None:
    made = one(id="pip", name="Pip Bare", number="44")
    assert (made.outcome, made.player) == (Outcome.CHANGED, "pip")
    assert one(id="nobody", name="Pip Bare").outcome is Outcome.REFUSED
    taken = one(id="pip", name="Pip Bare", number="12")
    assert taken.words == ("Number 12 belongs to Ivo Marrable.",)


# within one file


def test_two_lines_about_one_player() -> None:
    _, second = promised(
        line(2, name="Ivo Marrable", number="12"), line(3, name="Ivo Marrable", number="12")
    )
    assert second.words == ("Line 2 is about Ivo Marrable already.",)


def test_a_newcomer_twice_in_the_file() -> None:
    jem = {"name": "Jem Saltcote", "email": "jem@example.org", "category": "men"}
    first, same, numbered = promised(
        line(2, **jem, number="9"), line(3, **jem), line(4, name="Jim", number="9", category="men")
    )
    assert first.outcome is Outcome.NEW
    assert same.words == ("Line 2 is about the same player.",)
    assert numbered.words == ("Line 2 is about the same player.",)


def test_a_name_or_an_email_twice_in_the_file_asks() -> None:
    _, name, email = promised(
        line(2, name="Jem Saltcote", email="jem@example.org", category="men"),
        line(3, name="Jem Saltcote", category="men"),
        line(4, name="Ada Saltcote", email="jem@example.org", category="women"),
    )
    for asks in (name, email):
        assert [option.choice for option in asks.options] == ["new", "leave"]
        assert "of line 2" in asks.words[0]


def test_answers_are_taken_and_clashes_refused() -> None:
    made = promised(
        line(2, name="Ivo Marrable"),
        line(3, name="Ivo Marrable", email="x@example.org", category="men"),
        line(4, name="Pip Bare", category="men"),
    )
    settled = settle(made, {2: "ivo", 3: "ivo", 4: "new"})
    assert [one.outcome for one in settled] == [Outcome.UNCHANGED, Outcome.REFUSED, Outcome.NEW]
    assert settled[1].words == ("Line 2 is about Ivo Marrable already.",)
    assert settle(made, {2: "new", 3: "leave", 4: "somebody"})[0].outcome is Outcome.REFUSED
    assert settle(made, {})[2].outcome is Outcome.ASKS
    assert settle(made, {4: "ivo"})[2].outcome is Outcome.ASKS


# what cannot be kept


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"name": ""}, "There is no name."),
        ({"category": ""}, "needs a category"),
        ({"category": "x"}, "Category “x” is not known"),
        ({"member": "x"}, "Kind “x” is not known"),
        ({"email": "x"}, "no e-mail address"),
        ({"name": "J\x07"}, "cannot be seen (U+0007)"),
        ({"name": "x" * 101}, "longer than 100"),
        ({"number": "1" * 21}, "longer than 20"),
        ({"handicap": "-1.2"}, "A plus handicap is written +1.2, any other 1.2."),
        ({"handicap": "abc"}, "is no handicap"),
        ({"handicap": "54.1"}, "54.1 is no index"),
        ({"handicap": "12.5", "kind": "playing"}, "whole number"),
        ({"handicap": "12", "kind": "x"}, "Kind “x” is not known"),
        ({"handicap": "12", "source": "x"}, "Source “x” is not known"),
        ({"handicap": "12", "valid_from": "x"}, "is no date"),
        ({"handicap": "12", "valid_from": "2062-01-01"}, "too far from today"),
    ],
)
def test_a_line_is_refused_with_its_reason(cells: dict[str, str], said: str) -> None:
    made = one(**({"name": "Jem Saltcote", "category": "men"} | cells))
    assert made.outcome is Outcome.REFUSED
    assert any(said in words for words in made.words)
    assert made.figure is None


def test_every_reason_is_told_at_once() -> None:
    made = one(name="", email="x", handicap="-1", kind="x")
    assert len(made.words) == 4


def test_a_name_like_a_formula_is_a_name() -> None:
    assert one(name="=1+1", category="men").values["name"] == "=1+1"


def test_first_and_last_name_are_put_together() -> None:
    assert one(first_name="Jem", last_name="Saltcote", category="men").name == "Jem Saltcote"


def test_a_line_may_say_nothing_of_a_handicap() -> None:
    assert one(name="Jem", category="women", source="society", valid_from="x").figure is None


# handicaps


@pytest.mark.parametrize(
    ("cells", "added"),
    [
        # as it stands
        ({"handicap": "12.3", "source": "association", "valid_from": "2026-04-01"}, None),
        ({"handicap": "12,3", "source": "association"}, None),
        # the same figure, said again on a later day, is news
        ({"handicap": "12.3", "source": "association", "valid_from": "2026-04-10"}, 10),
        # an older line that is not there yet
        ({"handicap": "12.3", "source": "association", "valid_from": "2026-03-31"}, 31),
        ({"handicap": "11.9", "source": "association", "valid_from": "2026-04-01"}, 1),
        ({"handicap": "12.3", "source": "committee"}, 15),
        ({"handicap": "12", "kind": "playing"}, 15),
    ],
)
def test_a_figure_is_added_only_if_it_is_news(cells: dict[str, str], added: int | None) -> None:
    made = one(name="Ivo Marrable", number="12", **cells)
    assert (made.figure and made.figure.valid_from.day) == added
    assert (made.outcome is Outcome.UNCHANGED) == (added is None)


def test_without_a_source_it_is_the_societys_and_a_guests_is_stated() -> None:
    assert one(name="J", category="men", handicap="1").figure.source is Source.SOCIETY
    guest = one(name="J", category="men", handicap="1", member="guest")
    assert guest.figure.source is Source.STATED
    kept = one(id="pip", name="Pip Bare", handicap="30")
    assert kept.figure.source is Source.STATED


# the same file twice changes nothing


def applied(
    made: list[Promise], kept: list[Person], records: dict[str, list[Figure]]
) -> tuple[list[Person], dict[str, list[Figure]]]:
    """What the database holds after these promises, in plain values."""
    people = {person.id: person for person in kept}
    record = {key: list(lines) for key, lines in records.items()}
    for promise in made:
        if promise.outcome not in (Outcome.NEW, Outcome.CHANGED):
            continue
        key = promise.player or f"new{promise.line}"
        people[key] = replace(people.get(key, Person(id=key)), **promise.values)
        if promise.figure:
            record.setdefault(key, []).append(promise.figure)
    return list(people.values()), record


CELLS = ("name", "category", "number", "email", "handicap", "source", "valid_from")
LINES = st.lists(
    st.fixed_dictionaries(
        {
            "name": st.sampled_from(["Ivo Marrable", "Ida Low", "Jem Saltcote", "ivo marrable"]),
            "category": st.sampled_from(["", "men", "women"]),
            "number": st.sampled_from(["", "12", "13", "14"]),
            "email": st.sampled_from(["", "ivo@example.org", "low@example.org"]),
            "handicap": st.sampled_from(["", "12.3", "+1.2", "-1.2", "20"]),
            "source": st.sampled_from(["", "association", "committee"]),
            "valid_from": st.sampled_from(["", "2026-04-01", "2026-03-01", "2026-05-01"]),
        }
    ),
    max_size=6,
)


@given(LINES)
@example(
    [
        dict.fromkeys(CELLS, "") | {"name": "Jem Saltcote", "number": "13"},
        dict.fromkeys(CELLS, "") | {"name": "Jem Saltcote", "number": "13", "category": "men"},
    ]
)
@example(
    [
        dict.fromkeys(CELLS, "") | {"name": "Ivo Marrable", "email": "low@example.org"},
        dict.fromkeys(CELLS, "")
        | {"name": "Ivo Marrable", "email": "low@example.org", "number": "13"},
        dict.fromkeys(CELLS, "") | {"name": "Ida Low", "email": "low@example.org", "number": "13"},
    ]
)
@example(
    [
        dict.fromkeys(CELLS, "") | {"name": "Ivo Marrable", "number": "13"},
        dict.fromkeys(CELLS, "") | {"name": "Ida Low", "email": "low@example.org", "number": "13"},
    ]
)
@example(
    [
        dict.fromkeys(CELLS, "") | {"name": "Ida Low", "email": "low@example.org", "number": "13"},
        dict.fromkeys(CELLS, "") | {"name": "Ivo Marrable", "number": "13", "category": "men"},
    ]
)
def test_the_same_file_twice_changes_nothing(cells: list[dict[str, str]]) -> None:
    lines = [line(number, **told) for number, told in enumerate(cells, 2)]
    first = promised(*lines)
    people, records = applied(first, KEPT, RECORDS)
    again = promises(lines, people, records, TODAY)
    renamed = any({"name", "email"} & set(p.values) for p in first if p.outcome is Outcome.CHANGED)
    # a line without a category may be about a player whom a later line of the same file makes:
    # refused at first, it is the unchanged one afterwards, and the later line the second about them
    late = not all(told["category"] for told in cells)
    for before, after in zip(first, again, strict=True):
        if before.outcome in (Outcome.NEW, Outcome.CHANGED, Outcome.UNCHANGED):
            # two lines that become alike by a change in the same file: the second is refused
            refused = {Outcome.REFUSED} if renamed or late else set()
            assert after.outcome in {Outcome.UNCHANGED, Outcome.ASKS} | refused
            assert after.figure is None
            assert not after.values
        elif not renamed:
            # what was refused or asked about stays out until someone decides; only where the
            # same file renames whom it was like, it is like nobody any more
            known = {Outcome.UNCHANGED} if late else set()
            assert after.outcome in {Outcome.REFUSED, Outcome.ASKS} | known
            assert after.figure is None
            assert not after.values


@given(LINES)
def test_no_two_promises_are_about_one_player_or_number(cells: list[dict[str, str]]) -> None:
    made = promised(*(line(number, **told) for number, told in enumerate(cells, 2)))
    done = [p for p in made if p.outcome in (Outcome.NEW, Outcome.CHANGED, Outcome.UNCHANGED)]
    players = [p.player for p in done if p.player]
    numbers = [p.values["number"] for p in done if p.values.get("number")]
    assert len(players) == len(set(players))
    assert len(numbers) == len(set(numbers))


@given(LINES)
def test_a_name_or_email_alone_is_never_taken_for_the_same_player(
    cells: list[dict[str, str]],
) -> None:
    kept = {person.id: person for person in KEPT}
    for promise, told in zip(
        promised(*(line(number, **told) for number, told in enumerate(cells, 2))),
        cells,
        strict=True,
    ):
        if promise.player and promise.outcome in (Outcome.CHANGED, Outcome.UNCHANGED):
            same = kept[promise.player]
            by_number = bool(told["number"]) and told["number"] == same.number
            by_both = told["email"] == same.email and told["name"].lower() == same.name.lower()
            assert by_number or by_both


def test_a_file_with_one_name_on_every_line_names_a_few_of_them() -> None:
    """The wrong column taken for the name: a question each, of a length that can be read."""
    made = promised(*(line(n, name="Ivo Marrable", category="men") for n in range(2, 1002)))
    assert {promise.outcome for promise in made} == {Outcome.ASKS}
    assert max(len(promise.words[0]) for promise in made) < 600
    assert all("ivo" in [one.choice for one in promise.options] for promise in made)
    assert made[-1].words[0].startswith("Same name as Ivo Marrable, number 12")
    assert "; and others." in made[-1].words[0]
    assert "others" not in made[5].words[0]
