"""A year's calendar, pasted or copied: a preview of every line, then exactly that or nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from society.desk.actions.calendar import OutOfDate, copy_one, keep_calendar
from society.desk.forms.calendar import CalendarForm, CopyFixtureForm, CopyYearForm, next_year
from society.desk.queries.calendar import Preview, bounded, preview
from society.desk.queries.season import fixtures_of, seasons_to_copy
from society.desk.rules.calendar import COLUMNS, DayOrder
from society.desk.sheets import calendar_text
from society.fixtures.access import fixture_to_run, season_to_read
from society.fixtures.queries import seasons
from society.members.queries import society_day
from society.web import clock, errors
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import BadInput
from society.web.rules import Outcome
from society.web.sheets import Sheet, pack, unpack
from society.web.who import ORGANISERS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from society.fixtures.models import Season
    from society.web.request import Request
    from society.web.rules import SheetLine

# In the order in which they are read: what needs the reader first.
SECTIONS = (
    (Outcome.REFUSED, "Refused, and left out"),
    (Outcome.NEW, "New"),
    (Outcome.CHANGED, "Changed"),
    (Outcome.UNCHANGED, "Unchanged"),
)
READ_BEFORE = Sheet(())  # what is to be said of the file was said when it was read


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def calendar(request: Request, public_id: str) -> HttpResponse:
    """A year pasted from a sheet is read and shown; nothing is saved and nothing is kept."""
    season = season_to_read(request.who, public_id)
    if "lines" in request.POST:
        return _again(request, season)
    sent = request.method == "POST"
    form = CalendarForm(request.POST, request.FILES) if sent else CalendarForm()
    if sent and form.is_valid():
        sheet = form.cleaned_data["sheet"]
        order = DayOrder(form.cleaned_data["order"])
        return _preview(request, season, sheet.lines, order, sheet=sheet)
    return _form(request, season, form, status=form.status if sent else 200)


def _again(request: Request, season: Season) -> HttpResponse:
    """The lines of a preview, read again in another order or back in the box to be changed."""
    try:
        lines = unpack(request.POST["lines"], COLUMNS)
        order = _order(request)
    except (BadInput, ValueError):
        return errors.page(request, 409, "The lines did not arrive whole. Paste the year again.")
    if "change" in request.POST:
        form = CalendarForm(initial={"text": calendar_text(lines), "order": order.value})
        return _form(request, season, form)
    return _preview(request, season, lines, order)


@access(ORGANISERS, "POST")
@require_POST
def calendar_keep(request: Request, public_id: str) -> HttpResponse:
    """What the preview promised is done, if it still is what would happen."""
    season = season_to_read(request.who, public_id)
    try:
        lines = bounded(Sheet(unpack(request.POST.get("lines", ""), COLUMNS))).lines
        order = _order(request)
    except (BadInput, ValueError):
        return errors.page(request, 409, "The lines did not arrive whole. Paste the year again.")
    try:
        tally = keep_calendar(
            season=season,
            lines=lines,
            order=order,
            digest=request.POST.get("digest", ""),
            by=request.who,
            at=clock.now(),
        )
    except OutOfDate as refusal:
        return _preview(request, season, lines, order, refusal=refusal.words, status=409)
    messages.success(request, f"The calendar is kept: {tally.in_words}")
    return redirect("desk:season_of", season.public_id)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def calendar_copy(request: Request, public_id: str) -> HttpResponse:
    """Another season's fixtures, moved by 52 weeks so that the day of the week stays."""
    season = season_to_read(request.who, public_id)
    others = seasons_to_copy(season)
    named = request.GET.get("from", "")
    source = next((one for one in others if one.public_id == named), None) or next(
        iter(others), None
    )
    fixtures = fixtures_of(source) if source else []
    form = CopyYearForm(request.POST or None, source=fixtures, season=season)
    if request.method == "POST" and form.is_valid():
        if lines := form.lines():
            return _preview(request, season, lines, DayOrder.UNSAID)
        form.add_error(None, "Tick at least one fixture.")
    context = {"season": season, "source": source, "others": others, "form": form}
    status = 422 if form.is_bound and form.errors else 200
    return show(request, "desk/calendar_copy.html", context, status=status)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def fixture_copy(request: Request, public_id: str) -> HttpResponse:
    """One fixture copied to another day, with everything that was set for it."""
    found = fixture_to_run(request.who, public_id)
    listed = seasons()
    day = next_year(found.starts_on)
    fitting = next((one for one in listed if one.starts_on <= day <= one.ends_on), found.season)
    form = CopyFixtureForm(
        request.POST or None,
        seasons=listed,
        initial={"name": found.name, "day": day, "season": fitting.public_id},
    )
    if request.method == "POST" and form.is_valid():
        try:
            made = copy_one(fixture=found, **form.cleaned_data, by=request.who, at=clock.now())
        except BadInput as refusal:
            say_refused(form, refusal)
        else:
            messages.success(request, f"{made.name} is planned. Members do not see entries yet.")
            return redirect("desk:steps", made.public_id)
    context = {"fixture": found, "form": form}
    status = 422 if form.is_bound and form.errors else 200
    return show(request, "desk/fixture_copy.html", context, status=status)


def _order(request: Request) -> DayOrder:
    return DayOrder(request.POST.get("order", ""))


def _form(
    request: Request, season: Season, form: CalendarForm, *, status: int = 200
) -> HttpResponse:
    context = {"season": season, "form": form, "others": seasons_to_copy(season)}
    return show(request, "desk/calendar.html", context, status=status)


def _preview(
    request: Request,
    season: Season,
    lines: Sequence[SheetLine],
    order: DayOrder,
    *,
    sheet: Sheet = READ_BEFORE,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    """The preview page of a calendar."""
    shown = preview(lines, season, society_day(clock.now()), order)
    context = {
        "season": season,
        "shown": shown,
        "sections": _sections(shown),
        "figures": [
            {"value": len(shown.of(outcome)), "words": outcome.value, "act": False}
            for outcome, _ in SECTIONS
        ],
        "left_out": sheet.left_out,
        "note": sheet.note,
        "lines": pack(shown.lines),
        "nothing": not shown.of(Outcome.NEW) and not shown.of(Outcome.CHANGED),
        "refusal": refusal,
    }
    return show(request, "desk/calendar_preview.html", context, status=status)


def _sections(shown: Preview) -> list[dict[str, object]]:
    return [
        {"title": title, "outcome": outcome.value, "rows": shown.of(outcome)}
        for outcome, title in SECTIONS
        if shown.of(outcome)
    ]
