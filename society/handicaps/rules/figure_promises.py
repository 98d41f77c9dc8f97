"""What a list of handicaps will do, line by line: it makes and changes no player.

A line is about whoever has its id; else its e-mail; else its number; a name alone is always asked
about. Where what a line says points at two people, or a name does not fit, it is asked about too.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from scoring.rules.values import HandicapKind
from society.handicaps.rules.figures import (
    KIND_NAMES,
    Figure,
    Source,
    spoken_of,
    standing,
    written,
)
from society.handicaps.rules.promises import (
    LEAVE,
    OURS_ALONE,
    Promise,
    Told,
    alike,
    claimed,
    figure_of,
    read_told,
)
from society.members.rules import MOST_ALIKE, Directory, Person, plain_name, read_person, same_name
from society.web.rules import DateStyle, Outcome, SheetLine, day_words

# A figure that moves further than this in one list is looked at before it is kept: common
# practice, no source. (The soft cap of the Rules of Handicapping 2024, Rule 5.8, begins at 3.0.)
FAR = Decimal("3.0")
_NOTHING = "Nothing is saved for it."
_FIRST = {
    Source.ASSOCIATION: "of the association",
    Source.SOCIETY: "of the society",
    Source.COMMITTEE: "of the committee",
    Source.STATED: "as stated",
    Source.CARDS: "from cards",
}
_WHOSE = {
    Source.ASSOCIATION: "the association’s figure",
    Source.SOCIETY: "the society’s figure",
    Source.COMMITTEE: "the committee’s figure",
    Source.STATED: "the figure as stated",
    Source.CARDS: "the figure from cards",
}


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose figure a line has: one player, or those to ask about with the reason why."""

    same: Person | None = None
    near: tuple[Person, ...] = ()
    asked: str = ""
    wrong: str = ""


def handicap_promises(
    lines: Iterable[SheetLine],
    people: Iterable[Person],
    records: Mapping[str, Sequence[Figure]],
    today: date,
    style: DateStyle = DateStyle.DAY_FIRST,
    usual: Source = Source.SOCIETY,
) -> list[Promise]:
    """What will happen with each line of a list of handicaps. Arguments as for `promises`."""
    known = Directory(list(people))
    claims: dict[str, int] = {}
    made = []
    for line in lines:
        promise = _promise(line, known, records, today, style, usual)
        made.append(claimed(replace(promise, figure_alone=True), claims))
    return made


def _promise(
    line: SheetLine,
    known: Directory,
    records: Mapping[str, Sequence[Figure]],
    today: date,
    style: DateStyle,
    usual: Source,
) -> Promise:
    person, wrong = read_person(line)
    if not (person.name or line.get("name")) and (person.id or person.number or person.email):
        wrong = wrong[:-1]  # no name is needed beside what tells who it is
    told, wrong_told = read_told(line, today, style)
    name = person.name or line.get("name") or person.email or f"number {person.number}"
    found = Whose() if wrong else whose(person, known)
    wrong = [*wrong, *wrong_told, *filter(None, [found.wrong])]
    if wrong:
        return Promise(line.number, name, Outcome.REFUSED, tuple(wrong))
    if told is None:
        nothing = ("There is no handicap on the line.",)
        return Promise(line.number, name, Outcome.UNCHANGED, nothing)
    if found.same:
        return _new_figure(line, found.same, told, records.get(found.same.id, ()), today, usual)
    options = [
        replace(_new_figure(line, one, told, records.get(one.id, ()), today, usual), choice=one.id)
        for one in found.near
    ]
    if not options:
        by = "of this name" if person.name else "with this e-mail or number"
        nobody = f"Nobody {by} is on the list of players. Add the player first."
        return Promise(line.number, name, Outcome.REFUSED, (nobody,))
    leave = Promise(line.number, name, Outcome.LEFT_OUT, (_NOTHING,), choice=LEAVE)
    words = (f"{found.asked} You decide.",)
    return Promise(line.number, name, Outcome.ASKS, words, options=(*options, leave))


def whose(person: Person, known: Directory) -> Whose:
    """Whose figure it is: by id, else e-mail, else number; a name alone asks.

    Of a couple with one e-mail the name decides, else the number; with neither it is asked.
    """
    if person.id:
        by_id = known.same("id", person.id)
        nobody = "There is no player with this id. Empty the cell, so that e-mail or number count."
        return _agreed(person, by_id[0]) if by_id else Whose(wrong=nobody)
    person = _in_order(person, known)
    by_email = known.same("email", person.email.lower()) if person.email else []
    by_number = known.same("number", person.number) if person.number else []
    if len(by_email) > 1:
        return _of_a_couple(person, by_email, by_number)
    if by_email and by_number and by_email[0].id != by_number[0].id:
        one, other = by_email[0], by_number[0]
        said = f"The e-mail is that of {one.shown}, the number that of {other.shown}."
        return Whose(near=(one, other), asked=f"{said} Who is meant?")
    if sure := by_email or by_number:
        return _agreed(person, sure[0])
    near = known.same("name", plain_name(person.name))[:MOST_ALIKE] if person.name else []
    said = "; ".join(alike(person, one) for one in near)
    return Whose(near=tuple(near), asked=f"{said}. Is it the same person?")


def _in_order(person: Person, known: Directory) -> Person:
    """With a name such as "Low, Ida" turned round, where only the other way is a name we know."""
    last, comma, first = person.name.partition(",")
    if not comma or known.same("name", plain_name(person.name)):
        return person
    turned = f"{first.strip()} {last.strip()}"
    return replace(person, name=turned) if known.same("name", plain_name(turned)) else person


def _agreed(person: Person, found: Person) -> Whose:
    """One who is found, unless the line has another name."""
    if not person.name or same_name(person.name, found.name):
        return Whose(same=found)
    said = f"This is {found.shown}, under another name. Is it the same person?"
    return Whose(near=(found,), asked=said)


def _of_a_couple(person: Person, sharing: Sequence[Person], by_number: Sequence[Person]) -> Whose:
    """One of those who share an e-mail; a number of somebody else puts it in doubt."""
    named = [one for one in sharing if person.name and same_name(person.name, one.name)]
    numbered = [one for one in sharing if person.number and one.number == person.number]
    sure = named or ([] if person.name else numbered)
    strange = bool(by_number) and not (sure and sure[0].id == by_number[0].id)
    if len(sure) == 1 and not strange:
        return Whose(same=sure[0])
    near = dict.fromkeys((*sharing[:MOST_ALIKE], *by_number))
    names = ", ".join(one.name for one in sharing[:MOST_ALIKE])
    return Whose(near=tuple(near), asked=f"{names} share this e-mail. Who is meant?")


def _new_figure(
    line: SheetLine,
    kept: Person,
    told: Told,
    record: Sequence[Figure],
    today: date,
    usual: Source,
) -> Promise:
    """What a line adds to a record, which figure it takes the place of, and how far it moves."""
    figure = figure_of(told, kept.kind, record, today, usual)
    if figure is None:
        return Promise(line.number, kept.name, Outcome.UNCHANGED, player=kept.id, figure_alone=True)
    if figure.source is Source.CARDS:
        return Promise(line.number, kept.name, Outcome.REFUSED, (OURS_ALONE,), player=kept.id)
    before = standing(record, figure.kind, figure.source, figure.valid_from)
    words = [_becomes(before, figure)]
    beside = before or _beside(record, figure)
    if beside:
        words += [_moved(figure, beside, like=before is not None)]
    if before and before.valid_from == figure.valid_from:
        words.append("It takes the place of the figure of the same day. Is the date a new one?")
    words += _overtaken(record, figure, today)
    return Promise(
        line=line.number,
        name=kept.name,
        outcome=Outcome.CHANGED,
        words=tuple(words),
        player=kept.id,
        figure=figure,
        figure_alone=True,
        large=beside is not None and abs(figure.value - beside.value) > FAR,
    )


def _becomes(before: Figure | None, figure: Figure) -> str:
    """What takes the place of what; a first figure of its kind and source is called so."""
    name = KIND_NAMES[figure.kind]
    if before is not None:
        was = spoken_of(before.kind, before.value)
        return f"{name.capitalize()}: {was} becomes {figure.in_words}"
    what = "figure" if figure.kind is HandicapKind.INDEX else name
    value, day = spoken_of(figure.kind, figure.value), day_words(figure.valid_from)
    return f"A first {what} {_FIRST[figure.source]}: {value}, from {day}"


def _beside(record: Sequence[Figure], figure: Figure) -> Figure | None:
    """The newest figure of the same kind from another source, to hold a first one beside."""
    found = [standing(record, figure.kind, source, figure.valid_from) for source in Source]
    return max(filter(None, found), key=lambda line: line.valid_from, default=None)


def _moved(figure: Figure, beside: Figure, *, like: bool) -> str:
    """How far a figure lies from the one before it, such as "0.4 lower"."""
    by = figure.value - beside.value
    way = "higher" if by > 0 else "lower"
    moved = f"{written(abs(by))} {way}" if by else "The same"
    than = "" if like else f" {'than' if by else 'as'} {_WHOSE[beside.source]}"
    said = f"{moved}{than}."
    return f"{said} That is more than {FAR}: look whether it is right." if abs(by) > FAR else said


def _overtaken(record: Sequence[Figure], figure: Figure, today: date) -> list[str]:
    """A sentence where a later line of the record goes on counting."""
    now = standing(record, figure.kind, figure.source, today)
    if now is None or now.valid_from <= figure.valid_from:
        return []
    day = day_words(now.valid_from)
    value = spoken_of(now.kind, now.value).capitalize()
    return [f"{value} from {day} is newer and goes on counting."]
