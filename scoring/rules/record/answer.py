"""The history of a handicap as an answer: for programs, and as a table for people.

Handicap record document, section 2. Figures that carry a tenth are texts with one decimal.

>>> answer(())
{'document': 'handicap-history', 'version': 1, 'rules': '2024', 'history': []}
>>> print(answer_text(answer(())), end="")
Handicap record (rules 2024)
A society's own figure by the published method; an official index comes from an association.
<BLANKLINE>
No scores.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from scoring.rules.parameters import EDITION
from scoring.rules.record.values import Row

CAUTION = (
    "A society's own figure by the published method; an official index comes from an association."
)
HEAD = (
    "No.",
    "Played",
    "Gross",
    "Differential",
    "Exceptional",
    "Average",
    "Adjustment",
    "Low",
    "Cap",
    "Index",
    "Counted",
)


def answer(rows: Iterable[Row]) -> dict[str, Any]:
    """The answer in plain JSON values, keys in the order of the document."""
    return {
        "document": "handicap-history",
        "version": 1,
        "rules": EDITION.name,
        "history": [_entry(row) for row in rows],
    }


def _entry(row: Row) -> dict[str, Any]:
    reckoned = row.reckoned
    return {
        "played": row.played.isoformat(),
        "adjusted_gross": row.adjusted_gross,
        "differential": one_decimal(row.differential),
        "exceptional": one_decimal(row.exceptional),
        "index": _maybe(row.index),
        "counted": [] if reckoned is None else list(reckoned.counted),
        "average": None if reckoned is None else one_decimal(reckoned.average),
        "adjustment": None if reckoned is None else one_decimal(reckoned.adjustment),
        "low_index": _maybe(row.low),
        "cap": row.cap.value,
    }


def one_decimal(value: Decimal) -> str:
    """A figure of tenths with its one decimal, never a minus nought.

    >>> [one_decimal(Decimal(text)) for text in ("12", "-0.4", "-0.0")]
    ['12.0', '-0.4', '0.0']
    """
    return format(value, "z.1f")


def _maybe(value: Decimal | None) -> str | None:
    return None if value is None else one_decimal(value)


def answer_text(found: Mapping[str, Any]) -> str:
    """The answer as text; scores are numbered from 1, and every line ends with a line feed."""
    rows = found["history"]
    parts = [f"Handicap record (rules {found['rules']})", CAUTION, ""]
    parts += [*_table(rows), "", _standing(rows)] if rows else ["No scores."]
    return "".join(f"{line}\n" for line in parts)


def _standing(rows: Sequence[Mapping[str, Any]]) -> str:
    last = rows[-1]
    if last["index"] is None:
        return "No index yet: there are too few scores."
    numbers = ", ".join(_numbers(last))
    which = "score" if len(last["counted"]) == 1 else "scores"
    return f"Index {last['index']}, made by {which} {numbers}."


def _numbers(row: Mapping[str, Any]) -> list[str]:
    return [str(position + 1) for position in row["counted"]]


def _table(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    cells = [HEAD, *(_cells(number, row) for number, row in enumerate(rows, start=1))]
    widths = [max(len(cell) for cell in column) for column in zip(*cells, strict=True)]
    return [_line(row, widths) for row in cells]


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    figures = [f"{cell:>{width}}" for cell, width in zip(cells[:-1], widths[:-1], strict=True)]
    return "  ".join([*figures, cells[-1]])


def _cells(number: int, row: Mapping[str, Any]) -> tuple[str, ...]:
    cap = "-" if row["cap"] == "none" else row["cap"]
    reduction = "-" if row["exceptional"] == "0.0" else row["exceptional"]
    return (
        str(number),
        row["played"],
        _shown(row["adjusted_gross"]),
        row["differential"],
        reduction,
        _shown(row["average"]),
        _shown(row["adjustment"]),
        _shown(row["low_index"]),
        cap,
        _shown(row["index"]),
        " ".join(_numbers(row)) or "-",
    )


def _shown(value: object) -> str:
    return "-" if value is None else str(value)
