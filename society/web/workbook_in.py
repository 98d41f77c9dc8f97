"""Workbooks (XLSX) read as rows of text: bounded in size and time, nothing in them is worked out.

The file is looked through before the library that reads it sees it: how large it is unpacked, how
many parts, sheets and elements it has, and that no part declares a document type, so that no
entity is ever expanded (defusedxml is not there to do it). Only the parts that a list needs are
handed on; macros, links to other files and passwords are refused.
"""

import io
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from xml.parsers import expat

from society.web.refusals import BadInput

ZIPPED = b"PK\x03\x04"
_OLD_FILE = bytes.fromhex("d0cf11e0a1b11ae1")  # old workbooks, and new ones with a password
# Streams of that container; names of them stand in UTF-16 (MS-CFB 2.6.1, MS-OFFCRYPTO 2.3.4).
_LOCKED = tuple(name.encode("utf-16-le") for name in ("EncryptedPackage", "EncryptionInfo"))
_OLD_BOOK = tuple(name.encode("utf-16-le") for name in ("Workbook\0", "Book\0"))
_OLD_LETTER = ("WordDocument\0".encode("utf-16-le"),)

MOST_UNPACKED = 20 * 1024 * 1024  # bytes
MOST_PARTS = 200
MOST_SHEETS = 20
MOST_ROWS = 5001  # the headings among them
MOST_COLUMNS = 60
LONGEST_CELL = 5000  # characters
MOST_TEXT = 2 * 1024 * 1024  # characters of all cells together
_MOST_CELL_TAGS = 260_000  # 5,000 lines of 12 different texts
_MOST_OTHER_TAGS = 20_000
_LAST_ROW = 1_048_576  # of a sheet in this format
_DEEPEST = 60
_CELL_TAGS = frozenset({"row", "c", "v", "t", "is", "si"})
# What a list is not read from is never opened.
_PASSED_OVER = ("docprops/", "customxml/", "xl/theme/", "xl/drawings/", "xl/charts/", "xl/media/",
                "xl/comments", "xl/tables/", "xl/pivot", "xl/printersettings/", "xl/persons/",
                "xl/threadedcomments/", "xl/calcchain")  # fmt: skip


class BadFile(BadInput):
    """A workbook, or a cell of it, that is not read."""


class NumberCell(str):
    """The text of a cell that holds a number; `with_plus`: it is shown with a plus sign."""

    __slots__ = ("address", "with_plus")
    address: str
    with_plus: bool


class WrongCell(str):
    """A cell that is not read: `words` says why, with its address."""

    __slots__ = ("words",)
    words: str


def is_workbook(data: bytes) -> bool:
    """Whether the first bytes are those of a workbook, whatever the file is called."""
    return data.startswith((ZIPPED, _OLD_FILE))


def workbook_rows(data: bytes) -> list[tuple[int, list[str]]]:
    """The rows of the first visible sheet that have something in them, each with its number.

    A number is a NumberCell ("-1.2", "7"), a day "2026-04-01", an hour "09:30", yes and no for
    true and false; a formula or an error is a WrongCell. Raises BadFile with a sentence.
    """
    if data.startswith(_OLD_FILE):
        raise BadFile(_old_file_words(data))
    small = _only_what_is_needed(data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return list(_rows(small))
    except BadFile:
        raise
    except Exception as wrong:  # whatever the library stumbles on, the file is at fault
        raise BadFile(
            "The workbook cannot be read. Save it again as XLSX, or the sheet as CSV."
        ) from wrong


def _old_file_words(data: bytes) -> str:
    """What a file in the old container is, by the names of the streams in it."""
    if any(name in data for name in _LOCKED):
        return "The workbook has a password. Take the password off, save it as XLSX and choose it."
    if any(name in data for name in _OLD_LETTER):
        return "The file is a text document, not a list. Save the list as XLSX or CSV."
    if any(name in data for name in _OLD_BOOK):
        return (
            "This is a workbook in the old format (XLS). Open it in a spreadsheet, save it as XLSX "
            "without a password, and choose that file."
        )
    return "This is an old workbook, or one with a password. Save it as XLSX without a password."


# before it is opened ------------------------------------------------------------------------


def _only_what_is_needed(data: bytes) -> io.BytesIO:
    """The same workbook with the parts that a list is read from, each looked through."""
    kept = io.BytesIO()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed, zipfile.ZipFile(kept, "w") as unpacked:
            parts = packed.infolist()
            _check_parts(parts)
            watch = _Watch()
            for part in parts:
                if _is_needed(part.filename):
                    text = packed.read(part)
                    watch.look_through(text)
                    unpacked.writestr(part.filename, text)
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, NotImplementedError) as broken:
        raise BadFile("The file is damaged and cannot be opened. Save it again.") from broken
    except (RuntimeError, ValueError, OSError, zipfile.zlib.error) as broken:  # type: ignore[attr-defined]
        raise BadFile("The file is damaged and cannot be opened. Save it again.") from broken
    kept.seek(0)
    return kept


def _check_parts(parts: list[zipfile.ZipInfo]) -> None:
    names = [part.filename.lower() for part in parts]
    if any(part.flag_bits & 1 for part in parts):
        raise BadFile("The file has a password. Save it without one.")
    if len(parts) > MOST_PARTS or len(set(names)) != len(names):
        raise BadFile("The file is no workbook of a usual make: it has too many parts.")
    if sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise BadFile("Unpacked, the file is larger than 20 MB. Save only the list itself.")
    usual = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
    if any(part.compress_type not in usual for part in parts):
        raise BadFile("The file is packed in an unusual way. Save it again as XLSX.")
    if "[content_types].xml" not in names or not any(name.startswith("xl/") for name in names):
        raise BadFile(_other_zip_words(names))
    if any("vbaproject" in name or "/macrosheets/" in name for name in names):
        raise BadFile("The workbook has macros in it. Save it as XLSX, without macros.")
    if any(name.startswith(("xl/externallinks/", "xl/connections")) for name in names):
        raise BadFile(
            "The workbook takes figures from other files. Copy the list into a new workbook, "
            "as values only."
        )


def _other_zip_words(names: list[str]) -> str:
    """What a packed file is that is no workbook, by the parts in it."""
    if any(name.startswith("word/") for name in names):
        return "The file is a text document, not a list. Save the list as XLSX or CSV."
    if "mimetype" in names and "content.xml" in names:  # OpenDocument, ISO/IEC 26300-3, 3.3
        return "The file is no workbook in this format (XLSX): it is OpenDocument. Save it as XLSX."
    if any(name.endswith((".csv", ".xlsx", ".txt", ".xls")) for name in names):
        return "The file is no workbook but a packed folder. Unpack it and choose the list inside."
    return "The file is no workbook. Save the list as XLSX or as CSV."


def _is_needed(name: str) -> bool:
    low = name.lower()
    return low.endswith((".xml", ".rels")) and not low.startswith(_PASSED_OVER)


class _Watch:
    """Counts the elements of all parts together, and stops at the first that is too many."""

    def __init__(self) -> None:
        self.cells = self.others = self.depth = 0

    def look_through(self, text: bytes) -> None:
        """Raises BadFile for a document type, too many elements or too deep ones, broken XML."""
        parser = expat.ParserCreate(namespace_separator="}")
        parser.StartDoctypeDeclHandler = self._doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        self.depth = 0
        try:
            parser.Parse(text, True)
        except expat.ExpatError as broken:
            raise BadFile("The file is damaged and cannot be opened. Save it again.") from broken

    def _doctype(self, *_: object) -> None:
        raise BadFile("The file declares a document type, which no workbook needs. It is refused.")

    def _start(self, name: str, _: object) -> None:
        self.depth += 1
        if name.rpartition("}")[2] in _CELL_TAGS:
            self.cells += 1
        else:
            self.others += 1
        if self.cells > _MOST_CELL_TAGS or self.others > _MOST_OTHER_TAGS or self.depth > _DEEPEST:
            raise BadFile(
                "The workbook is larger than any list. Copy the list alone into a new workbook."
            )

    def _end(self, _: object) -> None:
        self.depth -= 1


# what the cells say -------------------------------------------------------------------------


def _rows(file: io.BytesIO) -> Iterator[tuple[int, list[str]]]:
    text = 0
    for number, cells in _cells(file):
        row = [_text(cell) for cell in cells]
        if not any(row):
            continue
        if number > MOST_ROWS:
            raise BadFile(f"The sheet goes on below row {MOST_ROWS}. Keep at most 5,000 lines.")
        if row[MOST_COLUMNS:] and row[MOST_COLUMNS]:
            raise BadFile(f"The sheet has more than {MOST_COLUMNS} columns. Keep those needed.")
        text += sum(map(len, row))
        if text > MOST_TEXT:
            raise BadFile("The sheet holds more than 2 MB of text. Keep only the list itself.")
        yield number, row


def _cells(file: io.BytesIO) -> Iterator[tuple[int, Sequence[Any]]]:
    """The rows of the first sheet that can be seen, as the library gives their cells."""
    from openpyxl import load_workbook

    book = load_workbook(file, read_only=True, data_only=False, keep_links=False)
    if len(book.worksheets) > MOST_SHEETS:
        raise BadFile(f"The workbook has more than {MOST_SHEETS} sheets. Keep the one to be read.")
    sheet = next((one for one in book.worksheets if one.sheet_state == "visible"), None)
    if sheet is None:
        raise BadFile("The workbook has no sheet that can be seen.")
    sheet.reset_dimensions()  # what the file says of its own size is not trusted
    before = None
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1), start=1):
        if number > _LAST_ROW:
            raise BadFile(f"The sheet has a row below {_LAST_ROW}, which no sheet has.")
        if cells is not before:  # where rows are missing, one empty row stands for each
            yield number, cells
        before = cells


def _text(cell: Any) -> str:
    """What a cell says, as text."""
    value, kind = cell.value, cell.data_type
    if value is None:
        return ""
    if kind == "f" or (kind == "e"):
        return _wrong(cell, kind == "f")
    if isinstance(value, str):
        if len(value) > LONGEST_CELL:
            raise BadFile(f"Cell {cell.coordinate} is longer than {LONGEST_CELL} letters.")
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (date, time, timedelta)):
        return _moment(value)
    number = NumberCell(str(value) if isinstance(value, int) else _plain(value))
    number.address = cell.coordinate
    shown = str(cell.number_format).split(";")[0]
    number.with_plus = value > 0 and "+" in shown.lower().replace("e+", "")
    return number


def _plain(value: float) -> str:
    """A number as the spreadsheet shows it: fifteen digits, as many as one keeps."""
    return f"{value:.15g}"


def _moment(value: date | time | timedelta) -> str:
    if isinstance(value, timedelta):
        minutes = int(value.total_seconds() // 60)
        return f"{minutes // 60:02}:{minutes % 60:02}"
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, datetime):
        midnight = value.time() == time(0)
        return value.date().isoformat() if midnight else f"{value:%Y-%m-%d %H:%M}"
    return value.isoformat()


def _wrong(cell: Any, formula: bool) -> WrongCell:
    wrong = WrongCell("?")
    wrong.words = (
        f"Cell {cell.coordinate} holds a formula, and formulas are not worked out here. "
        "In the spreadsheet copy the column and paste it as values."
        if formula
        else f"Cell {cell.coordinate} shows an error, {str(cell.value)[:20]}. Put it right first."
    )
    return wrong
