"""The draw of a fixture: made, changed by hand, published; and what members see of it."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from society.desk.actions.drawing import draw_fixture, withdraw_draw
from society.desk.forms.draw import MakeDrawForm, MoveForm, SwapForm, WithdrawDrawForm
from society.desk.queries.draw import draw_page, picked_players
from society.desk.queries.drawing import draw_choices
from society.desk.queries.letters import draw_post
from society.desk.queries.nav import fixture_links
from society.entries.access import entry_to_run
from society.entries.actions import drawing
from society.fixtures.access import fixture_to_read, fixture_to_run
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.forms import say_refused
from society.web.pages import done, show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.who import ORGANISERS


@access(SIGNED_IN, "GET")
@require_safe
def draw(request: Request, public_id: str) -> HttpResponse:
    """Groups, times and markers; for the organiser everything that can be done with them.

    `?pick=` names the players ticked: one to be moved, two to be swapped. `?repeat=1` draws once
    more from what the draw was made from, and says whether the groups are the same.
    """
    fixture = fixture_to_read(request.who, public_id)
    return _show(request, fixture, request.GET.getlist("pick"), repeats="repeat" in request.GET)


@access(ORGANISERS, "POST")
@require_POST
def draw_make(request: Request, public_id: str) -> HttpResponse:
    """Draw, or draw afresh; nothing is published by it."""
    fixture = fixture_to_run(request.who, public_id)
    choices = draw_choices(fixture, None)
    form, status = MakeDrawForm(request.POST, choices=choices), 422
    if form.is_valid():
        try:
            draw_fixture(fixture=fixture, by=request.who, at=clock.now(), **form.cleaned_data)
        except (Missing, NotYours):
            raise
        except Refusal as refusal:
            say_refused(form, refusal)
            status = refusal.status
        else:
            return _back(public_id)
    return _show(request, fixture, (), make=form, status=status)


@access(ORGANISERS, "POST")
@require_POST
def draw_swap(request: Request, public_id: str) -> HttpResponse:
    """Swap the two players that the page named."""
    fixture = fixture_to_run(request.who, public_id)
    one, other = (
        entry_to_run(request.who, fixture, request.POST.get(name, "")) for name in ("one", "other")
    )
    return done(
        request,
        drawing.swap,
        to=reverse("desk:draw", args=[public_id]),
        said=_words,
        fixture=fixture,
        one=one,
        other=other,
        words=request.POST.get("words", "")[:200],
    )


@access(ORGANISERS, "POST")
@require_POST
def draw_move(request: Request, public_id: str, entry_id: str) -> HttpResponse:
    """Put a player into a group with room: left alone, or come in late."""
    fixture = fixture_to_run(request.who, public_id)
    to = request.POST.get("to", "")
    return done(
        request,
        drawing.move_to_group,
        to=reverse("desk:draw", args=[public_id]),
        said=_words,
        entry=entry_to_run(request.who, fixture, entry_id),
        group=int(to) if to.isdecimal() and len(to) < 6 else 0,
        words=request.POST.get("words", "")[:200],
    )


@access(ORGANISERS, "POST")
@require_POST
def draw_undo(request: Request, public_id: str, number: int) -> HttpResponse:
    return done(
        request,
        drawing.undo,
        to=reverse("desk:draw", args=[public_id]),
        said=_words,
        fixture=fixture_to_run(request.who, public_id),
        number=number,
    )


@access(ORGANISERS, "POST")
@require_POST
def draw_publish(request: Request, public_id: str) -> HttpResponse:
    return done(
        request,
        drawing.publish_draw,
        to=reverse("desk:draw", args=[public_id]),
        said="The draw is published: everyone who signs in sees it.",
        fixture=fixture_to_run(request.who, public_id),
    )


@access(ORGANISERS, "POST")
@require_POST
def draw_withdraw(request: Request, public_id: str) -> HttpResponse:
    """Take the published draw back, with a reason."""
    fixture = fixture_to_run(request.who, public_id)
    form = WithdrawDrawForm(request.POST)
    if not form.is_valid():
        return _show(request, fixture, (), withdraw=form, status=422)
    return done(
        request,
        withdraw_draw,
        to=reverse("desk:draw", args=[public_id]),
        said="The draw is withdrawn; nobody but the organisers sees it.",
        fixture=fixture,
        **form.cleaned_data,
    )


def _back(public_id: str) -> HttpResponse:
    return redirect("desk:draw", public_id)


def _words(changed: object) -> str:
    return changed.words if isinstance(changed, drawing.Changed) else ""


def _show(
    request: Request,
    fixture: Any,
    picks: Any,
    *,
    make: MakeDrawForm | None = None,
    withdraw: WithdrawDrawForm | None = None,
    repeats: bool = False,
    status: int = 200,
) -> HttpResponse:
    page = draw_page(fixture, request.who, picks, repeats=repeats)
    picked = (
        picked_players(fixture, page.draw, picks)
        if page.draw and picks and page.may_change
        else None
    )
    context = {
        "fixture": fixture,
        "page": page,
        "runs_it": request.who.may(ORGANISERS),
        "links": fixture_links(fixture, request.who, "desk:draw"),
        "post": draw_post(fixture, page, request.who),
        "picks": picks,
        "picked": picked,
        "swap": SwapForm(),
        "move": MoveForm(rooms=picked.rooms) if picked else None,
        "join": MoveForm(rooms=page.rooms),
        "make": make or MakeDrawForm(choices=draw_choices(fixture, page.draw)),
        "withdraw": withdraw or WithdrawDrawForm(),
        "problem": make if make and make.errors else withdraw,
    }
    template = "desk/draw.html" if request.who.may(ORGANISERS) else "desk/draw_published.html"
    return show(request, template, context, status=status)
