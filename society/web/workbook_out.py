"""Lists written as CSV and as workbooks (XLSX) from one description of their columns.

In a workbook a text is a text, whatever it begins with, a day is a day, and a plus handicap is the
number -1.2 in a format that shows +1.2.
"""

import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum

from society.web.rules import fenced
from society.web.sheets import write_csv

XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_NARROWEST, _WIDEST = 6, 48  # widths of columns, in letters
# Control characters that XML cannot hold, and half characters.
_NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")

Value = str | int | Decimal | date | datetime | None


class Shape(Enum):
    """What a column holds: the format of its cells in a workbook."""

    TEXT = "@"
    NUMBER = "General"
    WHOLE_HANDICAP = '0;"+"0;0'
    HANDICAP = '0.0;"+"0.0;0.0'
    FINE_HANDICAP = '0.00;"+"0.00;0.00'
    DAY = "yyyy-mm-dd"
    MOMENT = "yyyy-mm-dd hh:mm"


HANDICAPS = frozenset({Shape.WHOLE_HANDICAP, Shape.HANDICAP, Shape.FINE_HANDICAP})


@dataclass(frozen=True, slots=True)
class Column:
    """One column. `hidden`: there for the way back in, and not shown in a workbook.

    `plus`: in CSV a handicap below zero is written +1.2; else as the number, so that it adds up.
    """

    heading: str
    shape: Shape = Shape.TEXT
    hidden: bool = False
    plus: bool = True


@dataclass(frozen=True, slots=True)
class Listing:
    """A list to be written out: a title for the sheet, its columns and its rows."""

    title: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[Value]]


def csv_text(listing: Listing) -> str:
    """The list as CSV: texts fenced, so that none is taken for a formula; figures plain."""
    return write_csv(
        [column.heading for column in listing.columns],
        (
            [_plain(value, column) for value, column in zip(row, listing.columns, strict=True)]
            for row in listing.rows
        ),
    )


def _plain(value: Value, column: Column) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return fenced(value)
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    if column.shape in HANDICAPS and column.plus and value < 0:
        return f"+{-value:f}" if isinstance(value, Decimal) else f"+{-value}"
    return f"{value:f}" if isinstance(value, Decimal) else str(value)


def workbook_bytes(listing: Listing) -> bytes:
    """The list as a workbook of one sheet, its first row standing still above the others."""
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    sheet = book.active
    sheet.title = _title(listing.title)
    sheet.freeze_panes = "A2"
    for place, column in enumerate(listing.columns, start=1):
        _write(sheet.cell(1, place), column.heading, Shape.TEXT)
        sheet.cell(1, place).font = Font(bold=True)
        size = sheet.column_dimensions[get_column_letter(place)]
        size.width = _width(column, (row[place - 1] for row in listing.rows))
        size.hidden = column.hidden
    for number, row in enumerate(listing.rows, start=2):
        for place, (value, column) in enumerate(zip(row, listing.columns, strict=True), start=1):
            if value is not None and value != "":
                _write(sheet.cell(number, place), value, column.shape)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _write(cell: object, value: Value, shape: Shape) -> None:
    """One cell. A text is written as one even if it begins like a formula."""
    if isinstance(value, str):
        cell.value = ""  # type: ignore[attr-defined]
        cell._value = _NOT_XML.sub(" ", value)  # type: ignore[attr-defined]
        cell.data_type = "s"  # type: ignore[attr-defined]
        cell.number_format = Shape.TEXT.value  # type: ignore[attr-defined]
        # Typing in the cell keeps it a text, as an apostrophe typed before it would.
        cell.quotePrefix = fenced(value) != value  # type: ignore[attr-defined]
        return
    cell.value = value  # type: ignore[attr-defined]
    cell.number_format = shape.value  # type: ignore[attr-defined]


def _title(text: str) -> str:
    """A name that a sheet may have: at most 31 letters, some signs not among them."""
    return re.sub(r"[\\/*?:\[\]\x00-\x1f]", " ", text).strip(" '")[:31] or "List"


def _width(column: Column, values: Iterable[Value]) -> int:
    longest = max((_letters(value) for value in values), default=0)
    return min(max(longest, len(column.heading), _NARROWEST) + 2, _WIDEST)


def _letters(value: Value) -> int:
    if isinstance(value, datetime):
        return 16
    return len(str(value)) if value is not None else 0
