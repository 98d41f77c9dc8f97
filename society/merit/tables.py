"""A season table laid out for its page: columns of fixtures, cells, and one line in full."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from society.merit.queries import Fixture, MeritStanding
from society.merit.rules.season import Cell, Row, counting, needed, race
from society.merit.rules.values import PointsFrom
from society.merit.rules.words import in_words, shown
from society.web.templatetags.look import day_long

MOST_COLUMNS = 9  # as many as a phone shows side by side


@dataclass(frozen=True, slots=True)
class Column:
    """One fixture over the table."""

    day: date
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
    rank: int
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
    best = counting(standing.rules, standing.results.cancelled)
    return Sheet(
        columns=tuple(Column(f.day, f.name) for f in kept),
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
        rank=row.place or 0,
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


# what the reader needs, and the race --------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Need:
    """A score, and what it takes the reader to."""

    score: str
    words: str


def needs_of(standing: MeritStanding, mine: Collection[str]) -> tuple[str, tuple[Need, ...]]:
    """The day of the next fixture, and what the reader's best placed player must score there.

    Empty where season points are not the day's own score, or nothing is left to play.
    """
    to_come = [f for f in standing.results.fixtures if f.event is None and not f.off]
    own = [row for row in standing.rows if row.player in mine and row.place]
    if standing.rules.points is not PointsFrom.TOTAL or not to_come or not own:
        return "", ()
    row, best = own[0], counting(standing.rules, standing.results.cancelled)
    ahead = [other for other in standing.rows if other.place and other.place < (row.place or 0)]
    found = []
    if best is not None and row.events >= best:
        lowest = min(cell.points for cell in row.cells if cell and cell.counts)
        words = f"to gain at all: the lowest score that counts is {shown(lowest)}"
        found.append(Need(_above_by_one(needed(row, row.total, best)), words))
    for other in dict.fromkeys((*ahead[-1:], *ahead[:1])):
        words = f"to pass {standing.name_of(other.player)}, if that total stands"
        found.append(Need(_above_by_one(needed(row, other.total, best)), words))
    return day_long(to_come[0].day), tuple(found)


def _above_by_one(limit: Fraction) -> str:
    return str(max(0, limit.numerator // limit.denominator + 1))


@dataclass(frozen=True, slots=True)
class Runner:
    """One line of the race; `points` is ready for a polyline."""

    name: str
    kind: str
    points: str
    dots: tuple[tuple[int, int], ...]
    end: int
    places: str


@dataclass(frozen=True, slots=True)
class Race:
    """Places after each fixture: the first four and the reader."""

    runners: tuple[Runner, ...]
    heads: tuple[tuple[int, int], ...]
    rows: tuple[tuple[str, int], ...]


_LEFT, _STEP, _TOP, _DOWN, _LAST, _LOW = 42, 32, 34, 27, 10, 308


def race_of(standing: MeritStanding, mine: Collection[str]) -> Race | None:
    """The race as a drawing; None before two fixtures are in."""
    if standing.played < 2:
        return None
    places = race(standing.results.events, standing.rules, standing.results.cancelled)
    first = max(0, standing.played - MOST_COLUMNS)
    own = [row.player for row in standing.rows if row.player in mine and row.place][:1]
    others = [row.player for row in standing.rows if row.place and row.player not in own][:4]
    kinds = dict(zip(others, "abcd", strict=False)) | dict.fromkeys(own, "me")
    return Race(
        runners=tuple(
            _runner(standing, player, kind, places[player][first:])
            for player, kind in kinds.items()
        ),
        heads=tuple((first + at + 1, _LEFT + _STEP * at) for at in range(standing.played - first)),
        rows=(*((str(n), _TOP + _DOWN * (n - 1)) for n in range(1, _LAST + 1)), ("11+", _LOW)),
    )


def _runner(
    standing: MeritStanding, player: str, kind: str, places: tuple[int | None, ...]
) -> Runner:
    dots = tuple(
        (_LEFT + _STEP * at, _TOP + _DOWN * (place - 1) if place <= _LAST else _LOW)
        for at, place in enumerate(places)
        if place is not None
    )
    name = standing.name_of(player)
    return Runner(
        name="You" if kind == "me" else name.split(" ")[0],
        kind=kind,
        points=" ".join(f"{x},{y}" for x, y in dots),
        dots=dots,
        end=dots[-1][1] + 5 if dots else _LOW,
        places=f"{name}: {', '.join('–' if p is None else str(p) for p in places)}.",
    )


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
