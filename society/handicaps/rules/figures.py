"""Handicap figures: read as people write them, bounded, written, spoken; which one stands."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from scoring.rules.values import HandicapKind
from scoring.rules.working import OWN_SOURCES
from society.web.rules import day_words


class Source(StrEnum):
    """Who says a handicap; `stated` is a guest's own figure, `cards` one worked out here."""

    ASSOCIATION = "association"
    SOCIETY = "society"
    COMMITTEE = "committee"
    STATED = "stated"
    CARDS = "cards"


KIND_NAMES: dict[str, str] = {
    HandicapKind.INDEX: "index",
    HandicapKind.COURSE: "course handicap",
    HandicapKind.PLAYING: "playing handicap",
}


def called(kind: HandicapKind, source: str, *, as_it_stands: bool = True) -> str:
    """What a figure is called; only an index as an association issued it is an index.

    >>> called(HandicapKind.INDEX, Source.STATED), called(HandicapKind.INDEX, Source.CARDS)
    ('index', 'society handicap')
    """
    if kind is HandicapKind.INDEX and (source in OWN_SOURCES or not as_it_stands):
        return "society handicap"
    return KIND_NAMES[kind]


# The highest Handicap Index is 54.0 (Rules of Handicapping 2024, Rule 5.3); the other limits are
# those of the event document, so that whatever is kept here can be played off.
LOWEST = {
    HandicapKind.INDEX: Decimal(-10),
    HandicapKind.COURSE: Decimal(-20),
    HandicapKind.PLAYING: Decimal(-20),
}
HIGHEST = {
    HandicapKind.INDEX: Decimal(54),
    HandicapKind.COURSE: Decimal(100),
    HandicapKind.PLAYING: Decimal(100),
}
_FIGURE = re.compile(r"(\+?)([0-9]{1,3})(?:[.,]([0-9]))?")
_SHOWN = 20  # letters of what was typed, in a sentence
_MINUS = re.compile(r"[-−–—]\s*[0-9.,]+")


def read_figure(text: str, kind: HandicapKind) -> Decimal:
    """A handicap as people write it, as it is kept: "+1.2" gives -1.2.

    Raises ValueError with a sentence: for a minus sign, which is read both ways by people, for
    what is no figure, for more than one digit after the point, and out of the limits.
    """
    line = text.strip()
    if _MINUS.fullmatch(line):
        line = line[:_SHOWN]
        bare = line.lstrip("-−–— ")
        raise ValueError(
            f"“{line}” has a minus sign. A plus handicap is written +{bare}, any other {bare}."
        )
    found = _FIGURE.fullmatch(line)
    if found is None:
        raise ValueError(
            f"“{line[:_SHOWN]}” is no handicap. Write it like 12.3, or +1.2 for a plus handicap."
        )
    sign, whole, tenth = found.groups()
    value = Decimal(f"{whole}.{tenth}" if tenth else whole)
    return checked(-value if sign else value, kind)


def checked(value: Decimal, kind: HandicapKind) -> Decimal:
    """The figure with at most one digit after the point and within the limits of its kind.

    Raises ValueError with a sentence.
    """
    if value != round(value, 1):
        raise ValueError("A handicap has one digit after the point.")
    if kind is HandicapKind.PLAYING and value != int(value):
        raise ValueError("A playing handicap is a whole number.")
    if not LOWEST[kind] <= value <= HIGHEST[kind]:
        raise ValueError(
            f"{spoken(value).capitalize()} is no {KIND_NAMES[kind]}. "
            f"It goes from +{-LOWEST[kind]} to {HIGHEST[kind]}."
        )
    return value + 0  # never minus zero


def written(value: Decimal) -> str:
    """A kept figure as people write it, without empty digits: -1.2 gives "+1.2".

    A figure worked out by the database may come with more digits than it has.
    """
    figure = Decimal(int(value)) if value == int(value) else round(value, 1)
    return f"{'+' if value < 0 else ''}{abs(figure):f}"


def spoken(value: Decimal) -> str:
    """A kept figure in words that cannot be misread: -1.2 gives "plus 1.2"."""
    return written(value).replace("+", "plus ")


def written_of(kind: HandicapKind, value: Decimal) -> str:
    """A figure as people write it, an index always with its tenth.

    >>> written_of(HandicapKind.INDEX, Decimal(22)), written_of(HandicapKind.PLAYING, Decimal(22))
    ('22.0', '22')
    """
    if kind is HandicapKind.INDEX:
        return f"{'+' if value < 0 else ''}{abs(value):.1f}"
    return written(value)


def spoken_of(kind: HandicapKind, value: Decimal) -> str:
    """The same in words that cannot be misread.

    >>> spoken_of(HandicapKind.INDEX, Decimal(-1)), spoken_of(HandicapKind.COURSE, Decimal(-1))
    ('plus 1.0', 'plus 1')
    """
    return written_of(kind, value).replace("+", "plus ")


def named(kind: str, source: str, value: Decimal) -> str:
    """A figure with what it is called, for a sentence: kind and source as the record keeps them.

    >>> named("index", "society", Decimal(22)), named("index", "association", Decimal("-1.2"))
    ('society handicap 22.0', 'index plus 1.2')
    """
    asked = HandicapKind(kind)
    return f"{called(asked, source)} {spoken_of(asked, value)}"


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of a record, or one that is to be added to it."""

    kind: HandicapKind
    value: Decimal
    source: Source
    valid_from: date

    @property
    def in_words(self) -> str:
        """The whole line for a preview or a confirmation."""
        day = day_words(self.valid_from)
        value = spoken_of(self.kind, self.value)
        return f"{KIND_NAMES[self.kind]} {value} ({self.source.value}, from {day})"


def standing(
    record: Iterable[Figure], kind: HandicapKind, source: Source, on: date
) -> Figure | None:
    """The figure of one kind and source in force on a day.

    `record` is in the order it was written; of two lines from the same day the later counts.
    """
    known = [
        line
        for line in record
        if line.kind is kind and line.source is source and line.valid_from <= on
    ]
    return (
        max(enumerate(known), key=lambda pair: (pair[1].valid_from, pair[0]))[1] if known else None
    )


def standing_lines(record: Sequence[Figure], on: date) -> list[Figure]:
    """The figures of a record in force on a day, one for each kind and source that has one."""
    found = (standing(record, kind, source, on) for kind in HandicapKind for source in Source)
    return [line for line in found if line is not None]
