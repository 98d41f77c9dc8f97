"""A season table laid out for its page: columns of fixtures, cells, and one line in full."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from society.merit.queries import Fixture, MeritStanding
from society.merit.rules.season import Cell, Row, counting
from society.merit.rules.values import PointsFrom
from society.merit.rules.words import in_words, shown
from society.web.templatetags.look import month_short

MOST_COLUMNS = 9  # as many as a phone shows side by side


@dataclass(frozen=True, slots=True)
class Column:
    """One fixture over the table."""

    number: int
    month: str
    name: str


@dataclass(frozen=True, slots=True)
class Mark:
    """One cell: `kind` is counts, dropped, none (did not play), off or to come."""

    kind: str
    figure: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the page."""

    player: str
    name: str
    place: str
    joint: bool
    mine: bool
    guest: bool
    total: str
    behind: str
    short: str
    why: str
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
    numbers = {fixture.public_id: n for n, fixture in enumerate(fixtures, start=1)}
    best = counting(standing.rules, standing.results.cancelled)
    return Sheet(
        columns=tuple(Column(numbers[f.public_id], month_short(f.day), f.name) for f in kept),
        lines=tuple(_line(standing, row, kept, mine) for row in standing.rows),
        total_head="Points" if best is None else f"Best {in_words(best)}",
        left_out=len(fixtures) - len(kept),
        played=standing.played,
        planned=len(fixtures) - standing.results.cancelled,
    )


def _columns(fixtures: Collection[Fixture]) -> list[Fixture]:
    """All fixtures if they fit; else the latest played ones, with what is next if there is room."""
    listed = list(fixtures)
    if len(listed) <= MOST_COLUMNS:
        return listed
    played = [at for at, fixture in enumerate(listed) if fixture.event is not None]
    end = max(MOST_COLUMNS, (played[-1] + 1 if played else 0))
    return listed[end - MOST_COLUMNS : end]


def _line(
    standing: MeritStanding, row: Row, kept: Collection[Fixture], mine: Collection[str]
) -> Line:
    behind = "" if row.behind is None else shown(row.behind)
    return Line(
        player=row.player,
        name=standing.name_of(row.player),
        place="" if row.place is None else str(row.place),
        joint=bool(row.level_with),
        mine=row.player in mine,
        guest=not row.member,
        total=shown(row.total),
        behind="leads" if row.place == 1 else behind,
        short=f"{row.short} short" if row.short else "",
        why=standing.why(row),
        marks=tuple(_mark(fixture, row) for fixture in kept),
    )


def _mark(fixture: Fixture, row: Row) -> Mark:
    if fixture.off:
        return Mark("off")
    if fixture.event is None:
        return Mark("to come")
    cell = row.cells[fixture.event]
    if cell is None:
        return Mark("none")
    return Mark("counts" if cell.counts else "dropped", shown(cell.points))


# one line ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Score:
    """One fixture of one player."""

    fixture: str
    name: str
    day: date
    figure: str
    counts: bool
    place: int | None
    final: bool
    off: bool


@dataclass(frozen=True, slots=True)
class LineShown:
    """One line in full: what counted, what dropped, what separates it from its neighbours."""

    line: Line
    scores: tuple[Score, ...]
    counted: int
    dropped: int
    above: str
    gain: str


def line_of(standing: MeritStanding, player: str, mine: Collection[str]) -> LineShown | None:
    """The line of a player; None if the player has no score in this table."""
    at = next((n for n, row in enumerate(standing.rows) if row.player == player), None)
    if at is None:
        return None
    row = standing.rows[at]
    cells = [cell for cell in row.cells if cell]
    above = standing.rows[at - 1] if at else None
    return LineShown(
        line=_line(standing, row, standing.results.fixtures, mine),
        scores=tuple(_score(fixture, row) for fixture in standing.results.fixtures),
        counted=sum(cell.counts for cell in cells),
        dropped=sum(not cell.counts for cell in cells),
        above=_above(standing, row, above),
        gain=_gain(standing, row, cells),
    )


def _score(fixture: Fixture, row: Row) -> Score:
    cell = row.cells[fixture.event] if fixture.event is not None else None
    return Score(
        fixture=fixture.public_id,
        name=fixture.name,
        day=fixture.day,
        figure=shown(cell.points) if cell else "",
        counts=bool(cell and cell.counts),
        place=cell.place if cell else None,
        final=fixture.event is not None,
        off=fixture.off,
    )


def _above(standing: MeritStanding, row: Row, above: Row | None) -> str:
    """Why the row above is above, where the totals are the same."""
    if above is None or above.parted is None or row.player not in above.parted.below:
        return ""
    return f"{standing.name_of(above.player)}: {standing.why(above)}"


def _gain(standing: MeritStanding, row: Row, cells: list[Cell]) -> str:
    """What the next score must be to count at all, where the best of the scores count."""
    best = counting(standing.rules, standing.results.cancelled)
    if best is None or len(cells) < best or standing.rules.points is not PointsFrom.TOTAL:
        return ""
    lowest = min(cell.points for cell in cells if cell.counts)
    return f"{shown(lowest + 1)} or more gains something: the lowest score that counts is " + shown(
        lowest
    )
