"""What an import of players or handicaps will do, line by line, before anything is kept."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from datetime import date
from decimal import Decimal
from typing import Any

from scoring.rules.values import HandicapKind
from society.handicaps.rules.figures import (
    KIND_NAMES,
    Figure,
    Source,
    read_figure,
    standing,
)
from society.members.rules import (
    FIELD_NAMES,
    PERSON_COLUMNS,
    Directory,
    Person,
    PlayerKind,
    differences,
    find,
    read_person,
    same_name,
)
from society.web.rules import DateStyle, Outcome, SheetLine, read_day

COLUMNS = PERSON_COLUMNS | {
    "handicap": (
        "handicap",
        "hcp",
        "handicap index",
        "index",
        "current handicap",
        "exact handicap",
        "hi",
    ),
    "kind": ("kind", "kind of handicap", "handicap kind"),
    "source": ("source", "handicap source", "where it comes from"),
    "valid_from": (
        "date",
        "valid from",
        "handicap date",
        "since",
        "as of",
        "effective date",
        "revision date",
        "last revision",
    ),
}
# A list of handicaps alone says of the player only who it is.
_WHO = ("name", "first_name", "last_name", "number", "email", "id")
HANDICAP_COLUMNS = {
    column: names
    for column, names in COLUMNS.items()
    if column in _WHO or column not in PERSON_COLUMNS
}
HANDICAPS = ("handicap",)  # a number below zero there is a plus handicap
NEW, LEAVE = "new", "leave"
EARLIEST = date(1950, 1, 1)
_HOUR = re.compile(r"[ T][0-9]{1,2}:[0-9]{2}(:[0-9]{2})?$")
OURS_ALONE = (
    "Figures from cards are worked out here from the scores; they are not brought in. "
    "Leave the line out, or give the source the figure comes from."
)


@dataclass(frozen=True, slots=True)
class Promise:
    """What will happen with one line, in words and in values.

    `player`: public id of the player meant, "" for a new one. `values`: what is written of the
    player. `figure`: what is added to the record. `options`: where the officer is asked, what
    each choice would do; an option's `choice` is the answer that takes it. `figure_alone`: of a
    list of handicaps, where a player may have a line for each kind and source. `large`: the figure
    moves so far that somebody should look whether it is the right one.
    """

    line: int
    name: str
    outcome: Outcome
    words: tuple[str, ...] = ()
    player: str = ""
    values: Mapping[str, str] = dataclass_field(default_factory=dict)
    figure: Figure | None = None
    options: tuple["Promise", ...] = ()
    choice: str = ""
    figure_alone: bool = False
    large: bool = False


@dataclass(frozen=True, slots=True)
class Told:
    """What a line says of a handicap, before it is known whose it is."""

    kind: HandicapKind
    value: Decimal
    source: Source | None
    valid_from: date | None


def last_day(today: date) -> date:
    """The latest day a handicap may be valid from: a slip in the year must not hide it for long."""
    return date.fromordinal(today.toordinal() + 366)


def read_told(line: SheetLine, today: date, style: DateStyle) -> tuple[Told | None, list[str]]:
    """What a line says of a handicap, and a sentence for each thing that cannot be kept."""
    text = line.get("handicap")
    if not text:
        return None, []
    wrong: list[str] = []

    def read(column: str, reader: Callable[[str], Any]) -> Any:
        try:
            return reader(line.get(column)) if line.get(column) else None
        except ValueError as sentence:
            wrong.append(str(sentence))
            return None

    kind = read("kind", _kind) or HandicapKind.INDEX
    value = read("handicap", lambda figure: read_figure(figure, kind))
    source = read("source", _source)
    valid_from = read("valid_from", lambda day: _day(day, today, style))
    return (None, wrong) if wrong else (Told(kind, value, source, valid_from), [])


def _kind(text: str) -> HandicapKind:
    try:
        return HandicapKind(text.lower().removeprefix("handicap ").removesuffix(" handicap"))
    except ValueError as unknown:
        known = ", ".join(kind.value for kind in HandicapKind)
        raise ValueError(f"Kind “{text}” is not known. Write one of {known}.") from unknown


def _source(text: str) -> Source:
    try:
        return Source(text.lower())
    except ValueError as unknown:
        known = ", ".join(source.value for source in Source if source is not Source.CARDS)
        raise ValueError(f"Source “{text}” is not known. Write one of {known}.") from unknown


def _day(text: str, today: date, style: DateStyle) -> date:
    """A day, also where an hour stands behind it, as lists from elsewhere have it."""
    day = read_day(_HOUR.sub("", text), style)
    if not EARLIEST <= day <= last_day(today):
        raise ValueError(f"“{text}” is too far from today for a handicap.")
    return day


def figure_of(
    told: Told | None, kind: str, record: Sequence[Figure], today: date, usual: Source
) -> Figure | None:
    """The line to add to a record; None if it says so already.

    Without a source the figure is of the `usual` one, a guest's as it is stated. Without a date it
    is today's, and one that stands today is not written again.
    """
    if told is None:
        return None
    usual = Source.STATED if kind == PlayerKind.GUEST.value else usual
    source, day = told.source or usual, told.valid_from or today
    stands = standing(record, told.kind, source, day)
    known = stands is not None and told.valid_from in (None, stands.valid_from)
    if known and stands is not None and stands.value == told.value:
        return None
    return Figure(told.kind, told.value, source, day)


def promises(
    lines: Iterable[SheetLine],
    people: Iterable[Person],
    records: Mapping[str, Sequence[Figure]],
    today: date,
    style: DateStyle = DateStyle.DAY_FIRST,
    usual: Source = Source.SOCIETY,
) -> list[Promise]:
    """What will happen with each line of a file.

    `people`: everybody kept. `records`: public id of a player → record in the order written.
    `style`: in which order the days in figures alone are read. `usual`: whose a member's
    figure is where the line does not say it. Nothing here depends on anything else but `today`.
    """
    known = Directory(list(people))
    made: list[Promise] = []
    claims: dict[str, int] = {}
    for line in lines:
        promise, newcomer = _promise(line, known, records, today, style, usual)
        promise = claimed(promise, claims)
        if number := line.get("number"):
            # A line refused or asked about holds its number too, or the file read a second time
            # would take it for the one who got that number.
            claims.setdefault(f"number {number}", line.number)
        if newcomer is not None and promise.outcome in (Outcome.NEW, Outcome.ASKS):
            known.add(newcomer)
        made.append(promise)
    return made


def _promise(
    line: SheetLine,
    known: Directory,
    records: Mapping[str, Sequence[Figure]],
    today: date,
    style: DateStyle,
    usual: Source,
) -> tuple[Promise, Person | None]:
    """The promise of a line, and the person who would be new."""
    person, wrong = read_person(line)
    told, wrong_told = read_told(line, today, style)
    name = person.name or line.get("name") or "no name"
    if wrong + wrong_told:
        words = tuple(wrong + wrong_told)
        return Promise(line.number, name, Outcome.REFUSED, words), None
    found = find(person, known)
    if found.wrong:
        return Promise(line.number, name, Outcome.REFUSED, (found.wrong,)), None
    if found.same:
        record = records.get(found.same.id, ())
        return _about(person, found.same, told, record, known, today, usual), None
    fresh = _about_new(person, told, today, usual)
    if not found.near:
        return fresh, person
    options = [replace(fresh, choice=NEW)]
    for one in found.near:
        if not one.line:
            about = _about(person, one, told, records.get(one.id, ()), known, today, usual)
            options.append(replace(about, choice=one.id))
    leave = Promise(
        line.number, name, Outcome.LEFT_OUT, ("Nothing is saved for it.",), choice=LEAVE
    )
    whom = "; ".join(alike(person, one) for one in found.near)
    whom += "; and others" if found.more else ""
    words = (f"{whom}. Is it the same person? You decide.",)
    asks = Promise(line.number, name, Outcome.ASKS, words, options=(*options, leave))
    return asks, person


def alike(person: Person, one: Person) -> str:
    """Why a line is asked about: "Same name as Ivo Marrable, number 12"."""
    name = same_name(person.name, one.name)
    email = bool(person.email) and person.email.lower() == one.email.lower()
    what = "name and e-mail" if name and email else "name" if name else "e-mail"
    where = f" of line {one.line}" if one.line else ""
    return f"Same {what} as {one.shown}{where}"


def _about_new(person: Person, told: Told | None, today: date, usual: Source) -> Promise:
    kind = person.kind or PlayerKind.MEMBER.value
    if not person.category:
        needed = ("A new player needs a category, men or women.",)
        return Promise(person.line, person.name, Outcome.REFUSED, needed)
    figure = figure_of(told, kind, (), today, usual)
    if figure and figure.source is Source.CARDS:
        return Promise(person.line, person.name, Outcome.REFUSED, (OURS_ALONE,))
    values = {field: getattr(person, field) for field in FIELD_NAMES} | {"kind": kind}
    told_of = [f"New {kind}", person.category]
    told_of += [f"number {person.number}"] if person.number else []
    told_of += [person.email] if person.email else []
    told_of += [person.home_club] if person.home_club else []
    words = [", ".join(told_of)]
    words += [f"Handicap: {figure.in_words}"] if figure else []
    return Promise(
        person.line, person.name, Outcome.NEW, tuple(words), values=values, figure=figure
    )


def _about(
    person: Person,
    kept: Person,
    told: Told | None,
    record: Sequence[Figure],
    known: Directory,
    today: date,
    usual: Source,
) -> Promise:
    """What a line does to a player who is kept."""
    changes = differences(person, kept)
    holders = known.same("number", changes.get("number", ("", ""))[1])
    if holders:
        taken = (f"Number {person.number} belongs to {holders[0].name}.",)
        return Promise(person.line, kept.name, Outcome.REFUSED, taken, player=kept.id)
    figure = figure_of(told, person.kind or kept.kind, record, today, usual)
    if figure and figure.source is Source.CARDS:
        return Promise(person.line, kept.name, Outcome.REFUSED, (OURS_ALONE,), player=kept.id)
    words = [
        f"{FIELD_NAMES[field].capitalize()}: {old or 'none'} becomes {new}"
        for field, (old, new) in changes.items()
    ]
    words += [f"New line in the record: {figure.in_words}"] if figure else []
    return Promise(
        line=person.line,
        name=kept.name,
        outcome=Outcome.CHANGED if words else Outcome.UNCHANGED,
        words=tuple(words),
        player=kept.id,
        values={field: new for field, (_, new) in changes.items()},
        figure=figure,
    )


def claimed(promise: Promise, claims: dict[str, int]) -> Promise:
    """Refused if an earlier line is about the same player or gives the same number away."""
    if promise.outcome not in (Outcome.NEW, Outcome.CHANGED, Outcome.UNCHANGED, Outcome.ASKS):
        return promise
    if promise.figure_alone:
        return _claimed_figure(promise, claims)
    given = (one.values.get("number") for one in (promise, *promise.options))
    number = next(filter(None, given), None)
    for claim, words in (
        (f"player {promise.player}", f"is about {promise.name}"),
        (f"number {number}", f"has number {number}"),
    ):
        if claim in ("player ", "number ", "number None"):
            continue
        if claim in claims:
            already = (f"Line {claims[claim]} {words} already.",)
            return Promise(promise.line, promise.name, Outcome.REFUSED, already)
        claims[claim] = promise.line
    return promise


def _claimed_figure(promise: Promise, claims: dict[str, int]) -> Promise:
    """Refused if an earlier line gives the same player a figure of the same kind and source."""
    if promise.figure is None or not promise.player:
        return promise
    kind, source = promise.figure.kind, promise.figure.source
    claim = f"figure {promise.player} {kind.value} {source.value}"
    if claim in claims:
        article = "an" if kind is HandicapKind.INDEX else "a"
        what = f"{article} {KIND_NAMES[kind]}"
        words = (f"Line {claims[claim]} gives {promise.name} {what} already.",)
        return Promise(promise.line, promise.name, Outcome.REFUSED, words)
    claims[claim] = promise.line
    return promise


def settle(made: Iterable[Promise], choices: Mapping[int, str]) -> list[Promise]:
    """The promises with every question answered: line number → "new", "leave" or a player's id.

    A question without one of its answers stays a question. Two lines that have become about the
    same player, or give the same number away, are refused from the second on.
    """
    claims: dict[str, int] = {}
    settled = []
    for promise in made:
        taken = next(
            (one for one in promise.options if one.choice == choices.get(promise.line)), promise
        )
        settled.append(claimed(taken, claims))
    return settled
