"""Plain text as people type it and as spreadsheets read it: names, days, cells, fingerprints."""

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

LONGEST_NAME = 100
FIRST_YEAR, LAST_YEAR = 1900, 2199  # what is typed outside of them is a slip: 0026 for 2026
NO_SUCH_YEAR = f"Write the whole year, from {FIRST_YEAR} to {LAST_YEAR}."

# Control characters, and the invisible ones that turn the direction of writing or have no width.
_UNSEEN = re.compile(
    "[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ud800-\udfff\ufeff]"
)
# What a spreadsheet takes for the beginning of a formula, in half and full width.
_FORMULA = re.compile("'*[=+@\t\r\n|%\uff1d\uff0b\uff0d\uff20-]")
_ISO_DAY = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_DAY_FIRST = re.compile(r"([0-9]{1,2})[./]([0-9]{1,2})[./]([0-9]{4})")
_WORDED_DAY = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)? ([A-Za-z]{3,9}),? ([0-9]{4})")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def clean_text(text: str, *, what: str, longest: int = LONGEST_NAME) -> str:
    """The text on one line with single spaces. ValueError, with a sentence, if it cannot be kept.

    `what` begins the sentence: "The name". A text that begins like a formula is an ordinary
    text here; it is made harmless where it is written out.

    >>> clean_text("  Ivo   Marrable ", what="The name")
    'Ivo Marrable'
    """
    line = " ".join(text.split())
    if unseen := _UNSEEN.search(line):
        raise ValueError(
            f"{what} has a character in it that cannot be seen (U+{ord(unseen[0]):04X}). "
            "Type it again by hand."
        )
    if len(line) > longest:
        raise ValueError(f"{what} is longer than {longest} letters.")
    return line


def fenced(text: str) -> str:
    """A text for a cell of a spreadsheet: with an apostrophe before what would be a formula.

    >>> fenced("=1+1"), fenced("O'Hare"), fenced("'=1")
    ("'=1+1", "O'Hare", "''=1")
    """
    return f"'{text}" if _FORMULA.match(text) else text


def unfenced(cell: str) -> str:
    """The text of a cell written by `fenced`.

    >>> unfenced("'=1+1"), unfenced("'t Veer"), unfenced("+1.2")
    ('=1+1', "'t Veer", '+1.2')
    """
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def read_day(text: str) -> date:
    """A day as people write it, the day before the month. ValueError with a sentence.

    >>> read_day("2026-04-01") == read_day("1/4/2026") == read_day("1 April 2026")
    True
    """
    line = " ".join(text.split())
    if found := _ISO_DAY.fullmatch(line):
        year, month, day = (int(part) for part in found.groups())
    elif found := _DAY_FIRST.fullmatch(line):
        day, month, year = (int(part) for part in found.groups())
    elif (found := _WORDED_DAY.fullmatch(line)) and found[2][:3].lower() in _MONTHS:
        day, month, year = int(found[1]), _MONTHS.index(found[2][:3].lower()) + 1, int(found[3])
    else:
        raise ValueError(f"“{line}” is no date. Write it like 2026-04-01 or 1/4/2026, day first.")
    try:
        return date(year, month, day)
    except ValueError as wrong:
        raise ValueError(f"“{line}” is no day of the calendar.") from wrong


def in_our_time(day: date) -> bool:
    """Whether a day can be meant: far from where sums of days and hours come to an end.

    >>> in_our_time(date(2026, 4, 1)), in_our_time(date(26, 4, 1)), in_our_time(date.max)
    (True, False, False)
    """
    return FIRST_YEAR <= day.year <= LAST_YEAR


def heading(text: str) -> str:
    """A column's name without capitals, spaces, hyphens, dots and underscores.

    >>> heading(" E-mail "), heading("home_club"), heading("No.")
    ('email', 'homeclub', 'no')
    """
    return re.sub(r"[\s_.\-–'’/()]+", "", text).lower()


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a sheet: its number in the file, and the cells of the columns we know."""

    number: int
    cells: Mapping[str, str]

    def get(self, column: str) -> str:
        """A cell on one line; "" if it is empty or the column is not there."""
        return " ".join(self.cells.get(column, "").split())


class DateStyle(StrEnum):
    """In which order a society writes a date."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"
    YEAR_FIRST = "year first"


class Outcome(StrEnum):
    """What will happen with one line of a sheet."""

    NEW = "new"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    REFUSED = "refused"
    ASKS = "asks"
    LEFT_OUT = "left out"


def fingerprint(lines: Iterable[SheetLine], promises: object) -> str:
    """SHA-256 over what a sheet says and what was promised for it.

    `promises`: dataclasses turned into plain values. Two previews have the same fingerprint only
    if they say the same.
    """
    told = {"lines": [[line.number, dict(line.cells)] for line in lines], "promises": promises}
    text = json.dumps(told, sort_keys=True, ensure_ascii=False, default=_plain)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _plain(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value:f}"
    raise TypeError(f"{type(value).__name__} has no plain form.")
