"""A result as a list for a spreadsheet: text is text, and a figure is a number."""

from decimal import Decimal

from scoring.results.queries.standings import Standing, tee_names
from scoring.results.rules import STATUS_WORDS
from scoring.results.tables.board import settled_words, several_tees
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
    Tee and divisions, with the place in each, stand last where there are several.
    """
    holes = [Column(f"Hole {number}", Shape.NUMBER) for number in standing.holes]
    rows = [_placed(standing, row) for row in standing.answer["standings"]]
    rows += [_unplaced(standing, row) for row in standing.answer["unplaced"]]
    extra = _extra(standing)
    keys = [row["player"] for part in ("standings", "unplaced") for row in standing.answer[part]]
    rows = [
        [*row, *(found.get(key, "") for found in extra.values())]
        for key, row in zip(keys, rows, strict=True)
    ]
    columns = [*_HEAD, *holes, *_FOOT, *(Column(name) for name in extra)]
    return Listing(standing.competition.name, columns, rows)


def _extra(standing: Standing) -> dict[str, dict[str, str]]:
    """Column → what stands in it by key: the tee, and the divisions with the place in each."""
    found: dict[str, dict[str, str]] = {}
    if several_tees(standing):
        names = tee_names(standing)
        players = standing.document["players"]
        found["Tee"] = {key: names.get(player["tee"], "") for key, player in players.items()}
    if divisions := standing.answer["divisions"]:
        said: dict[str, list[str]] = {}
        for name, lists in divisions.items():
            for row in lists["standings"]:
                said.setdefault(row["player"], []).append(f"{name}: {row['place']}")
            for row in lists["unplaced"]:
                said.setdefault(row["player"], []).append(name)
        found["Divisions"] = {key: "; ".join(words) for key, words in said.items()}
    return found


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
