"""Lists as CSV, workbook or text, to be opened in a spreadsheet or imported again."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from decimal import Decimal

from society.desk.queries.calendar import rows_of
from society.desk.rules.calendar import COLUMNS
from society.fixtures.models import Fixture, Season
from society.handicaps.rules.figures import Figure, written
from society.members.models import Player
from society.web.rules import SheetLine, fenced
from society.web.workbook_out import Column, Listing, Shape, Value

_HANDICAP = (
    Column("Handicap", Shape.HANDICAP),
    Column("Kind"),
    Column("Source"),
    Column("Date", Shape.DAY),
)
_PLAYER_COLUMNS = (
    Column("Number"),
    Column("Name"),
    Column("Member or guest"),
    Column("E-mail"),
    Column("Category"),
    *_HANDICAP,
    Column("Home club"),
    Column("Id", hidden=True),
)
_HANDICAP_COLUMNS = (
    Column("Number"),
    Column("Name"),
    Column("E-mail"),
    *_HANDICAP,
    Column("Id", hidden=True),
)


def players_listing(players: Iterable[Player]) -> Listing:
    """One line for each player, with the newest handicap; imports back without a change.

    `players`: as `list_of_players` gives them.
    """
    return Listing("Players", _PLAYER_COLUMNS, [_player(player) for player in players])


def _player(player: Player) -> list[Value]:
    return [
        player.number,
        player.name,
        player.kind,
        player.email,
        player.category,
        _figure(player.handicap),  # type: ignore[attr-defined]
        player.handicap_kind or "",  # type: ignore[attr-defined]
        player.handicap_source or "",  # type: ignore[attr-defined]
        player.handicap_from,  # type: ignore[attr-defined]
        player.home_club,
        player.public_id,
    ]


def handicaps_listing(lines: Iterable[tuple[Player, Figure | None]]) -> Listing:
    """Every figure that stands in a record; who has none has an empty line to be filled in."""
    rows: list[list[Value]] = [
        [
            player.number,
            player.name,
            player.email,
            *(
                (_figure(figure.value), figure.kind.value, figure.source.value, figure.valid_from)
                if figure
                else (None, "", "", None)
            ),
            player.public_id,
        ]
        for player, figure in lines
    ]
    return Listing("Handicaps", _HANDICAP_COLUMNS, rows)


def _figure(value: Decimal | None) -> Decimal | None:
    """Without the empty digits that a database may give it."""
    return None if value is None else Decimal(written(value).replace("+", "-"))


_SHAPES = {
    "day": Shape.DAY,
    "entries_open_at": Shape.MOMENT,
    "entries_close_at": Shape.MOMENT,
    "interval": Shape.NUMBER,
    "group_size": Shape.NUMBER,
    "places": Shape.NUMBER,
}


def calendar_listing(season: Season, fixtures: Iterable[Fixture]) -> Listing:
    """One line for each fixture of a season; keeps back as a calendar without a change."""
    rows = rows_of(fixtures)
    used = [column for column in COLUMNS if any(column in row for row in rows)]
    columns = [
        Column(COLUMNS[name][0].capitalize(), _SHAPES.get(name, Shape.TEXT))
        for name in used or ("day", "name")
    ]
    return Listing(
        season.name, columns, [[_typed(name, row.get(name, "")) for name in used] for row in rows]
    )


def _typed(column: str, text: str) -> Value:
    """A cell of the calendar as what it is: a day, a moment, a whole number or text."""
    shape = _SHAPES.get(column)
    if shape is Shape.NUMBER and re.fullmatch("[0-9]+", text):
        return int(text)
    if shape is Shape.DAY and text:
        return date.fromisoformat(text)
    if shape is Shape.MOMENT and text:
        return datetime.fromisoformat(text)
    return text


def calendar_text(lines: Sequence[SheetLine]) -> str:
    """The lines of a calendar as text to be changed in a box: tabs between the cells."""
    used = [column for column in COLUMNS if any(line.get(column) for line in lines)]
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter="\t", lineterminator="\n")
    writer.writerow([COLUMNS[column][0] for column in used])
    writer.writerows([fenced(line.cells.get(column, "")) for column in used] for line in lines)
    return out.getvalue()
