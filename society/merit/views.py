"""The order of merit: the table, one line in full, and its rules for officers."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from society.fixtures.access import belongs
from society.fixtures.queries import present_season
from society.members.queries import society_day
from society.merit.access import season_to_run, table_to_read, table_to_run
from society.merit.actions import set_rules, start_table
from society.merit.forms import RulesForm, initial_of
from society.merit.queries import MeritStanding, standing_of, tables_of, the_table
from society.merit.rules.reading import rules_from_json
from society.merit.rules.season import counting
from society.merit.rules.values import MeritRules
from society.merit.rules.words import sentences_of
from society.merit.sheets import merit_listing
from society.merit.tables import line_of, needs_of, race_of, sheet_of
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.downloads import list_file
from society.web.pages import show as show_page
from society.web.refusals import BadInput, Missing
from society.web.request import Request
from society.web.who import ORGANISERS


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
    """One table by its own address."""
    return _table(request, standing_of(table_to_read(request.who, public_id)))


def _table(request: Request, standing: MeritStanding) -> HttpResponse:
    table, names = standing.table, standing.results.names
    day, needs = needs_of(standing, request.who.players)
    context = {
        "table": table,
        "tables": list(tables_of(table.season)),
        "sheet": sheet_of(standing, request.who.players),
        "sentences": sentences_of(standing.rules, standing.results.cancelled),
        "cancelled": standing.results.cancelled,
        "moved": [(names[player], old, new) for player, old, new in standing.moved],
        "organises": request.who.may(ORGANISERS),
        "needs": needs,
        "needs_day": day,
        "race": race_of(standing, request.who.players),
    }
    return show_page(request, "merit/show.html", context)


@access(SIGNED_IN, "GET")
@require_safe
def as_list(request: Request, public_id: str, kind: str) -> HttpResponse:
    """The table as a file for a spreadsheet."""
    standing = standing_of(table_to_read(request.who, public_id))
    return list_file(merit_listing(standing), f"merit-{public_id}", kind)


@access(SIGNED_IN, "GET")
@require_safe
def line(request: Request, public_id: str, player: str) -> HttpResponse:
    """One line in full: what counted, what dropped, what separated two names."""
    table = table_to_read(request.who, public_id)
    standing = standing_of(table)
    shown = line_of(standing, player, request.who.players)
    if shown is None:
        raise Missing("There is no such line in this table.")
    best = counting(standing.rules, standing.results.cancelled)
    return show_page(request, "merit/line.html", {"table": table, "shown": shown, "best": best})


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: Request, public_id: str) -> HttpResponse:
    """The rules of a table, to be read as sentences and changed as a form."""
    table = table_to_run(request.who, public_id)
    now = rules_from_json(table.rules)
    form = RulesForm(request.POST or None, initial=initial_of(table.name, now))
    if request.method == "POST" and form.is_valid():
        try:
            set_rules(
                table=table,
                name=form.cleaned_data["name"],
                rules=form.rules(),
                by=request.who,
                at=clock.now(),
            )
        except BadInput as refused:
            form.add_error(refused.field, refused.words)
        else:
            messages.success(request, "The rules are set; the table goes by them from now on.")
            return redirect(reverse("merit:show", args=[public_id]))
    return _form(request, form, sentences_of(now), table.name)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: Request, season: str) -> HttpResponse:
    """A table for a season."""
    found = season_to_run(request.who, season)
    usual = MeritRules()
    form = RulesForm(request.POST or None, initial=initial_of("Order of merit", usual))
    if request.method == "POST" and form.is_valid():
        try:
            table = start_table(
                season=found,
                name=form.cleaned_data["name"],
                rules=form.rules(),
                by=request.who,
                at=clock.now(),
            )
        except BadInput as refused:
            form.add_error(refused.field, refused.words)
        else:
            messages.success(request, f"{table.name} is set up.")
            return redirect(reverse("merit:show", args=[table.public_id]))
    return _form(request, form, [], f"New table, {found.name}")


def _form(request: Request, form: RulesForm, sentences: list[str], title: str) -> HttpResponse:
    context = {"form": form, "sentences": sentences, "title": title}
    status = 422 if form.is_bound else 200
    return show_page(request, "merit/rules.html", context, status=status)
