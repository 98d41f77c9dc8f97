"""Importing a list of players: a file, a preview of every line, then exactly that or nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from society.desk.actions.importing import (
    MOST_QUESTIONS,
    OutOfDate,
    Unanswered,
    import_players,
)
from society.desk.forms.importing import (
    ColumnsForm,
    HandicapListForm,
    ListSaid,
    filled,
    style_of,
    understood,
)
from society.desk.queries.importing import Preview, preview, usual_source
from society.handicaps.rules.figure_promises import FAR
from society.handicaps.rules.promises import COLUMNS, HANDICAP_COLUMNS, HANDICAPS
from society.members.queries import society_day
from society.web import clock, errors
from society.web.access import access
from society.web.forms import FileForm
from society.web.pages import show
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.rules import Outcome
from society.web.sheets import Sheet, pack, read_rows, unpack, unpack_rows
from society.web.who import HANDICAPPERS, KEEPERS

# In the order in which they are read: what needs the reader first.
SECTIONS = (
    (Outcome.ASKS, "Needs your choice", False),
    (Outcome.REFUSED, "Refused, and left out", False),
    (Outcome.CHANGED, f"Changed by more than {FAR}", True),
    (Outcome.NEW, "New", False),
    (Outcome.CHANGED, "Changed", False),
    (Outcome.UNCHANGED, "Unchanged", False),
)

READ_BEFORE = Sheet(())  # what is to be said of the file was said when it was read


@dataclass(frozen=True, slots=True)
class Kind:
    """What is imported: the columns of its file, its pages, and how it is called."""

    title: str
    columns: Mapping[str, Sequence[str]]
    page: str
    keep: str
    template: str
    handicaps_alone: bool = False


PLAYERS = Kind(
    "Import a list of players",
    COLUMNS,
    "desk:players_import",
    "desk:players_import_keep",
    "desk/players_import.html",
)
FIGURES = Kind(
    "Import handicaps",
    HANDICAP_COLUMNS,
    "desk:handicaps_import",
    "desk:handicaps_import_keep",
    "desk/handicaps_import.html",
    handicaps_alone=True,
)


@access(KEEPERS, "GET", "POST")
def players_import(request: Request) -> HttpResponse:
    """A list of players is read and shown; nothing is saved and nothing is kept."""
    return _read(request, PLAYERS)


@access(KEEPERS, "POST")
def players_import_keep(request: Request) -> HttpResponse:
    """What the preview promised is done, if it still is what would happen."""
    return _keep(request, PLAYERS)


@access(HANDICAPPERS, "GET", "POST")
def handicaps_import(request: Request) -> HttpResponse:
    """A list of handicaps is read and shown, or its columns are asked about; nothing is saved."""
    sent = request.method == "POST"
    today = society_day(clock.now())
    if not sent:
        return _ask_for_list(request, HandicapListForm(today=today, usual=usual_source(today)))
    form = HandicapListForm(request.POST, request.FILES, today=today, usual=usual_source(today))
    rows = form.rows()
    if rows is None:
        return _ask_for_list(request, form)
    said = form.said()
    if form.cleaned_data["choose"] or not understood(rows[0][1]):
        return _ask_for_columns(request, ColumnsForm(rows=rows, initial=said), note=form.note)
    try:
        sheet = replace(read_rows(rows, HANDICAP_COLUMNS, HANDICAPS), note=form.note)
    except BadInput as refusal:
        form.add_error("file", refusal.words)
        form.status = refusal.status
        return _ask_for_list(request, form)
    return _show_list(request, sheet, said)


@access(HANDICAPPERS, "POST")
def handicaps_import_columns(request: Request) -> HttpResponse:
    """The same list again, with which column is what; nothing is saved and nothing is kept."""
    try:
        rows = unpack_rows(request.POST.get("rows", ""))
    except BadInput as refusal:
        return errors.page(request, 409, refusal.words)
    form = ColumnsForm(request.POST, rows=rows)
    sheet = form.sheet()
    if sheet is None:
        return _ask_for_columns(request, form)
    return _show_list(request, sheet, form.said())


@access(HANDICAPPERS, "POST")
def handicaps_import_keep(request: Request) -> HttpResponse:
    """What the preview promised is done, if it still is what would happen."""
    return _keep(request, FIGURES)


def _ask_for_list(request: Request, form: HandicapListForm) -> HttpResponse:
    return show(request, FIGURES.template, {"form": form}, status=form.status)


def _ask_for_columns(request: Request, form: ColumnsForm, *, note: str = "") -> HttpResponse:
    context = {"form": form, "lines": len(form.rows) - 1, "note": note}
    return show(request, "desk/handicaps_columns.html", context, status=form.status)


def _show_list(request: Request, sheet: Sheet, said: ListSaid) -> HttpResponse:
    lines = filled(sheet.lines, said)
    style = style_of(said["order"])
    shown = preview(lines, society_day(clock.now()), handicaps_alone=True, style=style)
    return _show(request, FIGURES, shown, sheet=sheet, order=said["order"])


def _read(request: Request, kind: Kind) -> HttpResponse:
    sent = request.method == "POST"
    form = FileForm(request.POST, request.FILES) if sent else FileForm()
    if sheet := form.sheet(kind.columns, (), HANDICAPS):
        today = society_day(clock.now())
        shown = preview(sheet.lines, today, handicaps_alone=kind.handicaps_alone)
        return _show(request, kind, shown, sheet=sheet)
    context = {
        "form": form,
        "columns": {key: names[0] for key, names in COLUMNS.items()},
        "usual": usual_source(society_day(clock.now())).value,
    }
    return show(request, kind.template, context, status=form.status)


def _keep(request: Request, kind: Kind) -> HttpResponse:
    try:
        lines = unpack(request.POST.get("lines", ""), kind.columns)
    except BadInput as refusal:
        return errors.page(request, 409, refusal.words)
    now = clock.now()
    order = request.POST.get("order", "")
    style = style_of(order)
    choices = {
        line.number: answer
        for line in lines
        if (answer := request.POST.get(f"choice-{line.number}"))
    }
    try:
        tally = import_players(
            lines=lines,
            digest=request.POST.get("digest", ""),
            choices=choices,
            handicaps_alone=kind.handicaps_alone,
            style=style,
            by=request.who,
            at=now,
        )
    except (OutOfDate, Unanswered) as refusal:
        wrong = refusal.lines if isinstance(refusal, Unanswered) else {}
        alone = kind.handicaps_alone
        shown = preview(lines, society_day(now), handicaps_alone=alone, style=style)
        return _show(
            request,
            kind,
            shown,
            order=order,
            choices=choices,
            wrong=wrong,
            refusal=refusal.words,
            status=refusal.status,
        )
    messages.success(request, f"The list is imported: {tally.in_words}")
    return redirect("desk:players")


def _show(
    request: Request,
    kind: Kind,
    shown: Preview,
    *,
    sheet: Sheet = READ_BEFORE,
    order: str = "",
    choices: Mapping[int, str] | None = None,
    wrong: Mapping[int, str] | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    """The preview page, with the answers given so far."""
    given, faults = choices or {}, wrong or {}
    sections = [
        {
            "title": title,
            "asks": outcome is Outcome.ASKS,
            "look": large,
            "quiet": outcome is Outcome.UNCHANGED,
            "rows": [
                {"promise": one, "chosen": given.get(one.line), "wrong": faults.get(one.line)}
                for one in shown.of(outcome)
                if one.large is large
            ],
        }
        for outcome, title, large in SECTIONS
        if any(one.large is large for one in shown.of(outcome))
    ]
    figures = [
        {"value": len(shown.of(outcome)), "words": outcome.value, "act": outcome is Outcome.ASKS}
        for outcome in dict.fromkeys(outcome for outcome, _, _ in SECTIONS)
    ]
    names = {one.line: one.name for one in shown.promises}
    context = {
        "title": kind.title,
        "page": reverse(kind.page),
        "keep": reverse(kind.keep),
        "sections": sections,
        "figures": figures,
        "left_out": sheet.left_out,
        "note": sheet.note,
        "kept_as": shown.kept_as,
        "lines": pack(shown.lines),
        "digest": shown.digest,
        "order": order,
        "unchanged": len(shown.of(Outcome.UNCHANGED)),
        "too_many": len(shown.of(Outcome.ASKS)) > MOST_QUESTIONS,
        "nothing": not any(map(shown.of, (Outcome.ASKS, Outcome.NEW, Outcome.CHANGED))),
        "refusal": refusal,
        "problems": [
            {"label": f"Line {line}, {names[line]}", "words": words, "href": f"#choice-{line}"}
            for line, words in faults.items()
        ],
    }
    return show(request, "desk/players_preview.html", context, status=status)
