"""What keeping a year's calendar would do with each line, worked out anew each time it is asked.

A line is a fixture of the season if its name and day are those of one; without such a one, if its
name is that of only one fixture and of only one line: then its day moves. All others are new.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone

from scoring.rules.values import Format
from society.courses.models import Course, Tee
from society.courses.rules import RatedHoles
from society.desk.queries.calendar_words import (
    changes_words,
    day_of_week,
    further_words,
    plan_words,
    terms_name,
)
from society.desk.rules.calendar import (
    COLUMNS,
    MOST_LINES,
    NEEDED,
    DayOrder,
    Span,
    Told,
    read_day,
    read_line,
)
from society.fixtures.bridge import Plan, check_plan, full_terms, moved_plan, plan_of, write_terms
from society.fixtures.models import Fixture, RoundTee, Season
from society.fixtures.queries import tees_of
from society.fixtures.rules import (
    ENDED,
    FORMAT_NAMES,
    PRESETS,
    STATE_WORDS,
    FixtureState,
    Preset,
)
from society.members.queries import society_zone, the_society
from society.web.refusals import BadInput
from society.web.rules import DateStyle, Outcome, SheetLine, fingerprint
from society.web.sheets import Sheet, read_sheet
from society.web.templatetags.look import MINOR_DIGITS


@dataclass(frozen=True, slots=True)
class Promise:
    """What will happen with one line, in words and in values.

    `fixture`: public id of the one that stands; `like`: of the one that is copied; `plan`: what
    is written, None where nothing is.
    """

    line: int
    name: str
    day: date | None
    outcome: Outcome
    words: tuple[str, ...] = ()
    fixture: str = ""
    like: str = ""
    plan: Plan | None = None
    two_ways: bool = False

    @property
    def plain(self) -> dict[str, object]:
        """Everything promised in plain values, for the fingerprint."""
        return {
            "line": self.line,
            "outcome": self.outcome.value,
            "words": self.words,
            "fixture": self.fixture,
            "like": self.like,
            "plan": self.plan.values() if self.plan else None,
        }


@dataclass(frozen=True, slots=True)
class Preview:
    """The promises for the lines of a calendar, and the fingerprint of both together.

    `others`: name and day of each fixture of the season that no line is about; they stay.
    """

    lines: Sequence[SheetLine]
    order: DayOrder
    promises: Sequence[Promise]
    others: Sequence[tuple[str, date]]
    digest: str
    by_style: bool = False  # figures alone were read as the society writes its dates

    def of(self, outcome: Outcome) -> list[Promise]:
        """The promises with one outcome, in the order of the list."""
        return [promise for promise in self.promises if promise.outcome is outcome]

    @property
    def two_ways(self) -> bool:
        """Whether somebody must say what figures alone mean."""
        return any(promise.two_ways for promise in self.promises)


def calendar_rows_from_text(source: str | bytes) -> Sheet:
    """The rows of a calendar pasted from a sheet or read from a file. Raises BadInput."""
    return bounded(read_sheet(source, COLUMNS, NEEDED))


def bounded(sheet: Sheet) -> Sheet:
    """The rows, if there are no more of them than a year has. Raises BadInput."""
    if len(sheet.lines) > MOST_LINES:
        raise BadInput(
            f"The list has {len(sheet.lines)} lines. At most {MOST_LINES} fixtures are taken "
            "at once."
        )
    return sheet


def preview(
    lines: Sequence[SheetLine], season: Season, today: date, order: DayOrder = DayOrder.UNSAID
) -> Preview:
    """What would happen with each line as things stand now; nothing is written.

    Figures that can be read two ways are read as the society writes its dates, where `order` does
    not say; somebody is asked only where that does not say either.
    Hours are those of the clock where the society is, whoever asks.
    """
    with timezone.override(society_zone()):
        made = _preview(lines, season, today, order)
        style = _style()
        if order is DayOrder.UNSAID and made.two_ways and style is not DayOrder.UNSAID:
            return replace(_preview(lines, season, today, style), by_style=True)
        return made


def _style() -> DayOrder:
    """Which comes first where the society writes a day; unsaid where it begins with the year."""
    society = the_society()
    orders = {
        DateStyle.DAY_FIRST.value: DayOrder.DAY_FIRST,
        DateStyle.MONTH_FIRST.value: DayOrder.MONTH_FIRST,
    }
    return orders.get(society.date_style if society else "", DayOrder.UNSAID)


def _preview(lines: Sequence[SheetLine], season: Season, today: date, order: DayOrder) -> Preview:
    society = the_society()
    known = _Known(season, today, MINOR_DIGITS.get(society.currency if society else "GBP", 2),
                   society.currency if society else "GBP")  # fmt: skip
    span = Span(season.starts_on, season.ends_on, order)
    told = [read_line(line, span, known.digits) for line in lines]
    meant = _meant(told, known.fixtures)
    seen: dict[tuple[str, date], int] = {}
    promises = [_promise(one, meant.get(one.line), known, seen) for one in told]
    taken = {fixture.pk for fixture in meant.values()}
    digest = fingerprint(lines, [order.value, season.public_id, [p.plain for p in promises]])
    others = [(one.name, one.starts_on) for one in known.fixtures if one.pk not in taken]
    return Preview(lines, order, promises, others, digest)


def _meant(told: Sequence[Told], fixtures: Sequence[Fixture]) -> dict[int, Fixture]:
    """Line → the fixture of the season that it is about."""
    exact = {(one.name.casefold(), one.starts_on): one for one in fixtures}
    found = {
        one.line: exact[key]
        for one in told
        if one.day and (key := (one.name.casefold(), one.day)) in exact
    }
    rest = [one for one in told if one.line not in found and one.name]
    free = [one for one in fixtures if one not in found.values()]
    lines = Counter(one.name.casefold() for one in rest)
    stand = Counter(one.name.casefold() for one in free)
    by_name = {one.name.casefold(): one for one in free}
    for one in rest:
        name = one.name.casefold()
        if lines[name] == stand[name] == 1:
            found[one.line] = by_name[name]
    return found


# what the lines are read against ---------------------------------------------------------


@dataclass(slots=True)
class _Known:
    """The society's courses, tees and fixtures, each looked up once."""

    season: Season
    today: date
    digits: int
    currency: str
    zone: ZoneInfo = dataclass_field(default_factory=lambda: ZoneInfo(society_zone()))
    fixtures: list[Fixture] = dataclass_field(init=False)
    courses: dict[str, Course] = dataclass_field(init=False)
    _tees: dict[int, dict[str, list[Tee]]] = dataclass_field(default_factory=dict)
    _used: dict[int, dict[str, Tee]] = dataclass_field(default_factory=dict)

    def __post_init__(self) -> None:
        self.fixtures = list(self.season.fixtures.order_by("starts_on", "pk"))
        for fixture in self.fixtures:
            fixture.season = self.season
        self.courses = {one.name.casefold(): one for one in Course.objects.order_by("name")}

    def course(self, text: str) -> Course:
        """A course by its name. ValueError with a suggestion."""
        found = self.courses.get(text.casefold())
        if found is not None and not found.retired:
            return found
        if found is not None:
            raise ValueError(f"{found.name} is no longer in use.")
        names = [one.name for one in self.courses.values() if not one.retired]
        raise ValueError(f"There is no course “{text}”. {_suggest(text, names)}")

    def tees(self, course: Course) -> dict[str, list[Tee]]:
        """Category → the tees measured for it."""
        if course.pk not in self._tees:
            self._tees[course.pk] = {
                category: [tee for tee, _ in listed] for category, listed in tees_of(course).items()
            }
        return self._tees[course.pk]

    def used(self, course: Course) -> dict[str, Tee]:
        """The tees of the last fixture on a course, by category."""
        if course.pk not in self._used:
            rows = RoundTee.objects.filter(round__course=course).select_related("tee")
            self._used[course.pk] = {
                row.category: row.tee for row in rows.order_by("round__day", "round__pk")
            }
        return self._used[course.pk]

    def moment(self, told: tuple[date, str]) -> datetime:
        """A day and an hour of the clock where the society is."""
        return datetime.combine(told[0], time.fromisoformat(told[1]), tzinfo=self.zone)


def _suggest(text: str, names: Sequence[str]) -> str:
    near = get_close_matches(text.casefold(), [name.casefold() for name in names], 1, 0.6)
    if near:
        return f"Is it {next(name for name in names if name.casefold() == near[0])}?"
    return f"There {'are' if len(names) > 1 else 'is'} {_or(names)}." if names else "Add it first."


def _or(names: Sequence[str], word: str = "and") -> str:
    shown = list(names[:6]) + (["others"] if len(names) > 6 else [])
    return f"{', '.join(shown[:-1])} {word} {shown[-1]}" if len(shown) > 1 else "".join(shown)


def _flat(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())


# A name of a preset asks for exactly its terms; the name of a format alone is content with any
# terms of that format, and means the first of its presets where there are none yet.
_EXACT = {_flat(key): one for one in PRESETS for key in (one.key, one.name)}
_LOOSE = {_flat(FORMAT_NAMES[Format(str(one.terms["format"]))]): one for one in reversed(PRESETS)}


def _preset(text: str) -> tuple[Preset, bool]:
    """The preset a cell means, and whether exactly its terms are asked for."""
    key = _flat(text)
    if key in _LOOSE:
        return _LOOSE[key], False
    if key in _EXACT:
        return _EXACT[key], True
    names = [one.name for one in PRESETS]
    raise ValueError(f"There is no format “{text}”. {_suggest(text, names)}")


# one line ----------------------------------------------------------------------------------


def _promise(
    told: Told, fixture: Fixture | None, known: _Known, seen: dict[tuple[str, date], int]
) -> Promise:
    wrong = told.wrong or _twice(told, seen)
    if not wrong:
        try:
            return _of_one_that_stands(told, fixture, known) if fixture else _new(told, known)
        except BadInput as refusal:
            wrong = [refusal.words]
        except ValueError as sentence:
            wrong = [str(sentence)]
    name = told.name or "no name"
    return Promise(told.line, name, told.day, Outcome.REFUSED, tuple(wrong), two_ways=told.two_ways)


def _twice(told: Told, seen: dict[tuple[str, date], int]) -> list[str]:
    """A sentence if an earlier line has the same name and day."""
    first = seen.setdefault((told.name.casefold(), told.day or date.min), told.line)
    if first == told.line:
        return []
    return [f"The same name and day stand on line {first} already."]


def _new(told: Told, known: _Known) -> Promise:
    like = _like(told, known)
    plan, notes = _plan(told, plan_of(like) if like else None, known)
    check_plan(plan, known.season)
    if like:
        notes.append(f"Copied from {like.name} of {day_of_week(like.starts_on)}.")
        notes += further_words(like)
    words = (*plan_words(plan, known.currency), *notes, *_same_day(plan, known))
    copied = like.public_id if like else ""
    return Promise(told.line, told.name, told.day, Outcome.NEW, words, "", copied, plan)


def _of_one_that_stands(told: Told, fixture: Fixture, known: _Known) -> Promise:
    old = plan_of(fixture)
    plan, notes = _plan(told, old, known)
    words = tuple(changes_words(old, plan, known.currency))
    name, of = told.name, fixture.public_id
    if not words:
        return Promise(told.line, name, told.day, Outcome.UNCHANGED, (), of)
    _check_standing(fixture, old, plan)
    check_plan(plan, known.season)
    return Promise(told.line, name, told.day, Outcome.CHANGED, (*words, *notes), of, "", plan)


def _same_day(plan: Plan, known: _Known) -> list[str]:
    words = [f"On that day stands {one.name} too, which stays."
             for one in known.fixtures if one.starts_on == plan.day]  # fmt: skip
    return words + (["The day lies in the past."] if plan.day < known.today else [])


def _like(told: Told, known: _Known) -> Fixture | None:
    """The fixture a line is copied from: "Lantern Plate", or "Lantern Plate, 10 October 2025"."""
    text = str(told.values.get("like", ""))
    if not text:
        return None
    name, _, day = text.rpartition(",")
    on = None
    if name:
        try:
            on = read_day(day, Span(date(1900, 1, 1), date(1900, 1, 1)))
        except ValueError:
            name = ""
    rows = Fixture.objects.filter(name__iexact=(name or text).strip())
    found = (rows.filter(starts_on=on) if on else rows).order_by("-starts_on", "-pk").first()
    if found is None:
        listed = list(dict.fromkeys(Fixture.objects.order_by("-starts_on").values_list(
            "name", flat=True)))  # fmt: skip
        near = get_close_matches(name or text, listed, 1, 0.6)
        also = f" Is it {near[0]}?" if near else ""
        raise ValueError(f"As: there is no fixture “{text}”.{also}")
    return found


def _plan(told: Told, base: Plan | None, known: _Known) -> tuple[Plan, list[str]]:
    """The plan a line comes to, and what has to be said about it. ValueError with a sentence.

    `base`: the plan that stands or is copied; its moments move with the day.
    """
    if told.day is None:
        raise ValueError("The line names no day.")
    if base is None:
        fresh, notes = _fresh(told, known)
        return replace(fresh, **_values(told, known)), notes
    plan = replace(moved_plan(base, told.day), **_values(told, known))
    return _with_course(plan, base, told, known), []


def _values(told: Told, known: _Known) -> dict[str, Any]:
    """The cells that go into a plan as they are."""
    as_they_are = (
        "interval", "group_size", "start", "places", "guests_welcome", "counts_for_merit",
        "about", "fees", "holes",
    )  # fmt: skip
    values: dict[str, Any] = {key: told.values[key] for key in as_they_are if key in told.values}
    values["name"] = told.name
    for key in ("entries_open_at", "entries_close_at"):
        found = told.values.get(key)
        if isinstance(found, tuple):
            values[key] = known.moment(found)
    if first := told.values.get("first_time"):
        values["first_time"] = time.fromisoformat(str(first))
    return values


def _fresh(told: Told, known: _Known) -> tuple[Plan, list[str]]:
    """The plan of a line that copies nothing: course, format and tees."""
    if "course" not in told.values:
        raise ValueError("The line names no course.")
    course = known.course(str(told.values["course"]))
    named = told.values.get("format")
    preset = _preset(str(named))[0] if named else PRESETS[0]
    holes = preset.holes if course.holes == 18 else "first 9"
    tees, words = _tees(course, told.values.get("tees"), known)
    if not named:
        words.insert(0, f"No format is named, so it is {preset.name}.")
    plan = Plan(name=told.name, day=told.day or known.today, course=course, tees=tees,
                terms=dict(preset.terms), holes=holes)  # fmt: skip
    return plan, words


def _with_course(plan: Plan, base: Plan, told: Told, known: _Known) -> Plan:
    """The plan with the course, the tees and the format of a line in place of its own."""
    if "course" in told.values:
        course = known.course(str(told.values["course"]))
        if course != base.course:
            tees, _ = _tees(course, told.values.get("tees"), known)
            plan = replace(plan, course=course, tees=tees)
    if told.values.get("tees"):
        plan = replace(plan, tees=_tees(plan.course, told.values["tees"], known)[0])
    if named := told.values.get("format"):
        preset, exact = _preset(str(named))
        holes = RatedHoles(plan.holes)
        stand = full_terms(write_terms(plan.terms, holes), holes)
        wanted = full_terms(write_terms(preset.terms, holes), holes)
        same = stand == wanted if exact else stand.format is wanted.format
        if not same:
            plan = replace(plan, terms=dict(preset.terms))
    return plan


def _tees(course: Course, told: object, known: _Known) -> tuple[dict[str, Tee], list[str]]:
    """The tees by category: as named, or as at the last fixture there, or the only ones."""
    measured = known.tees(course)
    if not measured:
        raise ValueError(f"{course.name} has no tee with its holes written down.")
    if isinstance(told, Mapping) and told:
        return _named_tees(course, told, measured), []
    used = {category: tee for category, tee in known.used(course).items() if category in measured}
    if used:
        shown = ", ".join(f"{category} {tee.name}" for category, tee in sorted(used.items()))
        return used, [f"No tees are named, so they are those played there last: {shown}."]
    if any(len(listed) > 1 for listed in measured.values()):
        names = sorted({tee.name for listed in measured.values() for tee in listed})
        raise ValueError(f"Name the tees of {course.name}: {_or(names, 'or')}.")
    return {category: listed[0] for category, listed in measured.items()}, []


def _named_tees(
    course: Course, told: Mapping[str, str], measured: Mapping[str, Sequence[Tee]]
) -> dict[str, Tee]:
    found: dict[str, Tee] = {}
    for category, name in sorted(told.items()):
        wanted = [category] if category else list(measured)
        fitting = {
            one: tee for one in wanted for tee in measured.get(one, ())
            if tee.name.casefold() == name.casefold()
        }  # fmt: skip
        if not fitting:
            names = sorted({tee.name for one in wanted for tee in measured.get(one, ())})
            whom = f" for {category}" if category else ""
            listed = _suggest(name, names) if names else "None is measured."
            raise ValueError(f"{course.name} has no tee “{name}”{whom}. {listed}")
        found |= fitting
    return found


def _check_standing(fixture: Fixture, old: Plan, new: Plan) -> None:
    """What a list may not change of a fixture that is under way. ValueError with a sentence."""
    before, after = old.values(), new.values()
    differing = {key for key in after if after[key] != before[key]}
    state = FixtureState(fixture.state)
    if not differing:
        return
    if state in ENDED:
        raise ValueError(f"It is {STATE_WORDS[state].lower()} and stands as it is.")
    if "day" in differing and state is not FixtureState.PLANNED:
        raise ValueError(
            f"It stands on {day_of_week(old.day)}, and members may have entered. "
            "Move it to another day on its own page, with a reason."
        )
    fixed = differing & {"course", "tees", "holes", "terms"}
    if fixed and fixture.competitions.filter(frozen_at__isnull=False).exists():
        raise ValueError("Handicaps are taken, so course, tees, holes and terms stand.")


# a calendar written out ---------------------------------------------------------------------


def rows_of(fixtures: Iterable[Fixture]) -> list[dict[str, str]]:
    """Fixtures as cells by column, as they can be read again."""
    return [_row(fixture) for fixture in fixtures]


def _row(fixture: Fixture) -> dict[str, str]:
    plan = plan_of(fixture)
    zone = ZoneInfo(society_zone())

    def moment(at: datetime | None) -> str:
        return f"{at.astimezone(zone):%Y-%m-%d %H:%M}" if at else ""

    digits = MINOR_DIGITS.get(getattr(the_society(), "currency", "GBP"), 2)
    return {
        "day": plan.day.isoformat(),
        "name": plan.name,
        "course": plan.course.name,
        "format": terms_name(plan),
        "holes": plan.holes,
        "tees": "; ".join(f"{category}: {tee.name}" for category, tee in sorted(plan.tees.items())),
        "first_time": f"{plan.first_time:%H:%M}" if plan.first_time else "",
        "interval": str(plan.interval),
        "group_size": str(plan.group_size),
        "start": plan.start or "",
        "places": str(plan.places) if plan.places else "no limit",
        "entries_open_at": moment(plan.entries_open_at),
        "entries_close_at": moment(plan.entries_close_at),
        "fee": "; ".join(_fee(*fee, digits) for fee in plan.fees),
        "guests_welcome": "yes" if plan.guests_welcome else "no",
        "counts_for_merit": "yes" if plan.counts_for_merit else "no",
        "about": plan.about,
    }


def _fee(name: str, amount: int, who: str, digits: int) -> str:
    whole, rest = divmod(amount, 10**digits)
    money = f"{whole}.{rest:0{digits}}" if digits else str(whole)
    return f"{name} {money}" + ("" if who == "everybody" else f" ({who})")
