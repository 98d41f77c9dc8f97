"""Cuts that a final result proposes, and the handicap secretary's word on them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from society.desk.forms.proposals import AnswerForm
from society.desk.queries.cuts import CutsPage, cuts_page
from society.desk.queries.nav import fixture_links
from society.fixtures.access import fixture_to_read
from society.fixtures.queries import the_competition, the_round
from society.handicaps.actions.cuts import answer_proposals
from society.members.queries import another_holds
from society.web import clock
from society.web.access import access
from society.web.pages import show
from society.web.refusals import NotYours, Refusal
from society.web.request import Request
from society.web.who import HANDICAPPERS

if TYPE_CHECKING:
    from society.fixtures.models import Fixture

NOTHING_WRONG: Mapping[str, str] = MappingProxyType({})
_BOXES = frozenset({"new", "words", "witness"})  # of one row


@access(HANDICAPPERS, "GET")
@require_safe
def proposals(request: Request, public_id: str) -> HttpResponse:
    """Each player, old and new figure, the sentence; what was answered and what fell away."""
    return _page(request, fixture_to_read(request.who, public_id))


@access(HANDICAPPERS, "POST")
@require_POST
def answer(request: Request, public_id: str) -> HttpResponse:
    """Confirm those ticked, or change or leave one with a reason."""
    fixture = fixture_to_read(request.who, public_id)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        wrong = {name: " ".join(map(str, errors)) for name, errors in form.errors.items()}
        return _page(request, fixture, wrong, 422)
    try:
        made = answer_proposals(
            event=the_competition(fixture).public_id,
            decisions=form.decisions(),
            witness=form.cleaned_data["witness"],
            by=request.who,
            at=clock.now(),
        )
    except NotYours:
        raise
    except Refusal as refused:
        return _page(request, fixture, {refused.field or "": refused.words}, refused.status)
    moved = sum(one.cut is not None for one in made)
    messages.success(request, _said(moved))
    return redirect(reverse("desk:proposals", args=[public_id]))


def _said(moved: int) -> str:
    if not moved:
        return "Left as it was; the reason is kept."
    if moved == 1:
        return "One handicap is changed. The player is told by letter."
    return f"{moved} handicaps are changed. The players are told by letter."


def _problems(
    request: Request, page: CutsPage, wrong: Mapping[str, str]
) -> tuple[str, list[dict[str, str]]]:
    """What is wrong, in one sentence, or each linked to its box where the row has one."""
    one = request.POST.get("one")
    if one not in {row.id for row in page.waiting} or not _BOXES.issuperset(wrong):
        return " ".join(wrong.values()), []
    return "", [{"words": words, "href": f"#{name}-{one}"} for name, words in wrong.items()]


def _page(
    request: Request, fixture: Fixture, wrong: Mapping[str, str] = NOTHING_WRONG, status: int = 200
) -> HttpResponse:
    competition = the_competition(fixture)
    page = cuts_page(fixture, competition, request.who)
    refusal, problems = _problems(request, page, wrong)
    # The form of one row carries no ticks; they are then as the page first has them.
    ticks = bool(wrong) and "one" not in request.POST
    context = {
        "fixture": fixture,
        "round": the_round(fixture),
        "page": page,
        "form": None,
        "refusal": refusal,
        "problems": problems,
        "wrong": wrong,
        "ticked": request.POST.getlist("tick") if ticks else None,
        "one": request.POST.get("one", "")[:40],
        "new": request.POST.get("new", "")[:10],
        "words": request.POST.get("words", "")[:500],
        "may_own": page.mine and not another_holds(HANDICAPPERS, request.who, clock.now()),
        "links": fixture_links(fixture, request.who, "desk:proposals"),
    }
    return show(request, "desk/proposals.html", context, status=status)
