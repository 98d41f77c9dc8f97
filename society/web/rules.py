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
# Of these, those that no reason has: control characters but line ends and tab, turned writing.
_NEVER = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
# What a spreadsheet takes for the beginning of a formula, in half and full width.
_FORMULA = re.compile("'*[=+@\t\r\n|%\uff1d\uff0b\uff0d\uff20-]")
_ISO_DAY = re.compile(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})")
_FIGURES_DAY = re.compile(r"([0-9]{1,2})[./]([0-9]{1,2})[./]([0-9]{4})")
_WORDED_DAY = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)? ([A-Za-z]{3,9}),? ([0-9]{4})")
_MONTH_WORDED = re.compile(r"([A-Za-z]{3,9}) ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})")
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


def clean_reason(text: str) -> str:
    """A reason as it is kept. ValueError, with a sentence, for one that cannot be read as written.

    What has no sign that can be seen is empty: whoever asks for a reason says so.
    """
    if found := _NEVER.search(text):
        raise ValueError(
            f"There is a character in it that cannot be seen (U+{ord(found[0]):04X}). "
            "Type it again by hand."
        )
    return text.strip() if _UNSEEN.sub("", text).strip() else ""


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


class DateStyle(StrEnum):
    """In which order a society writes a date."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"
    YEAR_FIRST = "year first"


_LIKE = {
    DateStyle.DAY_FIRST: "2026-04-01 or 1/4/2026, day first",
    DateStyle.MONTH_FIRST: "2026-04-01 or 4/1/2026, month first",
    DateStyle.YEAR_FIRST: "2026-04-01",
}


def read_day(text: str, style: DateStyle = DateStyle.DAY_FIRST) -> date:
    """A day as people write it. ValueError with a sentence.

    `style` says which comes first in figures alone that end in the year; where days are written
    with the year first, such figures are read only if they cannot be meant both ways.

    >>> read_day("2026-04-01") == read_day("1/4/2026") == read_day("1 April 2026")
    True
    >>> read_day("4/1/2026", DateStyle.MONTH_FIRST)
    datetime.date(2026, 4, 1)
    """
    line = " ".join(text.split())
    if found := _ISO_DAY.fullmatch(line):
        year, month, day = (int(part) for part in found.groups())
    elif found := _FIGURES_DAY.fullmatch(line):
        day, month = _in_order(int(found[1]), int(found[2]), line, style)
        year = int(found[3])
    elif (found := _WORDED_DAY.fullmatch(line)) and found[2][:3].lower() in _MONTHS:
        day, month, year = int(found[1]), _MONTHS.index(found[2][:3].lower()) + 1, int(found[3])
    elif (found := _MONTH_WORDED.fullmatch(line)) and found[1][:3].lower() in _MONTHS:
        day, month, year = int(found[2]), _MONTHS.index(found[1][:3].lower()) + 1, int(found[3])
    else:
        raise ValueError(f"“{line}” is no date. Write it like {_LIKE[style]}.")
    try:
        return date(year, month, day)
    except ValueError as wrong:
        raise ValueError(f"“{line}” is no day of the calendar.") from wrong


def day_words(day: date) -> str:
    """A day in words, without its weekday.

    >>> day_words(date(2026, 5, 3))
    '3 May 2026'
    """
    return f"{day.day} {day:%B %Y}"


def _in_order(first: int, second: int, line: str, style: DateStyle) -> tuple[int, int]:
    """Day and month of two figures."""
    if style is DateStyle.YEAR_FIRST and first != second and first <= 12 and second <= 12:
        raise ValueError(
            f"“{line}” is no date that can be read in one way only: the day or the month may "
            "come first. Write it like 2026-04-01, or say which comes first."
        )
    month_first = style is DateStyle.MONTH_FIRST or (style is DateStyle.YEAR_FIRST and second > 12)
    return (second, first) if month_first else (first, second)


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
