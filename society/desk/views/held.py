"""All that is kept about a player as one file, and making a player anonymous."""

import json

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from society.desk.access import held_to_read
from society.desk.actions.forgetting import make_anonymous
from society.desk.queries.held import held_about
from society.fixtures.forms.season import ReasonForm
from society.members.access import player_to_run
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import done, show
from society.web.request import Request
from society.web.who import KEEPERS


@access(SIGNED_IN, "GET")
@require_safe
def player_held(request: Request, public_id: str) -> HttpResponse:
    """Everything kept about a player in one file: for the player, and for the secretary."""
    found = held_to_read(request.who, public_id)
    text = json.dumps(held_about(found, clock.now()), ensure_ascii=False, indent=2)
    response = HttpResponse(text + "\n", content_type="application/json; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="kept-{public_id}.json"'
    response.headers["Cache-Control"] = "no-store"
    return response


@access(KEEPERS, "POST")
@require_POST
def player_anonymous(request: Request, public_id: str) -> HttpResponse:
    """Make a player anonymous, with a reason."""
    player = player_to_run(request.who, public_id)
    form = ReasonForm(request.POST)
    to = reverse("desk:player", args=[public_id])
    if not form.is_valid():
        context = {"form": form, "player": player}
        return show(request, "desk/player_anonymous.html", context, status=422)
    return done(
        request,
        make_anonymous,
        player=player,
        words=form.cleaned_data["words"],
        to=to,
        said="The player is anonymous. Results and seals stand as they were.",
    )
