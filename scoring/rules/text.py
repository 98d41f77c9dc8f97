"""An answer as a table for people, with the sentence under each tie.

Event document, section 1.5, `--format text`.

>>> print(answer_text({"standings": [], "unplaced": [], "divisions": {}, "rules": "2024",
...     "engine": "x"}), end="")
Standings (rules 2024, x)
<BLANKLINE>
Nobody has a place.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

HEAD = ("Place", "Name", "Course", "Playing", "Total", "Holes")
STATUS_WORDS = {
    "disqualified": "disqualified",
    "withdrawn": "withdrawn",
    "no_return": "no return",
    "no_card": "no card",
}


def answer_text(answer: Mapping[str, Any]) -> str:
    """The whole answer as text; every line ends with a line feed."""
    parts = [f"Standings (rules {answer['rules']}, {answer['engine']})", "", *_part(answer)]
    for name, lists in answer["divisions"].items():
        parts += ["", name, "", *_part(lists)]
    return "".join(f"{line}\n" for line in parts)


def _part(lists: Mapping[str, Any]) -> list[str]:
    return [*_standings(lists["standings"]), *_unplaced(lists["unplaced"])]


def _standings(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    if not rows:
        return ["Nobody has a place."]
    cells = [HEAD, *(_cells(row) for row in rows)]
    widths = [max(len(cell) for cell in column) for column in zip(*cells, strict=True)]
    lines = [_line(HEAD, widths)]
    for row, entry in zip(rows, cells[1:], strict=True):
        lines.append(_line(entry, widths))
        if row["settled"]:
            lines.append(f"{'':{widths[0]}}  {row['settled']}")
    return lines


def _cells(row: Mapping[str, Any]) -> tuple[str, ...]:
    return (
        f"={row['place']}" if row["tied"] else str(row["place"]),
        row["name"],
        row["course_handicap"] or "-",
        "-" if row["playing_handicap"] is None else str(row["playing_handicap"]),
        str(row["total"]),
        _holes(row["values"]),
    )


def _holes(values: Sequence[int]) -> str:
    nines = (values[:9], values[9:])
    return "  ".join(" ".join(str(value) for value in nine) for nine in nines if nine)


def _line(cells: Iterable[str], widths: Sequence[int]) -> str:
    place, name, *figures, holes = (
        (cell, width) for cell, width in zip(cells, widths, strict=True)
    )
    numbers = "  ".join(f"{cell:>{width}}" for cell, width in figures)
    return f"{place[0]:>{place[1]}}  {name[0]:<{name[1]}}  {numbers}  {holes[0]}".rstrip()


def _unplaced(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    if not rows:
        return []
    return ["", "Without a place", *(f"  {row['name']}: {_status(row)}" for row in rows)]


def _status(row: Mapping[str, Any]) -> str:
    words = STATUS_WORDS[row["status"]]
    return f"{words} (Rule {row['rule']})" if row["rule"] else words
