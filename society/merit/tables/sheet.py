"""A season table laid out for its page: columns of fixtures, rows and cells."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date

from society.merit.bridge import Fixture
from society.merit.queries import MeritStanding
from society.merit.rules.rows import Row, shown
from society.merit.rules.season import counting
from society.merit.rules.words import UNRANKED, given_words, in_words, multiplier
from society.web.templatetags.look import count_of

MOST_COLUMNS = 9  # as many as a phone shows side by side


@dataclass(frozen=True, slots=True)
class Column:
    """One fixture over the table."""

    day: date
    name: str
    weight: str = ""  # "×2" where it is worth more or less than the rest, "major" for a major


@dataclass(frozen=True, slots=True)
class Mark:
    """One cell: `kind` is counts, dropped, none (did not play), off, left out or to come."""

    kind: str
    figure: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the page."""

    player: str
    name: str
    rank: int
    place: str
    joint: bool
    mine: bool
    guest: bool
    unranked: str
    total: str
    behind: str
    short: str
    why: str
    given: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The whole table. `left_out`: how many earlier fixtures have no column of their own."""

    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    total_head: str
    left_out: int
    played: int
    planned: int


def sheet_of(standing: MeritStanding, mine: Collection[str] = ()) -> Sheet:
    """Lay a table out. `mine`: public ids of the reader's players."""
    fixtures = standing.results.fixtures
    kept = _columns(fixtures)
    best = counting(standing.rules, standing.facts.cancelled)
    return Sheet(
        columns=tuple(Column(f.day, f.name, weight_words(standing, f)) for f in kept),
        lines=_said_once(line_shown(standing, row, kept, mine) for row in standing.rows),
        total_head="Points" if best is None else f"Best {in_words(best)}",
        left_out=len(fixtures) - len(kept),
        played=standing.played,
        planned=sum(not (fixture.off or fixture.left_out) for fixture in fixtures),
    )


def _said_once(lines: Iterable[Line]) -> tuple[Line, ...]:
    """What holds for all who share a place stands under the first of them alone."""
    found: list[Line] = []
    for line in lines:
        again = line.joint and found and found[-1].joint and found[-1].place == line.place
        found.append(replace(line, why="") if again else line)
    return tuple(found)


def weight_words(standing: MeritStanding, fixture: Fixture) -> str:
    """What makes a fixture count otherwise than the rest; empty for an ordinary one."""
    weight = standing.rules.weight_of(fixture.key)
    found = ["major"] if fixture.key in standing.rules.majors else []
    found += [f"×{multiplier(weight)}"] if weight != 1 else []
    return " ".join(found)


def _columns(fixtures: Collection[Fixture]) -> list[Fixture]:
    """All fixtures if they fit; else the latest played ones, with what is next if there is room."""
    listed = list(fixtures)
    if len(listed) <= MOST_COLUMNS:
        return listed
    played = [at for at, fixture in enumerate(listed) if fixture.event is not None]
    end = max(MOST_COLUMNS, (played[-1] + 1 if played else 0))
    return listed[end - MOST_COLUMNS : end]


def line_shown(
    standing: MeritStanding, row: Row, kept: Collection[Fixture], mine: Collection[str]
) -> Line:
    """One row with its cells under these fixtures."""
    behind = "" if row.behind is None else shown(row.behind)
    return Line(
        player=row.player,
        name=standing.name_of(row.player),
        rank=row.place or 0,
        place="" if row.place is None else str(row.place),
        joint=bool(row.level_with),
        mine=row.player in mine,
        guest=not row.member,
        unranked=UNRANKED.get(row.unranked, ""),
        total=shown(row.total),
        behind="leads" if row.place == 1 else behind,
        short=f"{count_of(row.short, 'fixture,fixtures')} short" if row.short else "",
        why=standing.why(row),
        given=given_words(row.given),
        marks=tuple(_mark(fixture, row) for fixture in kept),
    )


def _mark(fixture: Fixture, row: Row) -> Mark:
    if fixture.left_out:
        return Mark("left out")
    if fixture.off:
        return Mark("off")
    if fixture.event is None:
        return Mark("to come")
    cell = row.cells[fixture.event]
    if cell is None:
        return Mark("none")
    return Mark("counts" if cell.counts else "dropped", shown(cell.points))
