"""Lists in and out: CSV (comma, semicolon or tab) and workbooks, told apart by what is in them.

Columns go by their names; nothing becomes a formula.
"""

import csv
import io
import json
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from society.web.refusals import BadInput
from society.web.rules import SheetLine, heading, unfenced
from society.web.text_in import CONTROL, OLD_TEXT, OldText, text_from
from society.web.workbook_in import (
    MOST_COLUMNS,
    BadFile,
    NumberCell,
    WrongCell,
    is_workbook,
    workbook_rows,
)

LARGEST = 2 * 1024 * 1024  # bytes
MOST_LINES = 5000
_SEPARATOR = re.compile(r'"?sep=([,;\t])"?\r?\n', re.IGNORECASE)  # spreadsheets write it first
_NOT_WHOLE = "The lines did not arrive whole. Choose the file again."
NO_LINES = (
    "The file has headings and no lines below them. Put a line below them for each, and choose it "
    "again."
)
TOO_LARGE = "The file is larger than 2 MB. Save only the list itself."


@dataclass(frozen=True, slots=True)
class Sheet:
    """The lines of a file, the headings of columns that are left out, and what to look at."""

    lines: tuple[SheetLine, ...]
    left_out: tuple[str, ...] = ()
    note: str = ""


def text_of(data: bytes) -> str:
    """The text of an uploaded file: see `text_from`.

    Raises BadInput for a file that is too large, empty, or no such text.
    """
    if len(data) > LARGEST:
        raise BadInput(TOO_LARGE)
    if not data.strip():
        raise BadInput("The file is empty.")
    return text_from(data)


def file_of(data: bytes) -> str | bytes:
    """What an uploaded file holds: a workbook's bytes as they are, or the text of a CSV file.

    Raises BadInput for a file that is too large, empty, or neither.
    """
    if not is_workbook(data):
        return text_of(data)
    if len(data) > LARGEST:
        raise BadFile(TOO_LARGE)
    return data


def note_of(source: str | bytes) -> str:
    """What whoever reads the preview should look at; empty where nothing was guessed."""
    return OLD_TEXT if isinstance(source, OldText) else ""


def read_sheet(
    source: str | bytes,
    columns: Mapping[str, Sequence[str]],
    needed: Sequence[str],
    handicaps: Collection[str] = (),
) -> Sheet:
    """The lines below the headings, each as column → cell; blank lines are passed over.

    `source`: a CSV text or the bytes of a workbook. `columns`: for each of our columns, the
    headings that mean it. `needed`: those that must be there. `handicaps`: the columns in which
    a number below zero in a workbook is a plus handicap. Raises BadInput for a sheet that cannot
    be read, with a sentence.
    """
    rows = rows_of(source)
    headings = rows[0][1]
    places, _ = _places(headings, columns)
    if lacking := [columns[name][0] for name in needed if name not in places.values()]:
        raise BadInput(
            f"The first line must name the columns, and “{lacking[0]}” is not among them: "
            f"it reads “{', '.join(headings)[:80]}”."
        )
    return replace(read_rows(rows, columns, handicaps), note=note_of(source))


def read_rows(
    rows: Sequence[tuple[int, list[str]]],
    columns: Mapping[str, Sequence[str]],
    handicaps: Collection[str] = (),
) -> Sheet:
    """The lines of rows as `rows_of` gives them. Arguments and refusals as for `read_sheet`."""
    headings = rows[0][1]
    places, left_out = _places(headings, columns)
    return Sheet(lines_of(rows[1:], places, len(headings), handicaps), left_out)


def rows_of(source: str | bytes) -> list[tuple[int, list[str]]]:
    """All rows with something in them as they stand, the headings first, each with its number.

    Raises BadInput for a sheet that cannot be read, with a sentence.
    """
    if isinstance(source, bytes):
        rows = workbook_rows(source)
    else:
        rows = _rows(source.removeprefix("\ufeff"))
    if not rows:
        empty = "The first sheet of the workbook is empty. Move the list there."
        raise BadInput(empty if isinstance(source, bytes) else "The file is empty.")
    return rows


def refuse_no_lines(rows: Sequence[tuple[int, Sequence[str]]]) -> None:
    """BadInput for a list that ends with its headings."""
    if len(rows) < 2:
        raise BadInput(NO_LINES)


def lines_of(
    below: Sequence[tuple[int, list[str]]],
    places: Mapping[int, str],
    width: int,
    handicaps: Collection[str] = (),
) -> tuple[SheetLine, ...]:
    """The lines under the headings, where it is said which place of a row is which column.

    `width`: how many headings there are. Raises BadInput for too many lines, none, or a cell that
    is not read, with a sentence.
    """
    if len(below) > MOST_LINES:
        raise BadInput(f"The file has {len(below)} lines. At most {MOST_LINES} are taken at once.")
    if not below:
        raise BadInput(NO_LINES)
    return tuple(_line(number, cells, places, width, handicaps) for number, cells in below)


def headed(headings: Sequence[str], columns: Mapping[str, Sequence[str]]) -> list[str]:
    """For each place of the first row the column its heading means, "" for none.

    A column that two headings mean goes to the first of them.
    """
    meant = {heading(name): column for column, names in columns.items() for name in names}
    found: list[str] = []
    for text in headings:
        column = meant.get(heading(unfenced(text.strip())), "")
        found.append("" if column in found else column)
    return found


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """All rows with something in them, each with the number of the line it begins on."""
    if told := _SEPARATOR.match(text):
        text, comma, begins = text[told.end() :], told[1], 2
    else:
        first = text.lstrip("\r\n").partition("\n")[0]
        comma = max(",;\t", key=first.count)  # a tab: pasted from a spreadsheet
        begins = 1
    above = begins - 1
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True)
    rows = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((begins, row))
            begins = above + reader.line_num + 1
    except csv.Error as wrong:
        raise BadInput(
            f"Line {begins} cannot be read: a quotation mark is not closed or stands inside a "
            "cell, or the cell is too long."
        ) from wrong
    return rows


def _places(
    headings: Sequence[str], columns: Mapping[str, Sequence[str]]
) -> tuple[dict[int, str], tuple[str, ...]]:
    """Which place of a row is which of our columns, and what is left out."""
    meant = {heading(name): column for column, names in columns.items() for name in names}
    places: dict[int, str] = {}
    left_out = []
    for place, text in enumerate(headings):
        if isinstance(text, WrongCell):
            raise BadFile(text.words)
        column = meant.get(heading(unfenced(text.strip())))
        if column is None:
            left_out += [text.strip()] if text.strip() else []
        elif column in places.values():
            raise BadInput(f"Two columns are headed “{columns[column][0]}”. Keep one of them.")
        else:
            places[place] = column
    return places, tuple(left_out)


def _line(
    number: int,
    cells: list[str],
    places: Mapping[int, str],
    width: int,
    handicaps: Collection[str],
) -> SheetLine:
    if any(cell.strip() for cell in cells[width:]):
        raise BadInput(
            f"Line {number} has more cells than there are headings. "
            "A comma inside a cell needs quotation marks around it."
        )
    told = {
        column: _cell(cells[place], column in handicaps)
        for place, column in places.items()
        if place < len(cells)
    }
    for cell in told.values():
        if found := CONTROL.search(cell):
            raise BadInput(
                f"Line {number} holds a sign that no text has (control character "
                f"{ord(found[0])}). Type that cell anew, or save the list again as XLSX or CSV."
            )
    return SheetLine(number, {column: cell for column, cell in told.items() if cell.strip()})


def _cell(cell: str, is_handicap: bool) -> str:
    """The text of a cell. A number below zero in a workbook is a plus handicap: -1.2 is +1.2."""
    if isinstance(cell, WrongCell):
        raise BadFile(cell.words)
    if not isinstance(cell, NumberCell):
        return unfenced(cell)
    if is_handicap and cell.with_plus:
        raise BadFile(
            f"Cell {cell.address} is the number {cell} shown with a plus sign, which can be read "
            f"both ways. A plus handicap is the number -{cell}, or the text +{cell}."
        )
    if is_handicap and cell.startswith("-"):
        return f"+{cell[1:]}"
    return str(cell)


def write_csv(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A CSV text (RFC 4180); whoever calls it has fenced the texts."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(headings)
    writer.writerows(rows)
    return out.getvalue()


def pack(lines: Iterable[SheetLine]) -> str:
    """The lines for a hidden field of the preview."""
    return json.dumps([[line.number, dict(line.cells)] for line in lines], ensure_ascii=False)


def pack_rows(rows: Iterable[tuple[int, Sequence[str]]]) -> str:
    """Rows as they stand for a hidden field, so that a number stays one and a formula refused."""
    return json.dumps(
        [[number, [_packed(cell) for cell in cells]] for number, cells in rows], ensure_ascii=False
    )


def _packed(cell: str) -> object:
    if isinstance(cell, WrongCell):
        return {"wrong": cell.words}
    if isinstance(cell, NumberCell):
        return {"number": str(cell), "at": cell.address, "plus": cell.with_plus}
    return cell


def unpack_rows(text: str) -> list[tuple[int, list[str]]]:
    """The rows of a hidden field. Raises BadInput where they are not as `pack_rows` wrote them."""
    try:
        rows = [
            (int(number), [_unpacked(cell) for cell in cells]) for number, cells in json.loads(text)
        ]
        pack_rows(rows).encode()
    except (ValueError, TypeError, KeyError, OverflowError, RecursionError) as wrong:
        raise BadInput(_NOT_WHOLE) from wrong
    if not rows or not 0 < max(len(cells) for _, cells in rows) <= MOST_COLUMNS:
        raise BadInput(_NOT_WHOLE)
    return rows


def _unpacked(cell: Any) -> str:
    if isinstance(cell, str):
        return cell
    if "wrong" in cell:
        wrong = WrongCell("?")
        wrong.words = str(cell["wrong"])
        return wrong
    number = NumberCell(str(cell["number"]))
    number.address, number.with_plus = str(cell["at"]), cell["plus"] is True
    return number


def unpack(text: str, columns: Iterable[str]) -> tuple[SheetLine, ...]:
    """The lines of a hidden field. Raises BadInput where they are not as `pack` wrote them."""
    known = set(columns)
    try:
        lines = tuple(
            SheetLine(int(number), {str(k): str(v) for k, v in cells.items() if k in known})
            for number, cells in json.loads(text)
        )
        pack(lines).encode()  # half a character cannot be shown again
    except (ValueError, TypeError, AttributeError, OverflowError, RecursionError) as wrong:
        raise BadInput(_NOT_WHOLE) from wrong
    if not 0 < len(lines) <= MOST_LINES or any(
        CONTROL.search(cell) for line in lines for cell in line.cells.values()
    ):
        raise BadInput(_NOT_WHOLE)
    return lines
