"""Lists as CSV or text, to be opened in a spreadsheet or imported again."""

import csv
import io
from collections.abc import Iterable, Sequence

from society.desk.rules.calendar import COLUMNS
from society.handicaps.rules import written
from society.members.models import Player
from society.web.rules import SheetLine, fenced
from society.web.sheets import write_sheet

PLAYER_HEADINGS = (
    "Number",
    "Name",
    "Member or guest",
    "E-mail",
    "Category",
    "Handicap",
    "Kind",
    "Source",
    "Date",
    "Home club",
    "Id",
)


def players_csv(players: Iterable[Player]) -> str:
    """One line for each player, with the newest handicap; imports back without a change.

    `players`: as `list_of_players` gives them. A plus handicap is written +1.2, as a figure.
    """
    return write_sheet(
        PLAYER_HEADINGS, (_cells(player) for player in players), figures=("Handicap",)
    )


def _cells(player: Player) -> list[str]:
    value = player.handicap  # type: ignore[attr-defined]
    from_day = player.handicap_from  # type: ignore[attr-defined]
    return [
        player.number,
        player.name,
        player.kind,
        player.email,
        player.category,
        "" if value is None else written(value),
        player.handicap_kind or "",  # type: ignore[attr-defined]
        player.handicap_source or "",  # type: ignore[attr-defined]
        from_day.isoformat() if from_day else "",
        player.home_club,
        player.public_id,
    ]


def calendar_text(lines: Sequence[SheetLine]) -> str:
    """The lines of a calendar as text to be changed in a box: tabs between the cells."""
    used = [column for column in COLUMNS if any(line.get(column) for line in lines)]
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter="\t", lineterminator="\n")
    writer.writerow([COLUMNS[column][0] for column in used])
    writer.writerows([fenced(line.cells.get(column, "")) for column in used] for line in lines)
    return out.getvalue()
