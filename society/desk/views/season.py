"""The season page, at the front door and for other seasons."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.queries import season as queries
from society.desk.queries.mine import day_of
from society.fixtures.access import season_to_read
from society.fixtures.queries import present_season, seasons
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.request import Request
from society.web.who import ORGANISERS

if TYPE_CHECKING:
    from society.fixtures.models import Season


@access(SIGNED_IN, "GET")
@require_safe
def season(request: Request) -> HttpResponse:
    """The present season: what is next, where the reader stands, the list."""
    return _season(request, present_season(day_of(clock.now())))


@access(SIGNED_IN, "GET")
@require_safe
def season_of(request: Request, public_id: str) -> HttpResponse:
    """Any season by its own address."""
    return _season(request, season_to_read(request.who, public_id))


def _season(request: Request, season: Season | None) -> HttpResponse:
    at, who = clock.now(), request.who
    fixtures = queries.fixtures_of(season) if season else []
    organises = who.may(ORGANISERS)
    context = {
        "season": season,
        "seasons": list(seasons()),
        "next": queries.next_of(fixtures, who, at),
        "lines": queries.lines_of(fixtures, who, at),
        "latest": queries.latest_result(season, who) if season else None,
        "standing": queries.own_standing(season, who) if season else None,
        "organises": organises,
        "first_steps": queries.first_steps() if organises and not fixtures else [],
    }
    return show(request, "desk/season.html", context)
