"""A season table as a list for a spreadsheet: every score of everybody, those dropped named."""

from decimal import Decimal
from fractions import Fraction

from society.merit.bridge import Fixture
from society.merit.queries import MeritStanding
from society.merit.rules.rows import Row
from society.web.templatetags.look import day_short
from society.web.workbook_out import Column, Listing, Shape, Value


def merit_listing(standing: MeritStanding) -> Listing:
    """One line for each player in order of the table, one column for each fixture of it.

    A fixture that is off, or still to come, has an empty column; a fraction of a point is written
    with two digits.
    """
    fixtures = standing.results.fixtures
    columns = [
        Column("Place", Shape.NUMBER),
        Column("Joint"),
        Column("Player"),
        Column("Guest"),
        Column("Total", Shape.NUMBER),
        Column("Played", Shape.NUMBER),
        *(Column(_heading(fixture), Shape.NUMBER) for fixture in fixtures),
        Column("Dropped"),
        Column("Settled"),
    ]
    return Listing(standing.table.name, columns, [_line(standing, row) for row in standing.rows])


def _heading(fixture: Fixture) -> str:
    return f"{fixture.name}, {day_short(fixture.day)}{' (off)' if fixture.off else ''}"


def _line(standing: MeritStanding, row: Row) -> list[Value]:
    fixtures = standing.results.fixtures
    cells = [None if one.event is None else row.cells[one.event] for one in fixtures]
    dropped = [
        _heading(one)
        for one, cell in zip(fixtures, cells, strict=True)
        if cell is not None and not cell.counts
    ]
    return [
        row.place,
        "joint" if row.level_with else "",
        standing.name_of(row.player),
        "" if row.member else "guest",
        _figure(row.total),
        row.events,
        *(None if cell is None else _figure(cell.points) for cell in cells),
        "; ".join(dropped),
        standing.why(row),
    ]


def _figure(points: Fraction) -> Value:
    """A whole number, else with two digits after the point."""
    if points.denominator == 1:
        return int(points)
    return round(Decimal(points.numerator) / Decimal(points.denominator), 2)
