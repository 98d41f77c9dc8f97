"""Settling ties at the end and sealing a season, for officers."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from society.members.queries import officers_to_seal
from society.merit.access import table_to_run
from society.merit.actions import give_points, seal_table, settle
from society.merit.forms.deeds import GiveForm, SealForm, SettleForm
from society.merit.queries import (
    MeritStanding,
    agreed_by,
    given_to,
    sealed_season,
    standing_of,
    version_of,
)
from society.merit.tables.sheet import sheet_of
from society.web import clock
from society.web.access import access
from society.web.pages import show as show_page
from society.web.refusals import BadInput, Missing, WrongState
from society.web.request import Request
from society.web.who import ORGANISERS

AGREED = "Your agreement is kept. The season is sealed once another officer has agreed to the same."


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def seal(request: Request, public_id: str) -> HttpResponse:
    """Seal the season: what is not finished, what is level, who would take the title."""
    table = table_to_run(request.who, public_id)
    standing = standing_of(table)
    last = version_of(table)
    data = request.POST if request.method == "POST" else None
    form = SealForm(data, fixtures=standing.unfinished, again=last is not None)
    status = 200
    if data is not None and form.is_valid():
        try:
            made = seal_table(
                table=table,
                left_out=form.reasons(),
                words=form.cleaned_data.get("words", ""),
                by=request.who,
                at=clock.now(),
            )
        except BadInput as refused:
            form.add_error(refused.field, refused.words)
        except WrongState as refused:
            form.add_error(None, refused.words)
            status = refused.status
        else:
            if made is None:
                messages.success(request, AGREED)
                return redirect(reverse("merit:seal", args=[public_id]))
            messages.success(request, f"The season is sealed as version {made.number}.")
            return redirect(reverse("merit:version", args=[public_id, made.number]))
    context = {
        "table": table,
        "form": form,
        "sheet": sheet_of(standing),
        "level": _groups(standing),
        "sealed": sealed_season(last, standing) if last else None,
        "two": officers_to_seal() > 1,
        "agreed": agreed_by(standing, last) if officers_to_seal() > 1 else [],
    }
    if form.is_bound and status == 200:
        status = 422
    return show_page(request, "merit/seal.html", context, status=status)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def level(request: Request, public_id: str) -> HttpResponse:
    """Put those who share a place in order, as the lot or the committee had it."""
    table = table_to_run(request.who, public_id)
    standing = standing_of(table)
    groups = standing.level_groups()
    number = request.POST.get("group", request.GET.get("group", "0"))
    group = {str(at): group for at, group in enumerate(groups)}.get(number, ())
    people = [(player, standing.name_of(player)) for player in group]
    data = request.POST if request.method == "POST" else None
    form = SettleForm(data, people=people, rules=standing.rules)
    if data is not None and group and form.is_valid():
        try:
            settle(
                table=table,
                way=form.way(),
                players=form.order(),
                words=form.cleaned_data["words"],
                by=request.who,
                at=clock.now(),
            )
        except (BadInput, WrongState) as refused:
            form.add_error(getattr(refused, "field", None), refused.words)
        else:
            messages.success(request, "The order is set; the table says how.")
            return redirect(reverse("merit:show", args=[public_id]))
    context = {
        "table": table,
        "form": form,
        "people": people,
        "number": number,
        "groups": _groups(standing),
    }
    return show_page(request, "merit/level.html", context, status=422 if form.is_bound else 200)


def _groups(standing: MeritStanding) -> list[list[str]]:
    return [[standing.name_of(player) for player in group] for group in standing.level_groups()]


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def give(request: Request, public_id: str, player: str) -> HttpResponse:
    """Give a player points by hand, or take some away, with a reason."""
    table = table_to_run(request.who, public_id)
    standing = standing_of(table)
    if standing.row_of(player) is None:
        raise Missing("There is no such line in this table.")
    listed = len(given_to(table, player))
    data = request.POST if request.method == "POST" else None
    form, status = GiveForm(data, initial={"listed": listed}), 422
    if form.is_bound and form.is_valid():
        try:
            give_points(
                table=table, player=player, **form.cleaned_data, by=request.who, at=clock.now()
            )
        except (BadInput, WrongState) as refused:
            form.add_error(refused.field, refused.words)
            status = refused.status
        else:
            messages.success(request, f"Noted for {standing.name_of(player)}.")
            return redirect(reverse("merit:line", args=[public_id, player]))
    context = {
        "table": table,
        "form": form,
        "player": player,
        "name": standing.name_of(player),
        "sealed": version_of(table),
    }
    return show_page(request, "merit/give.html", context, status=status if form.is_bound else 200)
