"""The courses: listed, shown, kept by form or by file, retired."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from society.courses import actions, queries
from society.courses.access import course_to_read, course_to_run
from society.courses.bridge import data_of
from society.courses.forms import CoursePage
from society.courses.queries import Preview, card_tables, preview
from society.courses.rules import COLUMNS, NEEDED
from society.web import clock, errors
from society.web.access import SIGNED_IN, access
from society.web.forms import FileForm
from society.web.pages import done, show
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.rules import Outcome
from society.web.sheets import Sheet, pack, unpack
from society.web.who import KEEPERS

SECTIONS = (
    (Outcome.REFUSED, "Refused, and left out"),
    (Outcome.NEW, "New"),
    (Outcome.CHANGED, "Changed"),
    (Outcome.UNCHANGED, "Unchanged"),
)
READ_BEFORE = Sheet(())  # what is to be said of the file was said when it was read


@access(SIGNED_IN, "GET")
def index(request: Request) -> HttpResponse:
    context = {"courses": queries.listed_courses(), "keeps": request.who.may(KEEPERS)}
    return show(request, "courses/index.html", context)


@access(SIGNED_IN, "GET")
def show_course(request: Request, public_id: str) -> HttpResponse:
    course = course_to_read(request.who, public_id)
    context = {
        "course": course,
        "cards": card_tables(course, timezone.localdate(clock.now())),
        "keeps": request.who.may(KEEPERS),
    }
    return show(request, "courses/show.html", context)


@access(KEEPERS, "GET", "POST")
def new(request: Request) -> HttpResponse:
    return _form(request, None)


@access(KEEPERS, "GET", "POST")
def change(request: Request, public_id: str) -> HttpResponse:
    return _form(request, public_id)


def _form(request: Request, public_id: str | None) -> HttpResponse:
    """One page for a new course and for a change; "more" only adds a block to it."""
    course = course_to_run(request.who, public_id) if public_id else None
    now = clock.now()
    page = CoursePage(
        request.POST if request.method == "POST" else None,
        kept=data_of(course) if course else None,
        today=timezone.localdate(now),
    )
    refusal = ""
    if page.is_bound and page.is_valid():
        try:
            kept = actions.keep_course(data=page.data(), course=course, by=request.who, at=now)
        except BadInput as wrong:
            if wrong.field in page.course.fields:
                page.course.add_error(wrong.field, wrong.words)
            else:
                refusal = wrong.words
        else:
            messages.success(request, f"{kept.name} is kept.")
            return redirect("courses:show", kept.public_id)
    page.mark_needed()
    context = {
        "page": page,
        "form": page.course,
        "problems": page.problems(),
        "refusal": refusal,
        "course": course,
    }
    return show(request, "courses/form.html", context, status=422 if page.is_bound else 200)


@access(KEEPERS, "POST")
def retire(request: Request, public_id: str) -> HttpResponse:
    """Out of use for new fixtures, or back into use."""
    course = course_to_run(request.who, public_id)
    retired = request.POST.get("retired") != "0"
    return done(
        request,
        actions.set_retired,
        course=course,
        retired=retired,
        to=reverse("courses:show", args=[course.public_id]),
        said=f"{course.name} is {'retired' if retired else 'in use again'}.",
    )


@access(KEEPERS, "GET", "POST")
def import_file(request: Request) -> HttpResponse:
    """The file is read and shown; nothing is saved and nothing is kept."""
    sent = request.method == "POST"
    form = FileForm(request.POST, request.FILES) if sent else FileForm()
    if sheet := form.sheet(COLUMNS, NEEDED):
        shown = preview(sheet.lines, timezone.localdate(clock.now()))
        return _preview(request, shown, sheet=sheet)
    return show(request, "courses/import.html", {"form": form}, status=form.status)


@access(KEEPERS, "POST")
def import_keep(request: Request) -> HttpResponse:
    """What the preview promised is done, if it still is what would happen."""
    now = clock.now()
    try:
        lines = unpack(request.POST.get("lines", ""), COLUMNS)
    except BadInput as refusal:
        return errors.page(request, 409, refusal.words)
    try:
        digest = request.POST.get("digest", "")
        kept = actions.import_courses(lines=lines, digest=digest, by=request.who, at=now)
    except actions.OutOfDate as refusal:
        shown = preview(lines, timezone.localdate(now))
        return _preview(request, shown, refusal=refusal.words, status=409)
    count = f"{len(kept)} {'course' if len(kept) == 1 else 'courses'}"
    messages.success(request, f"The file is imported: {count} kept.")
    return redirect("courses:index")


def _preview(
    request: Request,
    shown: Preview,
    *,
    sheet: Sheet = READ_BEFORE,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "sections": [
            (title, shown.of(outcome)) for outcome, title in SECTIONS if shown.of(outcome)
        ],
        "left_out": sheet.left_out,
        "note": sheet.note,
        "lines": pack(shown.lines),
        "digest": shown.digest,
        "nothing": not (shown.of(Outcome.NEW) or shown.of(Outcome.CHANGED)),
        "refusal": refusal,
    }
    return show(request, "courses/preview.html", context, status=status)
