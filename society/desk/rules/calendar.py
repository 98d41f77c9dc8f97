"""The cells of a year's calendar as people write them: days, hours, deadlines, fees, yes and no.

Nothing here guesses between day and month. A day that can be read two ways is refused until
somebody says which comes first.

>>> read_day("Sat 10 October", Span(date(2026, 1, 1), date(2026, 12, 31)))
datetime.date(2026, 10, 10)
>>> read_day("4/10/2026", Span(date(2026, 1, 1), date(2026, 12, 31), DayOrder.DAY_FIRST))
datetime.date(2026, 10, 4)
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date
from enum import StrEnum

from society.fixtures.rules import LONGEST_ABOUT, StartKind
from society.web.rules import SheetLine, clean_text, day_words, in_our_time

MOST_LINES = 200  # fixtures of one year

COLUMNS: dict[str, tuple[str, ...]] = {
    "day": ("date", "day", "when"),
    "name": ("name", "fixture", "event", "title"),
    "course": ("course", "venue", "where"),
    "format": ("format", "terms", "game", "preset", "scored as"),
    "holes": ("holes", "holes in play"),
    "tees": ("tees", "tee", "tee colour"),
    "first_time": ("first tee time", "tee time", "first time", "start time", "time", "tee off"),
    "interval": ("interval", "minutes between groups", "minutes"),
    "group_size": ("group size", "players in a group", "group"),
    "start": ("start", "start kind", "kind of start"),
    "places": ("places", "limit", "number of places", "field size"),
    "entries_open_at": ("entries open", "open", "opens", "entries from"),
    "entries_close_at": (
        "entries close",
        "close",
        "closes",
        "deadline",
        "enter by",
        "closing date",
    ),
    "fee": ("fee", "cost", "price", "what it costs"),
    "guest_fee": ("guest fee", "guests pay", "fee for guests"),
    "guests_welcome": ("guests", "guests welcome"),
    "counts_for_merit": ("counts for merit", "counts", "merit", "order of merit"),
    "about": ("about", "notes", "note", "what members should know", "remarks"),
    "like": ("as", "like", "same as", "as fixture"),
}
NEEDED = ("day", "name")


class DayOrder(StrEnum):
    """Which comes first in a day written with figures alone."""

    UNSAID = ""
    DAY_FIRST = "day"
    MONTH_FIRST = "month"


class TwoWays(ValueError):  # noqa: N818 - a question, no error
    """A day that can be read two ways."""


@dataclass(frozen=True, slots=True)
class Span:
    """The days among which one without a year is looked for, and what figures alone mean."""

    first: date
    last: date
    order: DayOrder = DayOrder.UNSAID


# days --------------------------------------------------------------------------------------

MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

_WEEKDAY = re.compile(r"(mon|tue|wed|thu|fri|sat|sun)([a-z]*)\.? +(.+)")
_YEAR_FIRST = re.compile(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})(?:[ t]0?0:00(?::00)?)?")
_FIGURES = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})(?:\2([0-9]{4}|[0-9]{2}))?\.?")
_DAY_WORD = re.compile(r"([0-9]{1,2})[ .-]*([a-z]{3,9})\.?(?:[ -]+([0-9]{4}|[0-9]{2}))?")
_WORD_DAY = re.compile(r"([a-z]{3,9})\.?[ -]*([0-9]{1,2})(?:[ -]+([0-9]{4}))?")


def read_day(text: str, span: Span) -> date:
    """A day in any of the usual styles, with or without year and day of the week.

    Raises TwoWays for figures that can be read two ways while nobody said which comes first, and
    ValueError with a sentence for anything else that is no day.
    """
    line = _plain(text)
    weekday, rest = _off_weekday(line)
    found = sorted(_readings(rest, span))
    if not found:
        raise ValueError(f"“{text.strip()}” is no day. Write it like 10 October 2026.")
    if weekday is None:
        return _one_of(text, found)
    right = [day for day in found if day.weekday() == weekday]
    if not right:
        raise ValueError(
            f"“{text.strip()}” does not fit: {day_words(found[0])} is a "
            f"{WEEKDAYS[found[0].weekday()].capitalize()}."
        )
    return _one_of(text, right)


def _plain(text: str) -> str:
    line = " ".join(text.replace(",", " ").lower().split())
    line = re.sub(r"\b([0-9]{1,2})(?:st|nd|rd|th)\b", r"\1", line)
    return re.sub(r"\b(?:the|of) ", "", line)


def _off_weekday(line: str) -> tuple[int | None, str]:
    """The day of the week that a text begins with, and the rest."""
    if found := _WEEKDAY.fullmatch(line):
        for number, name in enumerate(WEEKDAYS):
            if name.startswith(found[1] + found[2]):
                return number, found[3]
    return None, line


def _readings(line: str, span: Span) -> set[date]:
    """Every day that a text can mean."""
    if found := _YEAR_FIRST.fullmatch(line):
        return _dated(int(found[3]), int(found[2]), found[1], span)
    if found := _FIGURES.fullmatch(line):
        first, second = int(found[1]), int(found[3])
        days: set[date] = set()
        if span.order is not DayOrder.MONTH_FIRST:
            days |= _dated(first, second, found[4], span)
        if span.order is not DayOrder.DAY_FIRST:
            days |= _dated(second, first, found[4], span)
        return days
    if found := _DAY_WORD.fullmatch(line):
        return _dated(int(found[1]), _month(found[2]), found[3], span)
    if found := _WORD_DAY.fullmatch(line):
        return _dated(int(found[2]), _month(found[1]), found[3], span)
    return set()


def _month(word: str) -> int:
    """1 to 12; 0 for a word that is no month."""
    if word == "sept":
        return 9
    return next((at for at, name in enumerate(MONTHS, 1) if name.startswith(word)), 0)


def _dated(day: int, month: int, year: str | None, span: Span) -> set[date]:
    """The day of that year; without a year every such day within the span."""
    if year is None:
        days = [_made(day, month, y) for y in range(span.first.year, span.last.year + 1)]
        return {one for one in days if one and span.first <= one <= span.last}
    made = _made(day, month, int(year) if len(year) == 4 else 2000 + int(year))
    return {made} if made else set()


def _made(day: int, month: int, year: int) -> date | None:
    try:
        made = date(year, month, day)
    except ValueError:
        return None
    return made if in_our_time(made) else None


def _one_of(text: str, found: list[date]) -> date:
    if len(found) == 1:
        return found[0]
    if found[0].year != found[-1].year and found[0].month == found[-1].month:
        raise ValueError(f"“{text.strip()}” comes twice in this season. Write the year with it.")
    raise TwoWays(
        f"“{text.strip()}” can be {day_words(found[0])} or {day_words(found[-1])}. "
        "Say which comes first, the day or the month."
    )


# hours and deadlines -----------------------------------------------------------------------

_CLOCK = r"([0-9]{1,2})(?:[:.h]([0-9]{2})(?::[0-9]{2})?)? ?(am|pm)?|noon|midday|midnight"
_TIME = re.compile(_CLOCK)
_WITH_TIME = re.compile(rf"(?P<day>.+?)(?: at | |t)(?P<clock>{_CLOCK})")
_BEFORE = re.compile(
    rf"(?:(?P<count>[0-9]{{1,3}}|a|one|two|three) )?(?P<unit>day|week)s? before(?:hand)?"
    rf"(?:(?: at)? (?P<clock>{_CLOCK}))?"
)
_WORDS = {None: 1, "a": 1, "one": 1, "two": 2, "three": 3}
_SPOKEN = {"noon": "12:00", "midday": "12:00", "midnight": "00:00"}


def read_time(text: str) -> str:
    """An hour as HH:MM: "9:30", "09.30", "9.30 am", "0930", "noon". ValueError otherwise.

    >>> read_time("9.30"), read_time("1:05 pm"), read_time("0930")
    ('09:30', '13:05', '09:30')
    """
    line = " ".join(text.lower().split())
    if re.fullmatch(r"[0-9]{4}", line):
        line = f"{line[:2]}:{line[2:]}"
    found = _TIME.fullmatch(line)
    if found is None or (found[1] and not found[2] and not found[3]):
        raise ValueError(f"“{text.strip()}” is no hour. Write it like 09:30.")
    if line in _SPOKEN:
        return _SPOKEN[line]
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    if hour > 23 or minute > 59 or (half and not 1 <= int(found[1]) <= 12):
        raise ValueError(f"“{text.strip()}” is no hour of the day.")
    return f"{hour:02}:{minute:02}"


def read_moment(text: str, day: date, order: DayOrder, default: str) -> tuple[date, str]:
    """A day and an hour: "Sun 4 Oct 18:00", "6 days before, 18:00", "2026-10-04 18:00".

    Without a year it is the last such day up to `day`, that of the fixture; without an hour
    `default`. Raises TwoWays, and ValueError for anything that is no moment of the year before.
    """
    found = _moment(text, day, order, default)
    if not day.toordinal() - 400 <= found[0].toordinal() <= day.toordinal():
        raise ValueError(
            f"“{text.strip()}” is {day_words(found[0])}, which is not in the year before the day."
        )
    return found


def _moment(text: str, day: date, order: DayOrder, default: str) -> tuple[date, str]:
    line = _plain(text)
    if found := _BEFORE.fullmatch(line):
        count = _WORDS.get(found["count"]) or int(found["count"])
        days = count * (7 if found["unit"] == "week" else 1)
        clock = found["clock"]
        return date.fromordinal(day.toordinal() - days), read_time(clock) if clock else default
    span = Span(date.fromordinal(day.toordinal() - 364), day, order)
    try:
        return read_day(line, span), default
    except TwoWays:
        raise
    except ValueError:
        parted = _WITH_TIME.fullmatch(line)
        if parted is None:
            raise ValueError(
                f"“{text.strip()}” is no day and hour. Write it like 4 October 2026 18:00, "
                "or 6 days before 18:00."
            ) from None
    return read_day(parted["day"], span), read_time(parted["clock"])


# the other cells ---------------------------------------------------------------------------

_YES = {"yes", "y", "true", "1", "x", "✓", "on", "welcome", "counts"}
_NO = {"no", "n", "false", "0", "-", "–", "off", "members only"}
_NO_LIMIT = {"no limit", "none", "any", "unlimited", "-", "–"}
_FEE = re.compile(
    r"(?:(?P<name>.+?)[ :]+)?[£€$]? ?(?P<whole>[0-9]{1,6})(?:[.,](?P<rest>[0-9]{1,3}))?"
    r"(?: *\((?P<who>members|guests)\))?"
)
_HOLES = {
    "18": "18", "eighteen": "18", "9": "first 9", "nine": "first 9", "first 9": "first 9",
    "first nine": "first 9", "front 9": "first 9", "front nine": "first 9",
    "second 9": "second 9", "second nine": "second 9", "back 9": "second 9",
    "back nine": "second 9",
}  # fmt: skip
_STARTS = {kind.value: kind.value for kind in StartKind} | {
    "1 tee": StartKind.ONE_TEE.value,
    "2 tees": StartKind.TWO_TEES.value,
    "arranged": StartKind.ARRANGED.value,
    "shotgun start": StartKind.SHOTGUN.value,
}


def read_yes(text: str) -> bool:
    """Yes or no. ValueError for anything else."""
    line = " ".join(text.lower().split())
    if line in _YES | _NO:
        return line in _YES
    raise ValueError(f"“{text.strip()}” is neither yes nor no.")


def read_places(text: str) -> int | None:
    """A number of places, or None for "no limit"."""
    line = " ".join(text.lower().split())
    return None if line in _NO_LIMIT else read_count(text, "Places", 1, 500)


def read_count(text: str, what: str, low: int, high: int) -> int:
    """A whole number within limits; the words "min" or "minutes" after it are passed over."""
    found = re.fullmatch(r"([0-9]{1,4})(?:\.0+)?(?: ?(?:min|mins|minutes|places|players))?",
                         " ".join(text.lower().split()))  # fmt: skip
    if found is None or not low <= int(found[1]) <= high:
        raise ValueError(f"{what}: “{text.strip()}” is no number from {low} to {high}.")
    return int(found[1])


def read_fees(text: str, digits: int, who: str = "everybody", name: str = "Fee") -> tuple[
    tuple[str, int, str], ...
]:  # fmt: skip
    """Fees as (name, whole minor units, whom for), parted by semicolons or plus signs.

    `digits`: those of the currency after the point. "0", "none" and "free" are no fee.

    >>> read_fees("Golf and soup 36; Raffle 2.50 (members)", 2)
    (('Golf and soup', 3600, 'everybody'), ('Raffle', 250, 'members'))
    """
    if " ".join(text.lower().split()) in {"0", "none", "free", "-", "–"}:
        return ()
    fees = []
    for part in re.split(r"[;+\n]", text):
        line = " ".join(part.split())
        if not line:
            continue
        found = _FEE.fullmatch(line)
        if found is None or len(found["rest"] or "") > digits:
            raise ValueError(
                f"“{line}” is no fee. Write an amount like 36.00, or Golf and soup 36.00."
            )
        amount = int(found["whole"] + (found["rest"] or "").ljust(digits, "0"))
        fees.append((clean_text(found["name"] or name, what="The fee"), amount,
                     found["who"] or who))  # fmt: skip
    return tuple(fees)


def read_tees(text: str) -> dict[str, str]:
    """Category → the name of its tee; under "" the tee for every category.

    >>> read_tees("men: White; women: Red"), read_tees("White")
    ({'men': 'White', 'women': 'Red'}, {'': 'White'})
    """
    tees: dict[str, str] = {}
    for part in re.split(r"[;,/]", text):
        words = [word.strip() for word in part.split(":", 1)]
        if not words[-1]:
            continue
        category = words[0].lower() if len(words) == 2 else ""
        if category not in ("", "men", "women") or category in tees:
            raise ValueError(f"“{text.strip()}” is not like White, or men: White; women: Red.")
        tees[category] = words[-1]
    return tees


def _word(text: str, words: dict[str, str], what: str, like: str) -> str:
    found = words.get(" ".join(text.lower().split()))
    if found is None:
        raise ValueError(f"{what}: “{text.strip()}” is not known. Write {like}.")
    return found


# a line ------------------------------------------------------------------------------------


@dataclass(slots=True)
class Told:
    """What one line says. `values`: only the cells that are filled in, read; by column.

    A deadline is (day, "HH:MM"); `wrong`: a sentence for every cell that cannot be taken;
    `two_ways`: whether one of them is a day that can be read two ways.
    """

    line: int
    name: str = ""
    day: date | None = None
    values: dict[str, object] = dataclass_field(default_factory=dict)
    wrong: list[str] = dataclass_field(default_factory=list)
    two_ways: bool = False


def read_line(line: SheetLine, span: Span, digits: int) -> Told:
    """One line of a calendar; `digits`: those of the currency after the point."""
    told = Told(line.number)

    def read(column: str, reader: Callable[[str], object], key: str = "") -> object:
        text = line.cells.get(column, "").strip()
        if not text:
            return None
        try:
            value = reader(text)
        except ValueError as sentence:
            told.wrong.append(str(sentence))
            told.two_ways |= isinstance(sentence, TwoWays)
            return None
        told.values[key or column] = value
        return value

    told.name = str(read("name", lambda text: clean_text(text, what="The name")) or "")
    day = read("day", lambda text: read_day(text, span))
    told.day = day if isinstance(day, date) else None
    for column, what in (("course", "The course"), ("format", "The format"), ("like", "As")):
        read(column, lambda text, what=what: clean_text(text, what=what))  # type: ignore[misc]
    read("about", _about)
    read("holes", lambda text: _word(text, _HOLES, "Holes", "18, first 9 or second 9"))
    read("start", lambda text: _word(text, _STARTS, "Start", ", ".join(StartKind)))
    read("tees", read_tees)
    read("first_time", read_time)
    read("interval", lambda text: read_count(text, "Minutes between groups", 1, 60))
    read("group_size", lambda text: read_count(text, "Players in a group", 2, 4))
    read("places", read_places)
    read("guests_welcome", read_yes)
    read("counts_for_merit", read_yes)
    if told.day:
        fixed, order = told.day, span.order
        read("entries_open_at", lambda text: read_moment(text, fixed, order, "00:00"))
        read("entries_close_at", lambda text: read_moment(text, fixed, order, "23:59"))
    _read_fees(told, line, read, digits)
    if not line.get("name"):
        told.wrong.append("The line names no fixture.")
    if not line.get("day"):
        told.wrong.append("The line names no day.")
    return told


def _about(text: str) -> str:
    lines = [clean_text(line, what="About", longest=LONGEST_ABOUT) for line in text.splitlines()]
    return "\n".join(line for line in lines if line)


def _read_fees(
    told: Told,
    line: SheetLine,
    read: Callable[[str, Callable[[str], object], str], object],
    digits: int,
) -> None:
    """The two columns of fees as one value: with a fee for guests the other is for members."""
    guests = bool(line.get("guest_fee"))
    own = "members" if guests else "everybody"
    read("fee", lambda text: read_fees(text, digits, own), "fee")
    read("guest_fee", lambda text: read_fees(text, digits, "guests", "Guest fee"), "guest_fee")
    parts = [told.values.pop(key) for key in ("fee", "guest_fee") if key in told.values]
    if parts:
        told.values["fees"] = tuple(fee for part in parts for fee in part)  # type: ignore[attr-defined]
