"""Adding a line to a player's handicap record. The record itself is on the player's page."""

from collections.abc import Callable
from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect

from society.handicaps.actions import record as actions
from society.handicaps.forms import HandicapForm
from society.handicaps.queries.figures import not_taken
from society.handicaps.queries.record import written_down
from society.handicaps.rules.figures import Source, named
from society.handicaps.rules.season import HandicapRules, source_to_type
from society.members.access import player_to_read
from society.members.queries import society_day
from society.web import clock
from society.web.access import access
from society.web.pages import show
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.who import HANDICAPPERS

# The action speaks of a figure, the form of a handicap.
FIELDS = {"value": "handicap"}
TYPED = (Source.COMMITTEE.value, Source.STATED.value)  # what a first figure may begin with


@access(HANDICAPPERS, "GET", "POST")
def add(
    request: Request, public_id: str, present_rules: Callable[[date], HandicapRules | None]
) -> HttpResponse:
    """A form that begins with the source the season asks for; what it does not take is said.

    `present_rules`: which handicap the season of a day is played off.
    """
    player = player_to_read(request.who, public_id)
    now = clock.now()
    today = society_day(now)
    rules = present_rules(today)
    sent = request.POST if request.method == "POST" else None
    asked = request.GET.get("source", "")
    begin = {"source": asked if asked in TYPED else source_to_type(rules).value}
    form = HandicapForm(sent, today=today, rules=rules, initial=begin)
    if form.is_valid():
        try:
            line = actions.record(player=player, **form.line() or {}, by=request.who, at=now)
        except BadInput as refusal:
            form.add_error(FIELDS.get(refusal.field or "", refusal.field), refusal.words)
        else:
            said = [f"Written down for {player.name}: {named(line.kind, line.source, line.value)}."]
            said += filter(None, [not_taken(player, line.public_id, rules, today)])
            messages.success(request, " ".join(said))
            return redirect("desk:player", player.public_id)
    context = {"form": form, "player": player, "record": written_down(player)[:5]}
    return show(request, "handicaps/add.html", context, status=422 if form.is_bound else 200)
