"""On the day and for the day: who turns up, and what was asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from society.entries import queries
from society.entries.access import RECORD_READERS
from society.entries.actions.walking_up import walk_up as act
from society.entries.bridge.draws import groups_with_room
from society.entries.bridge.handicaps import asked_for
from society.entries.forms.walk_up import WalkUpForm
from society.entries.rules.extras import counts_of
from society.fixtures.access import fixture_to_run, season_to_read
from society.fixtures.rules import ENDED, FixtureState
from society.web import clock, errors
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import NotYours, Refusal
from society.web.request import Request
from society.web.who import ORGANISERS

if TYPE_CHECKING:
    from society.entries.actions.walking_up import WalkedUp
    from society.fixtures.models import Fixture


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def walk_up(request: Request, public_id: str) -> HttpResponse:
    """Somebody turns up: entered, handicap taken and put in a group on one form."""
    fixture = fixture_to_run(request.who, public_id)
    form = _form(fixture, request.POST if request.method == "POST" else None)
    status = 422 if form.is_bound else 200
    if request.method == "POST" and form.is_valid():
        try:
            came = act(fixture=fixture, **form.cleaned_data, by=request.who, at=clock.now())
        except NotYours:
            raise
        except Refusal as refusal:
            if FixtureState(fixture.state) in ENDED:
                return errors.page(request, 409, refusal.words)
            status = refusal.status
            say_refused(form, refusal)
        else:
            messages.success(request, _came(came))
            return redirect("entries:manage", public_id)
    context = {
        "fixture": fixture,
        "form": form,
        "places": queries.places_of(fixture),
        "taken": queries.handicaps_taken(fixture),
    }
    return show(request, "entries/walk_up.html", context, status=status)


@access(ORGANISERS, "GET")
@require_safe
def extras(request: Request, public_id: str) -> HttpResponse:
    """What was asked for, person by person, and what has to be ordered."""
    fixture = fixture_to_run(request.who, public_id)
    wishes = queries.wishes_of(fixture)
    entries = {entry.pk: entry for entry in queries.in_the_field(fixture)}
    called = {pk: entry.player.name for pk, entry in entries.items()}
    context = {
        "fixture": fixture,
        "asked": set(fixture.asks.split()),
        "counts": counts_of(wishes),
        "lines": [
            {
                "entry": entries[pk],
                "wishes": one,
                "buggy_with": [called[other] for other in one.buggy_with],
                "partners": [called[other] for other in one.partners],
            }
            for pk, one in sorted(wishes.items(), key=lambda pair: called[pair[0]].casefold())
        ],
        "unmet": queries.named_but_not_in(fixture),
    }
    return show(request, "entries/extras.html", context)


@access(RECORD_READERS, "GET")
@require_safe
def record(request: Request, public_id: str) -> HttpResponse:
    """Late withdrawals and no-shows of a season."""
    season = season_to_read(request.who, public_id)
    context = {"season": season, "records": queries.records(season=season)}
    return show(request, "entries/record.html", context)


def _form(fixture: Fixture, data: QueryDict | None) -> WalkUpForm:
    kind, _ = asked_for(fixture)
    return WalkUpForm(
        data,
        players=queries.players_without_place(fixture),
        hosts=queries.members_to_tick(),
        kind=kind,
        groups=groups_with_room(fixture),
        on=fixture.starts_on,
    )


def _came(came: WalkedUp) -> str:
    said = f"{came.entry.player.name} is in."
    if came.frozen is not None:
        said += " The handicap is taken."
    elif came.lacks:
        said += " No handicap is known yet: give one on the handicaps page."
    if came.grouped is not None:
        said += f" {came.grouped.words}"
    return said
