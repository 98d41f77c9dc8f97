"""A score added to a record by hand or taken off, and a record adjusted: looked at, then done."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from society.desk.forms.scores import (
    KNOWN_WORDS,
    AdjustForm,
    CardForm,
    GrossForm,
    Known,
    ReadyForm,
    WithdrawForm,
)
from society.desk.queries.events import events_of
from society.desk.queries.typing import (
    adjustable,
    alone,
    said_of_card,
    score_to_withdraw,
    score_words,
    tees_to_choose,
    tried,
)
from society.handicaps.actions.adjusting import adjust as adjust_record
from society.handicaps.actions.adjusting import try_adjustment
from society.handicaps.actions.scores import try_score, type_score, withdraw_score
from society.handicaps.queries.scores import preview
from society.members.access import player_to_read
from society.members.queries import society_day
from society.web import clock
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.who import HANDICAPPERS

LOOK, KEEP = "look", "keep"
_FORMS: dict[Known, Callable[..., forms.Form]] = {
    Known.CARD: CardForm,
    Known.GROSS: GrossForm,
    Known.READY: ReadyForm,
}


@access(HANDICAPPERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def score_new(request: Request, public_id: str) -> HttpResponse:
    """A score by hand: the card, the adjusted gross, or the differential."""
    player = player_to_read(request.who, public_id)
    now = clock.now()
    known = _known(request)
    more: dict[str, Any] = {"tees": tees_to_choose(player)} if known is Known.CARD else {}
    form: Any = _FORMS[known](
        request.POST if request.method == "POST" else None,
        alone=alone(player, request.who, now),
        **more,
    )
    seen = None
    if form.is_valid():
        told = form.cleaned_data
        try:
            score = {"played": told["played"], **_score(player, known, form)}
            if request.POST.get("step") == KEEP:
                type_score(player=player, **score, **form.reason(), by=request.who, at=now)
                messages.success(request, f"The score is in {player.name}’s record.")
                return redirect("desk:record", public_id)
            seen = tried(try_score(player=player, **score, at=now))
        except BadInput as wrong:
            say_refused(form, wrong)
    context = {
        "player": player,
        "form": form,
        "seen": seen,
        "known": known,
        "choices": list(KNOWN_WORDS.items()),
    }
    return show(request, "desk/score_new.html", context, status=_status(form))


def _known(request: Request) -> Known:
    asked = request.GET.get("known", "")
    return Known(asked) if asked in set(Known) else Known.CARD


def _score(player: Any, known: Known, form: Any) -> dict[str, Any]:
    """Holes and score as the deed takes them."""
    told = form.cleaned_data
    if known is Known.CARD:
        said = said_of_card(
            player,
            tee=told["tee"],
            holes=told["holes"],
            played=told["played"],
            strokes=told["strokes"],
            pcc=told["pcc"],
        )
        return {"holes": told["holes"].count, "said": said}
    return {"holes": told.get("holes", 18), "said": form.said()}


@access(HANDICAPPERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def score_withdraw(request: Request, public_id: str, score_id: str) -> HttpResponse:
    """A score taken off, with a reason; the page says first what the figure becomes."""
    player = player_to_read(request.who, public_id)
    score = score_to_withdraw(player, score_id)
    now = clock.now()
    form = WithdrawForm(
        request.POST if request.method == "POST" else None,
        alone=alone(player, request.who, now),
    )
    if form.is_valid():
        try:
            withdraw_score(score=score, **form.reason(), by=request.who, at=now)
        except BadInput as wrong:
            say_refused(form, wrong)
        else:
            messages.success(request, f"The score counts no longer for {player.name}.")
            return redirect("desk:record", public_id)
    context = {
        "player": player,
        "score": score,
        "said": score_words(score),
        "event": events_of(player, [score.cause]).get(score.cause),
        "form": form,
        "seen": tried(preview(player, without=score.origin)),
    }
    return show(request, "desk/score_withdraw.html", context, status=_status(form))


@access(HANDICAPPERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def adjust(request: Request, public_id: str) -> HttpResponse:
    """The committee moves a record; looked at first, with the figure before and after."""
    player = player_to_read(request.who, public_id)
    now = clock.now()
    form = AdjustForm(
        request.POST if request.method == "POST" else None,
        alone=alone(player, request.who, now),
    )
    seen = None
    if form.is_valid():
        try:
            if request.POST.get("step") == KEEP:
                told = form.adjustment() | form.reason()
                adjust_record(player=player, **told, by=request.who, at=now)
                messages.success(request, f"{player.name}’s record is adjusted from tomorrow.")
                return redirect("desk:record", public_id)
            seen = tried(try_adjustment(player=player, **form.adjustment(), at=now))
        except BadInput as wrong:
            say_refused(form, wrong)
    context = {
        "player": player,
        "form": form,
        "seen": seen,
        "page": adjustable(player, society_day(now)),
    }
    return show(request, "desk/adjust.html", context, status=_status(form))


def _status(form: forms.Form) -> int:
    return 422 if form.is_bound and form.errors else 200
