"""The list of players, and players by form. For officers; changes are the secretary's."""

import django_tables2 as tables
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect

from society.desk.actions.players import add_player_with_handicap
from society.desk.forms.players import NewPlayerForm
from society.desk.queries.players import list_of_players, played_off_today
from society.desk.tables import PlayersTable
from society.fixtures.queries import present_rules
from society.handicaps.queries.figures import not_taken
from society.handicaps.rules.figures import named
from society.members.access import player_to_run
from society.members.actions.players import change_player
from society.members.forms import PlayerForm
from society.members.queries import namesakes, society_day
from society.web import clock
from society.web.access import OFFICERS, access
from society.web.pages import show
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.who import HANDICAPPERS, KEEPERS, ORGANISERS

A_PAGE = 25
FIELDS = {"value": "handicap"}


@access(OFFICERS, "GET")
def players(request: Request) -> HttpResponse:
    """Searched, sorted and paged by the address alone."""
    search = request.GET.get("q", "")
    today = society_day(clock.now())
    taken = played_off_today(today)
    table = PlayersTable(list_of_players(search, today), empty_text="Nobody.", played_off=taken)
    tables.RequestConfig(request, paginate=False).configure(table)
    table.paginate(per_page=A_PAGE)  # how many to a page is not for the address to say
    table.page = table.paginator.get_page(request.GET.get("page"))
    table.look_up()
    context = {"table": table, "q": search, "keeps": request.who.may(KEEPERS)}
    context["played_off"] = taken
    context["keeps_handicaps"] = request.who.may(HANDICAPPERS)
    context["sees_stale"] = request.who.may(HANDICAPPERS | ORGANISERS)
    return show(request, "desk/players.html", context, part="parts/_table.html")


@access(KEEPERS, "GET", "POST")
def player_new(request: Request) -> HttpResponse:
    now = clock.now()
    today = society_day(now)
    rules = present_rules(today)
    sent = request.POST if request.method == "POST" else None
    form = NewPlayerForm(sent, today=today, rules=rules)
    if form.is_valid() and not _is_double(form):
        try:
            player, line = add_player_with_handicap(
                player=form.player_values(), handicap=form.line(), by=request.who, at=now
            )
        except BadInput as refusal:
            form.add_error(FIELDS.get(refusal.field or "", refusal.field), refusal.words)
        else:
            words = f", {named(line.kind, line.source, line.value)}" if line else ""
            said = [f"{player.name} is on the list{words}."]
            said += [not_taken(player, line.public_id, rules, today)] if line else []
            messages.success(request, " ".join(filter(None, said)))
            return redirect("desk:player", player.public_id)
    status = 422 if form.is_bound else 200
    return show(request, "desk/player_new.html", {"form": form}, status=status)


def _is_double(form: NewPlayerForm) -> bool:
    """A name that is there already is asked about once; the tick says it is someone else."""
    if form.cleaned_data["namesake"]:
        return False
    doubles = namesakes(form.cleaned_data["name"])
    if doubles:
        form.asks_namesake = True
        known = doubles[0]
        number = f", number {known.number}" if known.number else ""
        form.add_error(
            "name",
            f"There is a {known.name} already{number}. "
            "If this is another person, tick the box below the name.",
        )
    return bool(doubles)


@access(KEEPERS, "GET", "POST")
def player_change(request: Request, public_id: str) -> HttpResponse:
    player = player_to_run(request.who, public_id)
    initial = {name: getattr(player, name) for name in NewPlayerForm.PLAYER}
    form = PlayerForm(request.POST if request.method == "POST" else None, initial=initial)
    if form.is_valid():
        try:
            change_player(player=player, **form.cleaned_data, by=request.who, at=clock.now())
        except BadInput as refusal:
            form.add_error(refusal.field, refusal.words)
        else:
            messages.success(request, f"What is kept about {form.cleaned_data['name']} is saved.")
            return redirect("desk:player", player.public_id)
    context = {"form": form, "player": player}
    return show(request, "desk/player_change.html", context, status=422 if form.is_bound else 200)
