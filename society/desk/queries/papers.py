"""What the start sheet of a fixture says."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time

from society.desk.queries.draw_words import hole_words
from society.entries.bridge.draws import Draw, the_draw
from society.entries.bridge.handicaps import HandicapLine, handicap_lines
from society.entries.queries import starts_of
from society.entries.rules.groups import markers
from society.entries.rules.words import listed
from society.fixtures.models import Fixture
from society.fixtures.queries import (
    competitions_of,
    played_off_words,
    terms_sentences_of,
    the_competition,
    the_round,
)


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One player of the start sheet."""

    name: str
    plays_off: str
    tee: str
    marks: str
    note: str
    digits: str


@dataclass(frozen=True, slots=True)
class SheetGroup:
    """One group of the start sheet; without a draw all players stand in one without a number."""

    number: int | None
    time: time | None
    hole: str
    rows: tuple[SheetRow, ...]


@dataclass(frozen=True, slots=True)
class About:
    """What every paper of a fixture says at its head; `played_off`: off which handicap."""

    competition: str
    course: str
    tees: str
    day: date
    terms: tuple[str, ...]
    played_off: str


@dataclass(frozen=True, slots=True)
class StartSheet:
    """The whole start sheet. `size`: "", "tight" or "tighter", so that it stays one page."""

    about: About
    groups: tuple[SheetGroup, ...]
    players: int
    several_tees: bool
    draw: Draw | None
    size: str

    @property
    def numbered(self) -> int:
        """How many groups were drawn."""
        return sum(group.number is not None for group in self.groups)

    @property
    def notes(self) -> bool:
        """Whether anybody has a note."""
        return any(row.note for group in self.groups for row in group.rows)


def about_fixture(fixture: Fixture, lines: Iterable[HandicapLine]) -> About:
    """Name, course, tees in use and terms."""
    competition, round_ = the_competition(fixture), the_round(fixture)
    tees = sorted({line.tee.name for line in lines if line.tee is not None})
    return About(
        competition=competition.name,
        course=round_.course.name,
        tees=f"{listed(tees)} {'tee' if len(tees) == 1 else 'tees'}" if tees else "",
        day=round_.day,
        terms=(*terms_sentences_of(competition), *_also(fixture)),
        played_off=played_off_words(competition),
    )


def _also(fixture: Fixture) -> list[str]:
    """What else the same cards count for; the strokes on paper are those of the first."""
    names = [row.name for row in competitions_of(fixture)]
    if len(names) < 2:
        return []
    return [f"The same cards count for {listed(names[1:])}; shots are those of {names[0]}."]


# start sheet -------------------------------------------------------------------------------


_LONG_NAME = 28  # letters; beyond that a name wraps in its column


def start_sheet(fixture: Fixture) -> StartSheet:
    """Groups with times, or everyone by name where there is no draw."""
    lines = handicap_lines(fixture)
    round_ = the_round(fixture)
    draw = the_draw(round_)
    digits = {start.entry_id: start.digits for start in starts_of(round_).values()}
    by_key = {line.entry.key: line for line in lines}
    several = len({line.tee.pk for line in lines if line.tee is not None}) > 1
    groups: list[SheetGroup] = []
    drawn: set[str] = set()
    for number, group in enumerate(draw.groups if draw else (), 1):
        present = [by_key[key] for key in group if key in by_key]
        drawn |= {line.entry.key for line in present}
        if present:
            marks = _marks(draw)
            rows = tuple(_sheet_row(line, marks, by_key, digits) for line in present)
            at = draw.time_of_group(number) if draw else None
            groups.append(SheetGroup(number, at, hole_words(draw, number), rows))
    rest = sorted((line for line in lines if line.entry.key not in drawn), key=_name)
    if rest:
        rows = tuple(_sheet_row(line, {}, by_key, digits) for line in rest)
        groups.append(SheetGroup(None, None, "", rows))
    return StartSheet(
        about=about_fixture(fixture, lines),
        groups=tuple(groups),
        players=len(lines),
        several_tees=several,
        draw=draw,
        size=sheet_size(line.entry.player.name for line in lines),
    )


def sheet_size(names: Iterable[str], more: int = 0) -> str:
    """How tightly a sheet is set so that it stays one page; `more`: lines besides the players.

    A long name and the one who marks it wrap to three lines.
    """
    needed = more + sum(3 if len(name) > _LONG_NAME else 1 for name in names)
    return "" if needed <= 30 else "tight" if needed <= 44 else "tighter"


def _sheet_row(
    line: HandicapLine,
    marks: Mapping[str, str],
    by_key: Mapping[str, HandicapLine],
    digits: Mapping[int, str],
) -> SheetRow:
    marked = marks.get(line.entry.key, "")
    host = line.entry.host
    return SheetRow(
        name=line.entry.player.name,
        plays_off=plays_off_words(line),
        tee=line.tee.name if line.tee else "",
        marks=by_key[marked].entry.player.name if marked in by_key else "",
        note=f"guest of {host.first_name}" if host else "",
        digits=digits.get(line.entry.pk, ""),
    )


def _marks(draw: Draw | None) -> dict[str, str]:
    """Whose card each marks, by entry key, over all groups."""
    found: dict[str, str] = {}
    for group in draw.groups if draw else ():
        found |= {marker: player for player, marker in markers(group).items()}
    return found


def plays_off_words(line: HandicapLine) -> str:
    if line.plays is None:
        return ""
    playing = line.plays.playing
    return f"+{-playing}" if playing < 0 else str(playing)


def _name(line: HandicapLine) -> str:
    return line.entry.player.name.lower()
