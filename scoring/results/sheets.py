"""A result as a list for a spreadsheet: text is text, and a figure is a number."""

from decimal import Decimal

from scoring.results.queries import Standing
from scoring.results.rules import STATUS_WORDS
from scoring.results.tables.board import settled_words
from society.web.workbook_out import Column, Listing, Shape, Value

# Where handicaps are added up and taken off, a plus handicap is written below zero.
_HEAD = (
    Column("Place", Shape.NUMBER),
    Column("Joint"),
    Column("Player"),
    Column("Guest"),
    Column("Course handicap", Shape.FINE_HANDICAP, plus=False),
    Column("Plays off", Shape.WHOLE_HANDICAP, plus=False),
    Column("Total", Shape.NUMBER),
)
_FOOT = (Column("Settled"), Column("Status"), Column("Rule"))


def result_listing(standing: Standing) -> Listing:
    """One line for each player of the field, in order of the standing; holes at the end.

    A plus handicap is the number as the engine counts it, below zero, so that it adds up.
    """
    holes = [Column(f"Hole {number}", Shape.NUMBER) for number in standing.holes]
    rows = [_placed(standing, row) for row in standing.answer["standings"]]
    rows += [_unplaced(standing, row) for row in standing.answer["unplaced"]]
    return Listing(standing.competition.name, [*_HEAD, *holes, *_FOOT], rows)


def _placed(standing: Standing, row: dict[str, object]) -> list[Value]:
    key, place, plays_off, total = (
        row[name] for name in ("player", "place", "playing_handicap", "total")
    )
    course = row["course_handicap"]
    return [
        _whole(place),
        "joint" if row["tied"] else "",
        standing.name_of(str(key)),
        _guest(standing, str(key)),
        Decimal(str(course)) if course else None,
        _whole(plays_off),
        _whole(total),
        *_gross(standing, str(key)),
        settled_words(str(row["settled"])),
        "",
        "",
    ]


def _unplaced(standing: Standing, row: dict[str, object]) -> list[Value]:
    key = str(row["player"])
    nothing: list[Value] = [None] * len(standing.holes)
    return [
        None,
        "",
        standing.name_of(key),
        _guest(standing, key),
        None,
        None,
        None,
        *(_gross(standing, key) if key in standing.document["cards"] else nothing),
        "",
        STATUS_WORDS[str(row["status"])],
        str(row["rule"] or ""),
    ]


def _whole(value: object) -> int | None:
    return value if isinstance(value, int) else None


def _guest(standing: Standing, key: str) -> str:
    return "" if key not in standing.people or standing.people[key].is_member else "guest"


def _gross(standing: Standing, key: str) -> list[Value]:
    return ["–" if gross is None else gross for gross in standing.document["cards"][key]]
