"""Who joined when and who has paid, as far as a season asks: for secretary and treasurer."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from society.members.actions.players import note_joined, note_subscriptions
from society.members.queries import members_on_the_list, society_day, subscriptions
from society.members.rules import SubscriptionState
from society.merit.access import member_to_note, season_for_members
from society.merit.forms.deeds import DayForm, SubscriptionsForm
from society.merit.queries import tables_of
from society.merit.tables.members import members_shown
from society.web import clock
from society.web.access import access
from society.web.pages import show as show_page
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.who import TREASURERS


@access(TREASURERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def members(request: Request, season: str) -> HttpResponse:
    """Every member with the day of joining and the subscription; tick some and note what holds."""
    found = season_for_members(request.who, season)
    now = clock.now()
    everyone = list(members_on_the_list())
    data = request.POST if request.method == "POST" else None
    initial = {"state": SubscriptionState.PAID.value, "on": society_day(now)}
    form = SubscriptionsForm(data, initial=initial)
    ticked = set(request.POST.getlist("member"))
    if data is not None and form.is_valid():
        try:
            noted = note_subscriptions(
                players=[player for player in everyone if player.public_id in ticked],
                period=found.public_id,
                state=SubscriptionState(form.cleaned_data["state"]),
                on=form.cleaned_data["on"],
                words=form.cleaned_data["words"],
                by=request.who,
                at=now,
            )
        except BadInput as refused:
            form.add_error(refused.field, refused.words)
        else:
            messages.success(request, f"Noted for {noted}.")
            return redirect(reverse("merit:members", args=[season]))
    context = {
        "season": found,
        "form": form,
        "members": members_shown(found, everyone, subscriptions(found.public_id), ticked),
        "tables": list(tables_of(found)),
    }
    return show_page(request, "merit/members.html", context, status=422 if form.is_bound else 200)


@access(TREASURERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def joined(request: Request, season: str, player: str) -> HttpResponse:
    """The day one member joined."""
    found = season_for_members(request.who, season)
    member = member_to_note(request.who, player)
    data = request.POST if request.method == "POST" else None
    form = DayForm(data, initial={"joined_on": member.joined_on})
    if data is not None and form.is_valid():
        try:
            note_joined(
                player=member,
                joined_on=form.cleaned_data["joined_on"],
                by=request.who,
                at=clock.now(),
            )
        except BadInput as refused:
            form.add_error(refused.field, refused.words)
        else:
            messages.success(request, f"Noted for {member.name}.")
            return redirect(reverse("merit:members", args=[season]))
    context = {"form": form, "player": member, "season": found}
    return show_page(request, "merit/joined.html", context, status=422 if form.is_bound else 200)
