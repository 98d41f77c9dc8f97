"""Handicaps of a fixture: what everyone plays off, who lacks one, taking, putting right."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from society.desk.forms.handicaps import (
    CorrectForm,
    CourseCardsForm,
    GiveForm,
    ReferenceParForm,
    TeeForm,
)
from society.desk.queries.handicaps import HandicapsPage, Row, handicaps_page
from society.desk.queries.nav import fixture_links
from society.entries.access import entry_to_run, start_to_run
from society.entries.actions.course_cards import correct_course_cards
from society.entries.actions.freezing import (
    Taken,
    choose_tee,
    correct_frozen,
    give_handicap,
    set_reference_par,
    take_handicaps,
)
from society.fixtures.access import fixture_to_read, fixture_to_run
from society.handicaps.rules.figures import KIND_NAMES
from society.members.queries import another_holds
from society.web import clock
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import done, show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.templatetags.look import count_of
from society.web.who import HANDICAPPERS, ORGANISERS

if TYPE_CHECKING:
    from society.entries.models import Entry

LONGEST_WHY = 200  # letters of a reason


@access(ORGANISERS | HANDICAPPERS, "GET")
@require_safe
def handicaps(request: Request, public_id: str) -> HttpResponse:
    """Everyone with figure, source and date, and what it gives here.

    `?entry=` opens one for an organiser; whoever keeps the records reads.
    """
    fixture = fixture_to_read(request.who, public_id)
    page = handicaps_page(fixture)
    asked = request.GET.get("entry") if request.who.may(ORGANISERS) else None
    row = _row(page, asked) if asked else None
    alone = row is not None and _own_and_alone(request, row.entry)
    form = _form_for(page, row, alone=alone)
    if row and row.now and isinstance(form, CorrectForm) and request.GET.get("now"):
        words = row.moved if len(row.moved) <= LONGEST_WHY else "The record says otherwise now."
        form.initial.update(value=row.now, reason_class="wrong handicap", words=words)
    return _show(request, fixture, page, row, form)


@access(ORGANISERS, "POST")
@require_POST
def handicaps_take(request: Request, public_id: str) -> HttpResponse:
    fixture = fixture_to_run(request.who, public_id)
    return done(
        request,
        take_handicaps,
        to=reverse("desk:handicaps", args=[public_id]),
        said=_taken,
        fixture=fixture,
    )


@access(ORGANISERS, "POST")
@require_POST
def handicap_give(request: Request, public_id: str, entry_id: str) -> HttpResponse:
    """Type the figure of somebody who lacks one."""
    fixture = fixture_to_run(request.who, public_id)
    entry = entry_to_run(request.who, fixture, entry_id)
    page = handicaps_page(fixture)
    kind = _row(page, entry_id).wanted
    form = GiveForm(request.POST, kind=kind)
    kept = f"{entry.player.name}: the {KIND_NAMES[kind]} is kept."
    return _change(
        request,
        fixture,
        page,
        entry_id,
        form,
        give_handicap,
        said=lambda _: kept,
        entry=entry,
        kind=kind,
    )


@access(ORGANISERS, "POST")
@require_POST
def handicap_tee(request: Request, public_id: str, entry_id: str) -> HttpResponse:
    """Another tee for one player, before handicaps are taken."""
    fixture = fixture_to_run(request.who, public_id)
    entry = entry_to_run(request.who, fixture, entry_id)
    page = handicaps_page(fixture)
    form = TeeForm(request.POST, tees=page.tees)
    return _change(request, fixture, page, entry_id, form, choose_tee, entry=entry)


@access(ORGANISERS, "POST")
@require_POST
def handicap_correct(request: Request, public_id: str, entry_id: str) -> HttpResponse:
    """Put a frozen figure or tee right, with a reason."""
    fixture = fixture_to_run(request.who, public_id)
    start = start_to_run(request.who, fixture, entry_id)
    page = handicaps_page(fixture)
    alone = _own_and_alone(request, start.entry)
    form = CorrectForm(request.POST, kind=page.kind_of(entry_id), tees=page.tees, alone=alone)
    return _change(request, fixture, page, entry_id, form, correct_frozen, start=start)


@access(ORGANISERS, "POST")
@require_POST
def reference_par(request: Request, public_id: str) -> HttpResponse:
    fixture = fixture_to_run(request.who, public_id)
    page = handicaps_page(fixture)
    form = ReferenceParForm(request.POST)
    return _change(
        request,
        fixture,
        page,
        "",
        form,
        set_reference_par,
        said=lambda moved: f"The reference par is set; {count_of(moved, 'figure,figures')} moved.",
        fixture=fixture,
    )


@access(ORGANISERS, "POST")
@require_POST
def course_cards(request: Request, public_id: str) -> HttpResponse:
    """Take over the cards of the course again, where they were wrong."""
    fixture = fixture_to_run(request.who, public_id)
    return _change(
        request,
        fixture,
        handicaps_page(fixture),
        "",
        CourseCardsForm(request.POST),
        correct_course_cards,
        said=lambda made: f"{count_of(len(made), 'card,cards')} of the course taken over again.",
        fixture=fixture,
    )


def _change(
    request: Request,
    fixture: Any,
    page: HandicapsPage,
    entry_id: str,
    form: forms.Form,
    action: Callable[..., object],
    /,
    said: Callable[[Any], str] | None = None,
    **values: object,
) -> HttpResponse:
    """Check, do one deed, go back to the list; a refusal stands on the form it came from."""
    status = 422
    if form.is_valid():
        try:
            outcome = action(
                by=request.who,
                at=clock.now(),
                **values,
                **form.cleaned_data,
            )
        except (Missing, NotYours):
            raise
        except Refusal as refusal:
            say_refused(form, refusal)
            status = refusal.status
        else:
            messages.success(request, said(outcome) if said else "Kept.")
            return redirect("desk:handicaps", fixture.public_id)
    row = _row(page, entry_id) if entry_id else None
    return _show(request, fixture, page, row, form, status=status)


def _show(
    request: Request,
    fixture: Any,
    page: HandicapsPage,
    row: Row | None,
    form: forms.Form | None,
    status: int = 200,
) -> HttpResponse:
    is_reference = isinstance(form, ReferenceParForm)
    is_cards = isinstance(form, CourseCardsForm)
    context = {
        "fixture": fixture,
        "page": page,
        "organises": request.who.may(ORGANISERS),
        "changes": page.open and request.who.may(ORGANISERS),
        "links": fixture_links(fixture, request.who, "desk:handicaps"),
        "row": row,
        "form": None if is_reference or is_cards else form,
        "action": _address(fixture.public_id, row, form),
        "reference": form if is_reference else ReferenceParForm(),
        "cards": form if is_cards else CourseCardsForm(auto_id="id_card_%s"),
        "wrong": form,
    }
    return show(request, "desk/handicaps.html", context, status=status)


def _address(public_id: str, row: Row | None, form: forms.Form | None) -> str:
    names: dict[type, str] = {
        GiveForm: "desk:handicap_give",
        TeeForm: "desk:handicap_tee",
        CorrectForm: "desk:handicap_correct",
    }
    if row is None or type(form) not in names:
        return ""
    return reverse(names[type(form)], args=[public_id, row.entry.public_id])


def _row(page: HandicapsPage, entry_id: str) -> Row:
    for row in (*page.missing, *page.rows):
        if row.entry.public_id == entry_id:
            return row
    raise Missing("There is no such entry in this fixture.")


def _form_for(page: HandicapsPage, row: Row | None, *, alone: bool) -> forms.Form | None:
    """The one form that fits how the row stands: put right, type a figure, or choose a tee."""
    if row is None or not page.open:
        return None
    if row.taken:
        return CorrectForm(
            kind=page.kind_of(row.entry.public_id),
            tees=page.tees,
            alone=alone,
            initial={"value": row.figure, "tee": row.tee_id},
        )
    if row.needs_figure:
        return GiveForm(kind=row.wanted, initial={"source": "committee"})
    return TeeForm(tees=page.tees, initial={"tee": row.tee_id})


def _own_and_alone(request: Request, entry: Entry) -> bool:
    """Whether it is this officer's own handicap and nobody else could put it right."""
    own = request.who.is_player(entry.player.public_id)
    return own and not another_holds(ORGANISERS, request.who, clock.now())


def _taken(outcome: object) -> str:
    if not isinstance(outcome, Taken):
        return ""
    said = f"{count_of(len(outcome.taken), 'handicap,handicaps')} taken."
    if outcome.lacking:
        said += f" {count_of(len(outcome.lacking), 'player,players')} still without one."
    return said
