"""Lists to be saved as a file: players, handicaps, the calendar of a season."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.queries.players import list_of_players, standing_handicaps
from society.desk.queries.season import fixtures_of
from society.desk.sheets import calendar_listing, handicaps_listing, players_listing
from society.fixtures.access import season_to_read
from society.members.queries import society_day
from society.web import clock
from society.web.access import OFFICERS, SIGNED_IN, access
from society.web.downloads import list_file
from society.web.request import Request


@access(OFFICERS, "GET")
@require_safe
def players_file(request: Request, kind: str) -> HttpResponse:
    """The whole list of players, each with the newest handicap."""
    players = list_of_players("", society_day(clock.now()))
    return list_file(players_listing(players), "players", kind)


@access(OFFICERS, "GET")
@require_safe
def handicaps_file(request: Request, kind: str) -> HttpResponse:
    """Every figure that stands today, to be changed in a spreadsheet and brought in again."""
    lines = standing_handicaps(society_day(clock.now()))
    return list_file(handicaps_listing(lines), "handicaps", kind)


@access(SIGNED_IN, "GET")
@require_safe
def calendar_file(request: Request, public_id: str, kind: str) -> HttpResponse:
    """The fixtures of a season, as the calendar reads them."""
    season = season_to_read(request.who, public_id)
    return list_file(calendar_listing(season, fixtures_of(season)), "calendar", kind)
