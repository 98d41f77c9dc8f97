"""A final result opened again and sealed again, and its versions side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from scoring.cards.access import card_to_handle
from scoring.cards.forms import read_uuid
from scoring.cards.views.pages import card_page
from scoring.results.access import result_to_read
from scoring.results.actions.ruling import take_held as take_held_card
from scoring.results.queries.standings import Standing
from scoring.results.queries.versions import versions_shown
from scoring.results.tables.board import board_of
from society.desk.actions import reopening
from society.desk.forms.final import FinalForm
from society.desk.forms.reopening import ReopenForm
from society.desk.queries import reopening as queries
from society.desk.queries.final import readiness_of
from society.desk.queries.nav import fixture_links
from society.fixtures.access import fixture_to_run
from society.fixtures.queries import the_round
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import done, show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.who import ORGANISERS, SCORERS

if TYPE_CHECKING:
    from scoring.results.tables.changes import Changed
    from society.fixtures.models import Fixture


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def reopen(request: Request, public_id: str) -> HttpResponse:
    """Open a final result again; once it is open, all that is needed to seal it again."""
    fixture = fixture_to_run(request.who, public_id)
    if request.method != "POST":
        return _page(request, fixture)
    form = ReopenForm(request.POST)
    if not form.is_valid():
        return _page(request, fixture, form=form, status=422)
    try:
        is_open = reopening.ask_to_reopen(
            fixture=fixture, **form.cleaned_data, by=request.who, at=clock.now()
        )
    except NotYours:
        raise
    except Refusal as refused:
        return _page(request, fixture, form=form, refusal=refused.words, status=refused.status)
    words = "The result is open. The version that stands is shown until you seal the next one."
    waits = "Your wish is kept. The result is opened once another officer has agreed."
    messages.success(request, words if is_open else waits)
    return redirect("desk:reopen", public_id)


@access(ORGANISERS, "POST")
@require_POST
def reopen_answer(request: Request, public_id: str) -> HttpResponse:
    """Another officer agrees; or either of them drops it."""
    agree = bool(request.POST.get("agree"))
    return done(
        request,
        reopening.answer_reopening,
        fixture=fixture_to_run(request.who, public_id),
        agree=agree,
        words=request.POST.get("words", "")[:200],
        to=reverse("desk:reopen", args=[public_id]),
        said="The result is open." if agree else "Dropped: the result stays as it is.",
    )


@access(ORGANISERS, "POST")
@require_POST
def seal_again(request: Request, public_id: str) -> HttpResponse:
    """Seal the next version, with a ruling for each card still open."""
    fixture = fixture_to_run(request.who, public_id)
    form = FinalForm(request.POST, ready=readiness_of(fixture, request.who, clock.now()))
    if not form.is_valid():
        return _page(request, fixture, final=form, status=422)
    try:
        versions = reopening.seal_again(
            fixture=fixture, **form.as_rulings(), by=request.who, at=clock.now()
        )
    except NotYours:
        raise
    except Refusal as refused:
        return _page(request, fixture, final=form, refusal=refused.words, status=refused.status)
    if versions is None:
        words = "Your agreement is kept. It is sealed once another officer has agreed to the same."
        messages.success(request, words)
        return redirect("desk:reopen", public_id)
    if not versions:
        words = "Nothing was changed, so the version that stood stands. The result is final again."
        messages.success(request, words)
        return redirect("results:show", public_id)
    first = versions[0]
    messages.success(
        request,
        f"Version {first.number} is sealed, fingerprint {first.fingerprint}. Whoever gains or "
        "loses is told by letter; a text for the notice board stands below.",
    )
    address = first.competition.address
    return redirect("desk:result_version", address, first.number)


def _page(
    request: Request,
    fixture: Fixture,
    *,
    form: ReopenForm | None = None,
    final: FinalForm | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    now = queries.open_again(fixture)
    ready = readiness_of(fixture, request.who, clock.now()) if now.is_open else None
    context = {
        "fixture": fixture,
        "round": the_round(fixture),
        "now": now,
        "mine": now.asked is not None and reopening.asked_by(now.asked.row, request.who),
        "reopen_form": form or ReopenForm(),
        "form": final or (FinalForm(ready=ready) if ready else form),
        "ready": ready,
        "refusal": refusal,
        "links": fixture_links(fixture, request.who, "desk:reopen"),
    }
    return show(request, "desk/reopen.html", context, status=status)


@access(SCORERS, "POST")
@require_POST
def take_held(request: Request, public_id: str) -> HttpResponse:
    """Take figures kept beside a card; a *no return* of that card goes with it."""
    start = card_to_handle(request.who, public_id)
    try:
        take_held_card(
            start=start,
            uuid=read_uuid(request.POST.get("held", "")),
            words=request.POST.get("words", "")[:1000],
            witness=request.POST.get("witness", "")[:200],
            by=request.who,
            at=clock.now(),
        )
    except (Missing, NotYours):
        raise
    except Refusal as refused:
        return card_page(request, start, refusal=refused.words, status=refused.status)
    messages.success(request, "The figures are taken; they stand on the card now.")
    return redirect("cards:show", public_id)


# versions ------------------------------------------------------------------------------------


@access(SIGNED_IN, "GET")
@require_safe
def result_version(request: Request, public_id: str, number: int) -> HttpResponse:
    """One version as it was sealed, with what it changed: for whoever may read the result."""
    competition = result_to_read(request.who, public_id)
    found = queries.version_compared(competition, number)
    if found is None:
        raise Missing("There is no such version of this result.")
    now, changed = found
    versions = versions_shown(now)
    context = {
        "fixture": competition.fixture,
        "competition": competition,
        "standing": now,
        "board": board_of(now, request.who.players),
        "changed": changed,
        "changed_from": number - 1,
        "version": next(one for one in versions if one.number == number),
        "versions": versions,
        "latest": versions[0].number,
        "notice": _notice(request, now, changed),
        "may_rule": request.who.may(ORGANISERS),
        "may_score": request.who.may(SCORERS),
    }
    return show(request, "desk/result_version.html", context)


def _notice(request: Request, now: Standing, changed: list[Changed]) -> str:
    """The text for the notice board, for those who run the day."""
    return queries.notice_of_version(now, changed) if request.who.may(ORGANISERS) else ""
