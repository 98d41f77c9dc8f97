"""The order of merit as everyone reads it: the table, one line in full, a sealed version."""

import hashlib
import json

from django.contrib import messages
from django.http import HttpResponse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from scoring.results.queries.versions import last_change
from society.fixtures.access import belongs
from society.fixtures.queries import present_season
from society.members.queries import society_day
from society.merit.access import table_to_read, version_to_read
from society.merit.printing import table_html
from society.merit.queries import (
    MeritStanding,
    SealedSeason,
    as_shown,
    given_to,
    sealed_season,
    standing_of,
    tables_of,
    the_table,
    version_of,
    versions_of,
)
from society.merit.rules.season import counting
from society.merit.rules.words import sentences_of
from society.merit.sheets import merit_listing
from society.merit.tables.line import line_of
from society.merit.tables.needs import needs_shown
from society.merit.tables.places import drawing, places_of
from society.merit.tables.sheet import sheet_of
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.downloads import list_file
from society.web.pages import show as show_page
from society.web.pdf import pdf_response
from society.web.refusals import Missing
from society.web.request import Request
from society.web.version import code_version
from society.web.who import ORGANISERS, TREASURERS, Who


@access(SIGNED_IN, "GET")
@require_safe
def index(request: Request) -> HttpResponse:
    """The table of the present season, or what has to be done for there to be one."""
    season = present_season(society_day(clock.now()))
    table = the_table(season) if season and belongs(request.who) else None
    if table is None:
        context = {"season": season, "organises": request.who.may(ORGANISERS)}
        return show_page(request, "merit/index.html", context)
    return _table(request, standing_of(table))


@access(SIGNED_IN, "GET")
@require_safe
def show(request: Request, public_id: str) -> HttpResponse:
    """One table by its own address: as it is sealed, or as it stands; ?now=1 as it would be."""
    table = table_to_read(request.who, public_id)
    tag = _etag(request)
    if tag and (unchanged := get_conditional_response(request, etag=tag)):
        return _kept(unchanged, tag)
    response = _table(request, standing_of(table))
    return _kept(response, tag) if tag else response


def _table(request: Request, live: MeritStanding) -> HttpResponse:
    version = version_of(live.table)
    sealed = sealed_season(version, live) if version else None
    as_now = bool(sealed and request.GET.get("now"))
    standing = live if sealed is None or as_now else sealed.standing
    own = request.who.players
    placed = [row.player for row in live.rows if row.player in own]
    needs = needs_shown(live, placed[0]) if placed and not sealed else None
    places = places_of(standing, own)
    names = standing.results.names
    context = {
        "table": live.table,
        "tables": list(tables_of(live.table.season)),
        "sheet": sheet_of(standing, own),
        "sentences": _sentences(standing),
        "cancelled": standing.facts.cancelled,
        "moved": [(names[player], old, new) for player, old, new in standing.moved],
        "organises": request.who.may(ORGANISERS),
        "treasures": request.who.may(TREASURERS),
        "needs": needs,
        "places": places,
        "drawing": drawing(places) if places else "",
        "sealed": sealed,
        "as_now": as_now,
        "level": _level(live, sealed, request.who),
    }
    return show_page(request, "merit/show.html", context)


def _sentences(standing: MeritStanding) -> list[str]:
    names = {f.key: f.name for f in standing.every_fixture or standing.results.fixtures}
    return sentences_of(standing.rules, standing.facts.cancelled, names)


def _level(live: MeritStanding, sealed: SealedSeason | None, who: Who) -> list[list[str]]:
    """Names of those still level, for whoever may settle it."""
    if sealed or not who.may(ORGANISERS):
        return []
    return [[live.name_of(player) for player in group] for group in live.level_groups()]


@access(SIGNED_IN, "GET")
@require_safe
def line(request: Request, public_id: str, player: str) -> HttpResponse:
    """One line in full: what counted, what dropped, what separated two names."""
    table = table_to_read(request.who, public_id)
    tag = _etag(request)
    if tag and (unchanged := get_conditional_response(request, etag=tag)):
        return _kept(unchanged, tag)
    standing, version = as_shown(table)
    shown = line_of(standing, player, request.who.players)
    if shown is None:
        raise Missing("There is no such line in this table.")
    context = {
        "table": table,
        "shown": shown,
        "best": counting(standing.rules, standing.facts.cancelled),
        "needs": None if version else needs_shown(standing, player),
        "given": given_to(table, player, version.at if version else None),
        "organises": request.who.may(ORGANISERS),
    }
    response = show_page(request, "merit/line.html", context)
    return _kept(response, tag) if tag else response


@access(SIGNED_IN, "GET")
@require_safe
def as_list(request: Request, public_id: str, kind: str) -> HttpResponse:
    """The table as a file for a spreadsheet."""
    standing, _ = as_shown(table_to_read(request.who, public_id))
    return list_file(merit_listing(standing), f"merit-{public_id}", kind)


@access(SIGNED_IN, "GET")
@require_safe
def as_pdf(request: Request, public_id: str) -> HttpResponse:
    """The table for the notice-board."""
    html = table_html(table_to_read(request.who, public_id), clock.now())
    return pdf_response(request, html, f"season-table-{public_id}.pdf")


@access(SIGNED_IN, "GET")
@require_safe
def version(request: Request, public_id: str, number: int) -> HttpResponse:
    """A sealed version: its fingerprint, what it was made from, who stood where."""
    found = version_to_read(request.who, public_id, number)
    sealed = sealed_season(found, standing_of(found.table))
    context = {
        "table": found.table,
        "sealed": sealed,
        "sheet": sheet_of(sealed.standing, request.who.players),
        "sentences": _sentences(sealed.standing),
        "versions": versions_of(found.table),
    }
    return show_page(request, "merit/version.html", context)


def _etag(request: Request) -> str:
    """Names everything the page is made of: the last deed, the reader, the code, the address.

    Empty where the page says something once, which no kept copy must say again.
    """
    if len(messages.get_messages(request)):
        return ""
    who: Who = request.who
    made_of = [
        last_change(),
        who.account,
        who.players,
        sorted(who.roles),
        code_version(),
        request.get_full_path(),
        request.META.get("CSRF_COOKIE", ""),
    ]
    return f'"{hashlib.sha256(json.dumps(made_of).encode()).hexdigest()[:32]}"'


def _kept(response: HttpResponse, tag: str) -> HttpResponse:
    """The reader's own browser may keep the page, and asks each time whether it still stands."""
    response.headers["ETag"] = tag
    response.headers["Cache-Control"] = "private, no-cache"
    return response
