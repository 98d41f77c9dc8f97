"""The cuts of one player: each line with its end; one written by hand, one ended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from society.desk.forms.hand_cuts import EndCutForm, HandCutForm
from society.desk.queries.cuts import cut_to_end, cuts_listed
from society.desk.queries.typing import alone
from society.handicaps.actions.cuts import end_cut, write_cut
from society.members.access import player_to_read
from society.members.queries import society_day
from society.web import clock
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import BadInput, WrongState
from society.web.request import Request
from society.web.who import HANDICAPPERS

if TYPE_CHECKING:
    from django import forms

    from society.members.models import Player


@access(HANDICAPPERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def cut_new(request: Request, public_id: str) -> HttpResponse:
    """The cuts of a player, and one more by hand with a reason."""
    player = player_to_read(request.who, public_id)
    now = clock.now()
    form = HandCutForm(
        request.POST if request.method == "POST" else None,
        alone=alone(player, request.who, now),
        initial={"way": "off", "valid_from": society_day(now)},
    )
    if form.is_valid():
        told = form.cut() | form.reason()
        try:
            write_cut(player=player, **told, by=request.who, at=now)
        except BadInput as wrong:
            say_refused(form, wrong)
        else:
            messages.success(request, f"The cut stands on {player.name}’s record.")
            return redirect("desk:record", public_id)
    return _page(request, player, form)


@access(HANDICAPPERS, "POST")
@require_POST
def cut_end(request: Request, public_id: str, cut_id: str) -> HttpResponse:
    """End a cut on a day, with a reason; what was true before stays true."""
    player = player_to_read(request.who, public_id)
    cut = cut_to_end(player, cut_id)
    now = clock.now()
    form = EndCutForm(request.POST, alone=alone(player, request.who, now))
    if form.is_valid():
        told = form.cleaned_data
        try:
            end_cut(cut=cut, on=told["on"], **form.reason(), by=request.who, at=now)
        except (BadInput, WrongState) as wrong:
            say_refused(form, wrong)
        else:
            messages.success(request, f"The cut of {player.name} is ended; the reason is kept.")
            return redirect("desk:record", public_id)
    return _page(request, player, form, ending=cut_id)


def _page(request: Request, player: Player, form: forms.Form, ending: str = "") -> HttpResponse:
    now = clock.now()
    lonely = alone(player, request.who, now)
    today = society_day(now)
    start = {"way": "off", "valid_from": today}
    context = {
        "player": player,
        "cuts": cuts_listed(player, today),
        "form": form,
        "new_form": HandCutForm(alone=lonely, initial=start) if ending else form,
        "end_form": form if ending else EndCutForm(alone=lonely, initial={"on": today}),
        "ending": ending,
    }
    status = 422 if form.is_bound and form.errors else 200
    return show(request, "desk/hand_cuts.html", context, status=status)
