"""CSV files in and out: columns by name; comma, semicolon or tab; nothing becomes a formula."""

import csv
import io
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from society.web.refusals import BadInput
from society.web.rules import SheetLine, fenced, heading, unfenced

LARGEST = 2 * 1024 * 1024  # bytes
MOST_LINES = 5000


@dataclass(frozen=True, slots=True)
class Sheet:
    """The lines of a file, and the headings of columns that are left out."""

    lines: tuple[SheetLine, ...]
    left_out: tuple[str, ...] = ()


def text_of(data: bytes) -> str:
    """The text of an uploaded file: UTF-8 with or without a mark at the start.

    Raises BadInput for a file that is too large, empty, or no such text.
    """
    if len(data) > LARGEST:
        raise BadInput("The file is larger than 2 MB. Save only the list itself as CSV.")
    if not data.strip():
        raise BadInput("The file is empty.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise BadInput(
            "The file is no UTF-8 text. In the spreadsheet choose to save as “CSV UTF-8”."
        ) from wrong


def read_sheet(text: str, columns: Mapping[str, Sequence[str]], needed: Sequence[str]) -> Sheet:
    """The lines below the headings, each as column → cell; blank lines are passed over.

    `columns`: for each of our columns, the headings that mean it. `needed`: those that must be
    there. Raises BadInput for a sheet that cannot be read, with a sentence.
    """
    rows = _rows(text.removeprefix("\ufeff"))
    if not rows:
        raise BadInput("The file is empty.")
    (_, headings), *below = rows
    places, left_out = _places(headings, columns)
    if lacking := [columns[name][0] for name in needed if name not in places.values()]:
        raise BadInput(
            f"The first line must name the columns, and “{lacking[0]}” is not among them: "
            f"it reads “{', '.join(headings)[:80]}”."
        )
    if len(below) > MOST_LINES:
        raise BadInput(f"The file has {len(below)} lines. At most {MOST_LINES} are taken at once.")
    if not below:
        raise BadInput("The file has headings and no lines below them.")
    return Sheet(
        tuple(_line(number, cells, places, len(headings)) for number, cells in below), left_out
    )


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """All rows with something in them, each with the number of the line it begins on."""
    first = text.lstrip("\r\n").partition("\n")[0]
    comma = max(",;\t", key=first.count)  # a tab: pasted from a spreadsheet
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True)
    rows, begins = [], 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((begins, row))
            begins = reader.line_num + 1
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
        column = meant.get(heading(unfenced(text.strip())))
        if column is None:
            left_out += [text.strip()] if text.strip() else []
        elif column in places.values():
            raise BadInput(f"Two columns are headed “{columns[column][0]}”. Keep one of them.")
        else:
            places[place] = column
    return places, tuple(left_out)


def _line(number: int, cells: list[str], places: Mapping[int, str], width: int) -> SheetLine:
    if any(cell.strip() for cell in cells[width:]):
        raise BadInput(
            f"Line {number} has more cells than there are headings. "
            "A comma inside a cell needs quotation marks around it."
        )
    told = {
        column: unfenced(cells[place]) for place, column in places.items() if place < len(cells)
    }
    return SheetLine(number, {column: cell for column, cell in told.items() if cell.strip()})


def write_sheet(
    headings: Sequence[str], rows: Iterable[Sequence[str]], figures: Sequence[str] = ()
) -> str:
    """A CSV text. Every cell is fenced but those in the columns of `figures`."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(headings)
    plain = {place for place, name in enumerate(headings) if name in figures}
    for row in rows:
        writer.writerow(
            [cell if place in plain else fenced(cell) for place, cell in enumerate(row)]
        )
    return out.getvalue()


def pack(lines: Iterable[SheetLine]) -> str:
    """The lines for a hidden field of the preview."""
    return json.dumps([[line.number, dict(line.cells)] for line in lines], ensure_ascii=False)


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
        raise BadInput("The lines did not arrive whole. Choose the file again.") from wrong
    if not 0 < len(lines) <= MOST_LINES:
        raise BadInput("The lines did not arrive whole. Choose the file again.")
    return lines
