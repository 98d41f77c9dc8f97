"""Words and figures as our pages write them.

Filters for dates, handicaps, money and shots, and the few tags the parts in
``templates/parts/`` need. Nothing here reads the database or the clock, and nothing here
knows golf beyond how a figure is written: a plus handicap is kept as a negative number and
shown with a plus sign, a missing score is a dash with hidden words beside it.
"""

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms, template
from django.forms.boundfield import BoundField
from django.utils import timezone
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe

from society.web.date_style import date_style
from society.web.rules import DateStyle

register = template.Library()

DASH = "–"
NBSP = "\u00a0"

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
NUMBERS = (
    "none",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
SIGNS = {"GBP": "£", "EUR": "€", "USD": "$"}
# Digits after the point, ISO 4217; every currency not named here has two.
MINOR_DIGITS = {"ISK": 0, "JPY": 0, "KRW": 0, "BHD": 3, "JOD": 3, "KWD": 3, "OMR": 3, "TND": 3}


# dates and times ---------------------------------------------------------------------------


def _day(value: object) -> dt.date | None:
    """The calendar day of a date or of a moment, in the society's own time zone."""
    if isinstance(value, dt.datetime):
        return (timezone.localtime(value) if timezone.is_aware(value) else value).date()
    return value if isinstance(value, dt.date) else None


@register.filter
def day_long(value: object, with_year: str = "") -> str:
    """Saturday 10 October; with the word "year" as argument, Saturday 10 October 2026.

    In a society that writes the month first, Saturday, October 10, 2026; the year first,
    Saturday 2026-10-10, always with the year.
    """
    day = _day(value)
    return "" if day is None else _written(day, DAYS[day.weekday()], MONTHS, with_year == "year")


@register.filter
def day_short(value: object, with_year: str = "") -> str:
    """Sat 10 Oct; with the word "year" as argument, Sat 10 Oct 2026. The order is the society's."""
    day = _day(value)
    if day is None:
        return ""
    short = [name[:3] for name in MONTHS]
    return _written(day, DAYS[day.weekday()][:3], short, with_year == "year")


def _written(day: dt.date, weekday: str, months: Sequence[str], with_year: bool) -> str:
    """A date in the order the society has chosen."""
    month, style = months[day.month - 1], date_style()
    if style is DateStyle.YEAR_FIRST:
        return f"{weekday} {day.isoformat()}"
    if style is DateStyle.MONTH_FIRST:
        return f"{weekday}, {month} {day.day}" + (f", {day.year}" if with_year else "")
    return f"{weekday} {day.day} {month}" + (f" {day.year}" if with_year else "")


@register.filter
def day_name_short(value: object) -> str:
    """The first three letters of the day of the week: "Sat"."""
    day = _day(value)
    return DAYS[day.weekday()][:3] if day else ""


@register.filter
def month_short(value: object) -> str:
    """The first three letters of the month: "Oct"."""
    day = _day(value)
    return MONTHS[day.month - 1][:3] if day else ""


@register.filter
def day_number(value: object) -> str:
    """The day of the month alone: "10"."""
    day = _day(value)
    return str(day.day) if day else ""


@register.filter
def clock(value: object) -> str:
    """Hours and minutes, 09:30, of a time or of a moment in the society's own time zone."""
    if isinstance(value, dt.datetime):
        moment = timezone.localtime(value) if timezone.is_aware(value) else value
        return moment.strftime("%H:%M")
    return value.strftime("%H:%M") if isinstance(value, dt.time) else ""


@register.filter
def day_clock(value: object) -> str:
    """A moment on one line: "Sat 10 Oct, 09:30"."""
    return f"{day_short(value)}, {clock(value)}" if isinstance(value, dt.datetime) else ""


@register.filter
def iso(value: object) -> str:
    """The machine's spelling of a date or moment, for the datetime attribute of <time>."""
    return value.isoformat() if isinstance(value, dt.date | dt.time) else ""


# figures -----------------------------------------------------------------------------------


def _spoken(shown: str, words: str) -> SafeString:
    """A sign for the eye with words for the ear."""
    return format_html('<span aria-hidden="true">{}</span><span class="vh">{}</span>', shown, words)


@register.filter
def handicap(value: object) -> str:
    """A handicap as people write it: 12.3, 14, and +1.2 for the plus player kept as -1.2.

    Works for an index, a course handicap and a playing handicap alike, keeps the digits it
    is given but for empty ones past the first, and writes no sign on zero. Nothing known is
    a dash.
    """
    if value is None or value == "":
        return _spoken(DASH, "no handicap")
    try:
        figure = Decimal(str(value))
    except InvalidOperation:
        return str(value)
    whole, _, rest = f"{abs(figure):f}".partition(".")
    if len(rest) > 1:  # a database may answer 13.3 as 13.3000
        rest = rest.rstrip("0") or "0"
    return f"{'+' if figure < 0 else ''}{whole}{'.' if rest else ''}{rest}"


@register.filter
def money(minor: int | None, currency: str = "GBP") -> str:
    """Whole minor units as money: 3600 → £36, 3650 → £36.50; the code where there is no sign."""
    if minor is None:
        return DASH
    digits = MINOR_DIGITS.get(currency, 2)
    whole, rest = divmod(abs(int(minor)), 10**digits)
    amount = f"{whole:,}" + (f".{rest:0{digits}d}" if rest else "")
    sign = "−" if minor < 0 else ""
    if currency in SIGNS:
        return f"{sign}{SIGNS[currency]}{amount}"
    return f"{sign}{currency}{NBSP}{amount}"


@register.filter
def no_score(value: object, words: str = "no score") -> object:
    """The figure itself, or a dash with hidden words when there is none."""
    return _spoken(DASH, words) if value is None or value == "" else value


@register.filter
def dots(shots: int | None) -> SafeString:
    """Shots on one hole: a dot for each received, a ring for each a plus player gives back."""
    if not shots:
        return mark_safe('<span class="dots-none"><span class="vh">no shot</span></span>')
    if shots < 0:
        return format_html(
            '<span class="dots dots-back" role="img" aria-label="gives {} back">{}</span>',
            -shots,
            "◦" * -shots,
        )
    return format_html(
        '<span class="dots" role="img" aria-label="{} {}">{}</span>',
        shots,
        "shot" if shots == 1 else "shots",
        "•" * shots,
    )


@register.filter
def ordinal(number: int) -> str:
    """1st, 2nd, 3rd, 4th, 11th, 12th, 13th, 21st."""
    ending = "th"
    if number % 100 not in (11, 12, 13):
        ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


@register.filter
def percent(number: object) -> str:
    """95 % with a space that does not break."""
    return f"{number}{NBSP}%"


@register.filter
def signed(number: int | None) -> str:
    """A score against par: level, +3, −2 with a true minus sign."""
    if number is None:
        return DASH
    if number == 0:
        return "level"
    return f"+{number}" if number > 0 else f"−{-number}"


# words -------------------------------------------------------------------------------------


@register.filter
def plural(number: int, words: str) -> str:
    """Of two words parted by a comma, the one that fits: 1|plural:"card,cards" → "card"."""
    one, many = words.split(",", 1)
    return one if number == 1 else many


@register.filter
def count_of(number: int, words: str) -> str:
    """The figure and its word: 3|count_of:"card,cards" → "3 cards"."""
    return f"{number}{NBSP}{plural(number, words)}"


@register.filter
def in_words(number: int) -> str:
    """none, one … twelve; from 13 on the figure."""
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else str(number)


@register.filter
def names(people: Iterable[object]) -> str:
    """Several on one line: "Ida, Lottie and Wilf"."""
    listed = [str(person) for person in people]
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} and {listed[-1]}"


_RANGE = re.compile(r"\d+–\d+|[\d:]+ v [\d:]+")


@register.filter
def unbroken(words: object) -> SafeString:
    """A sentence whose ranges (10–18) and comparisons (13 v 12) stay on one line."""
    kept = _RANGE.sub(r'<span class="num">\g<0></span>', conditional_escape(str(words)))
    return mark_safe(kept)  # noqa: S308 - escaped on the line above


@register.filter
def fingerprint(digest: str | None) -> str:
    """The first eight signs of a digest in two fours, as they stand on page and paper."""
    return f"{digest[:4]} {digest[4:8]}" if digest else ""


# cards -------------------------------------------------------------------------------------


def _sum(figures: Sequence[int | None]) -> int | None:
    return None if None in figures else sum(figure for figure in figures if figure is not None)


@register.filter
def in_nines(holes: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """A card's holes as the strips of ``parts/_strip.html``: the first nine, the second nine.

    Each hole is a mapping with ``hole``, ``par``, ``shots``, ``gross``, ``net`` and ``value``. The
    sums are those of the figures given; a missing figure leaves its sum out.
    """
    halves = (
        ("Out", [hole for hole in holes if hole["hole"] <= 9]),
        ("In", [hole for hole in holes if hole["hole"] > 9]),
    )
    return [
        {
            "name": name,
            "holes": half,
            "par": _sum([hole.get("par") for hole in half]),
            "gross": _sum([hole.get("gross") for hole in half]),
            "net": _sum([hole.get("net") for hole in half]),
            "value": _sum([hole.get("value") for hole in half]),
        }
        for name, half in halves
        if half
    ]


# forms -------------------------------------------------------------------------------------

BOXES = (forms.CheckboxInput, forms.RadioSelect, forms.CheckboxSelectMultiple)


@register.simple_tag
def control(field: BoundField) -> SafeString:
    """The control of a bound field with our class on it, and what describes it linked."""
    own = field.field.widget.attrs.get("class", "")
    attrs: dict[str, str | bool] = {}
    if not isinstance(field.field.widget, BOXES):
        attrs["class"] = f"input {own}".strip()
    return field.as_widget(attrs=attrs)


@register.filter
def control_kind(field: BoundField) -> str:
    """How a field is laid out: "tick" for one box, "choices" for a list of them, else "line"."""
    widget = field.field.widget
    if isinstance(widget, forms.RadioSelect | forms.CheckboxSelectMultiple):
        return "choices"
    return "tick" if isinstance(widget, forms.CheckboxInput) else "line"


@register.filter
def says_optional(field: BoundField) -> bool:
    """Whether "(if you like)" stands in the label of a field.

    A choice has its first answer for that; a hint that begins with "Needed" says when it is; a
    form of which one of several fields is needed names them in `one_of`.
    """
    return not (
        field.field.required
        or isinstance(field.field.widget, forms.Select)
        or str(field.help_text).startswith("Needed")
        or field.name in getattr(field.form, "one_of", ())
    )


@register.simple_tag
def problems(
    form: forms.BaseForm | None = None, more: Iterable[Mapping[str, str]] | None = None
) -> list[dict[str, str]]:
    """What stands in the error summary: words, and where to jump to put it right.

    ``form`` gives its own errors, those of the whole form first; ``more`` adds mappings with
    ``words`` and, if there is a place to go to, ``href``.
    """
    listed: list[dict[str, str]] = []
    if form is not None and form.is_bound:
        listed += [{"words": str(words)} for words in form.non_field_errors()]
        for field in form:
            for words in field.errors:
                if field.is_hidden:
                    listed.append({"words": str(words)})
                    continue
                place = field.id_for_label or field.auto_id
                listed.append({"label": str(field.label), "words": str(words), "href": f"#{place}"})
    return listed + [dict(problem) for problem in more or ()]


@register.simple_tag
def sort_state(column: Any) -> str:
    """How a table is sorted by this column, in the words of the aria-sort attribute."""
    if not column.is_ordered:
        return "none"
    return "descending" if column.order_by_alias.is_descending else "ascending"


@register.simple_tag(takes_context=True)
def address_with(context: Any, name: str, value: object, drop: str = "") -> str:
    """This page's own query with one value changed, and one dropped: for sorting and paging."""
    query = context["request"].GET.copy()
    query.pop(drop, None)
    query[name] = str(value)
    return f"?{query.urlencode()}"
