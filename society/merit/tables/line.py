"""One line of a season table in full: what counted, what dropped, what parted it, what it needs."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from society.merit.bridge import Fixture
from society.merit.queries import MeritStanding
from society.merit.rules.rows import Row, shown
from society.merit.rules.words import count_of, minus
from society.merit.tables.sheet import Line, line_shown, weight_words


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
    notes: str = ""
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class LineShown:
    """One line in full: what counted, what dropped, what separates it from its neighbours."""

    line: Line
    scores: tuple[Score, ...]
    counted: int
    dropped: int
    above: str
    start: str


def line_of(standing: MeritStanding, player: str, mine: Collection[str]) -> LineShown | None:
    """The line of a player; None if the player has no score in this table."""
    at = next((n for n, row in enumerate(standing.rows) if row.player == player), None)
    if at is None:
        return None
    row = standing.rows[at]
    cells = [cell for cell in row.cells if cell]
    above = standing.rows[at - 1] if at else None
    return LineShown(
        line=line_shown(standing, row, standing.results.fixtures, mine),
        scores=tuple(_score(standing, fixture, row) for fixture in standing.results.fixtures),
        counted=sum(cell.counts for cell in cells),
        dropped=sum(not cell.counts for cell in cells),
        above=_above(standing, row, above),
        start=f"The season began on {minus(row.start)}" if row.start else "",
    )


def _score(standing: MeritStanding, fixture: Fixture, row: Row) -> Score:
    cell = row.cells[fixture.event] if fixture.event is not None else None
    return Score(
        fixture=fixture.address,
        name=fixture.name,
        day=fixture.day,
        figure=shown(cell.points) if cell else "",
        counts=bool(cell and cell.counts),
        place=cell.place if cell else None,
        final=fixture.event is not None,
        off=fixture.off or fixture.left_out,
        notes=_notes(standing, fixture, row),
        left_out=fixture.left_out,
    )


def _notes(standing: MeritStanding, fixture: Fixture, row: Row) -> str:
    """What made a score more than the points of its place or total."""
    cell = row.cells[fixture.event] if fixture.event is not None else None
    found = [words] if (words := weight_words(standing, fixture)) else []
    if cell and cell.extra:
        found.append(f"with {count_of(cell.extra)} on top")
    return ", ".join(found)


def _above(standing: MeritStanding, row: Row, above: Row | None) -> str:
    """Why the row above is above, where the totals are the same."""
    if above is None or above.parted is None or row.player not in above.parted.below:
        return ""
    return f"{standing.name_of(above.player)}: {standing.why(above)}"
