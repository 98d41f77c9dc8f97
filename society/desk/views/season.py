"""The season page, at the front door and for other seasons."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.queries import season as queries
from society.desk.queries.mine import day_of, own_players
from society.desk.queries.needs import needs_of
from society.desk.queries.record import own_figures
from society.desk.queries.title import title_of
from society.desk.queries.todo import running_fixtures, todo_of
from society.fixtures.access import season_for_everybody, season_to_read
from society.fixtures.queries import present_season, seasons
from society.members.queries import the_society
from society.web import clock
from society.web.access import RESULTS_WHEN_PUBLIC, SEASON_WHEN_PUBLIC, Switched, access
from society.web.middleware import sign_in_first
from society.web.pages import show, unlisted
from society.web.request import Request
from society.web.who import HANDICAPPERS, ORGANISERS

if TYPE_CHECKING:
    from datetime import datetime

    from society.desk.queries.record import OwnFigure
    from society.desk.queries.season import FirstStep
    from society.fixtures.models import Season
    from society.web.who import Who


@access(SEASON_WHEN_PUBLIC, "GET")
@require_safe
def season(request: Request) -> HttpResponse:
    """The present season: what to do, what is next, where the reader stands, the list."""
    if not request.who.signed_in:
        return _for_everybody(request, present_season(day_of(clock.now())))
    return _season(request, present_season(day_of(clock.now())), with_todo=True)


@access(SEASON_WHEN_PUBLIC, "GET")
@require_safe
def season_of(request: Request, public_id: str) -> HttpResponse:
    """Any season by its own address."""
    if not request.who.signed_in:
        found = season_for_everybody(public_id)
        return _for_everybody(request, found) if found else sign_in_first(request)
    return _season(request, season_to_read(request.who, public_id), with_todo=False)


def _for_everybody(request: Request, season: Season | None) -> HttpResponse:
    """The season as anybody may read it: days, courses, names of fixtures, no names of people."""
    fixtures = queries.fixtures_of(season) if season else []
    shown = {
        "season": season,
        "seasons": list(seasons()),
        "lines": queries.public_lines(fixtures),
        "results": RESULTS_WHEN_PUBLIC in Switched.on(),
    }
    return unlisted(show(request, "desk/season_public.html", shown))


def _season(request: Request, season: Season | None, *, with_todo: bool) -> HttpResponse:
    at, who = clock.now(), request.who
    fixtures = queries.fixtures_of(season) if season else []
    organises = who.may(ORGANISERS)
    next_ = queries.next_of(fixtures, who, at)
    context: dict[str, object] = {
        "season": season,
        "others": [one for one in seasons() if one != season],
        "next": next_,
        "lines": queries.lines_of(fixtures, who, at),
        "summary": queries.summary_of(fixtures),
        "latest": queries.latest_result(season, who) if season else None,
        "standing": queries.own_standing(season, who) if season else None,
        "own_figures": _own_figures(season, next_, who, at),
        "title": title_of(season, who) if season and not next_ else None,
        "organises": organises,
        "keeps_handicaps": who.may(HANDICAPPERS),
        "copied": queries.seasons_to_copy(season) if season and not fixtures else [],
        "first_steps": _first_steps() if organises and not fixtures else [],
    }
    if with_todo:
        context |= _to_do(who, at, shown=next_.fixture.pk if next_ and next_.to_enter else 0)
    return show(request, "desk/season.html", context)


def _own_figures(
    season: Season | None, next_: queries.Next | None, who: Who, at: datetime
) -> list[OwnFigure]:
    """The handicaps of own players that do not stand beside the next fixture already."""
    if season is None:
        return []
    shown = {one.player.pk for one in next_.mine if one.handicap} if next_ else set()
    players = [player for player in own_players(who) if player.pk not in shown]
    return own_figures(season, players, day_of(at))


def _first_steps() -> list[FirstStep]:
    """What a new society does first; nothing once all of it was done, for a season to come."""
    steps = queries.first_steps()
    return [] if all(step.done for step in steps) else steps


def _to_do(who: Who, at: datetime, *, shown: int) -> dict[str, object]:
    """What this reader must do: for the own players, and for the offices held."""
    running, society = running_fixtures(), the_society()
    return {
        "todo": todo_of(running, own_players(who), who, at, shown=shown),
        "needs": needs_of(running, who, at, society.currency if society else "GBP"),
    }
