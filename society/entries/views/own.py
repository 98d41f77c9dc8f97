"""A member's own entry: entering, what is asked, an offered place, withdrawing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from society.entries import queries
from society.entries.access import entry_to_answer, own_entry, own_player
from society.entries.actions import entering, offers, wishing
from society.entries.forms.wishes import WishesForm, wishes_initial
from society.entries.rules.words import IN, QUEUING
from society.entries.views import words
from society.fixtures.access import fixture_to_read
from society.fixtures.queries import withdrawing_words
from society.web import clock, errors
from society.web.access import SIGNED_IN, access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import BadInput, Missing, NotYours, Refusal
from society.web.request import Request

if TYPE_CHECKING:
    from society.entries.models import Entry
    from society.fixtures.models import Fixture
    from society.members.models import Player
    from society.web.who import Who


@access(SIGNED_IN, "POST")
@require_POST
def enter(request: Request, public_id: str) -> HttpResponse:
    """A member enters, for one of the account's own players, with one press."""
    fixture = fixture_to_read(request.who, public_id)
    try:
        player = own_player(request.who, request.POST.get("player", ""))
        by = request.who.acting_as(player.public_id)
        entry = entering.enter(fixture=fixture, player=player, by=by, at=clock.now())
    except entering.AlreadyIn as twice:
        messages.info(request, twice.words)
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return errors.page(request, 409, refusal.words)
    else:
        messages.success(request, words.entered(request, fixture, entry))
        if fixture.asks:  # the page was older than the question; the place is safe already
            return redirect(_wishes_of(entry))
    return redirect(_back(request, public_id))


@access(SIGNED_IN, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: Request, public_id: str) -> HttpResponse:
    """Entering a fixture that asks something: a short form, and the place with it."""
    fixture = fixture_to_read(request.who, public_id)
    named = request.POST.get("player", "") or request.GET.get("player", "")
    try:
        player = own_player(request.who, named)
    except BadInput as refusal:
        return errors.page(request, 409, refusal.words)
    by = request.who.acting_as(player.public_id)
    try:
        if request.method == "POST":
            return _entered_with_wishes(request, fixture, player, by)
        entering.refuse_entering(fixture=fixture, player=player, by=by, at=clock.now())
    except entering.AlreadyIn as twice:
        messages.info(request, twice.words)
        return redirect(_wishes_of(twice.entry) if fixture.asks else _back(request, public_id))
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return errors.page(request, 409, refusal.words)
    return _asked(request, WishesForm(None, fixture=fixture, player=player))


def _entered_with_wishes(
    request: Request, fixture: Fixture, player: Player, by: Who
) -> HttpResponse:
    form = WishesForm(request.POST, fixture=fixture, player=player)
    if form.is_valid():
        wished, at = form.wished(), clock.now()
        try:
            entry = entering.enter(fixture=fixture, player=player, wished=wished, by=by, at=at)
        except BadInput as refusal:
            say_refused(form, refusal)
        else:
            messages.success(request, words.entered(request, fixture, entry))
            return redirect(_back(request, fixture.public_id))
    return _asked(request, form)


def _asked(request: Request, form: WishesForm) -> HttpResponse:
    context = {
        "fixture": form.fixture,
        "player": form.player,
        "form": form,
        "places": queries.places_of(form.fixture),
        "came_from": request.POST.get("from", "") or request.GET.get("from", ""),
        "several": len(request.who.players),
        "withdrawing": withdrawing_words(form.fixture),
    }
    return show(request, "entries/ask.html", context, status=422 if form.is_bound else 200)


@access(SIGNED_IN, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def wishes(request: Request, public_id: str) -> HttpResponse:
    """What was asked for, changed: by the player, a guest's host, or an organiser."""
    fixture = fixture_to_read(request.who, public_id)
    named = request.POST.get("entry", "") or request.GET.get("entry", "")
    try:
        entry = entry_to_answer(request.who, fixture, named)
    except BadInput as refusal:
        return errors.page(request, 409, refusal.words)
    if not fixture.asks:
        return errors.page(request, 409, "This fixture asks for nothing besides the entry.")
    form = WishesForm(
        request.POST if request.method == "POST" else None,
        fixture=fixture,
        player=entry.player,
        initial=wishes_initial(entry),
    )
    status = 422 if form.is_bound else 200
    own = _own(request.who, entry)
    to = "desk:fixture" if own else "entries:extras"
    if request.method == "POST" and form.is_valid():
        try:
            wishing.change_wishes(
                entry=entry, wished=form.wished(), by=_by(request.who, entry), at=clock.now()
            )
        except BadInput as refusal:
            say_refused(form, refusal)
        except NotYours:
            raise
        except Refusal as refusal:
            return errors.page(request, 409, refusal.words)
        else:
            messages.success(request, f"What {entry.player.name} asked for is kept.")
            return redirect(to, public_id)
    context = {
        "fixture": fixture,
        "entry": entry,
        "form": form,
        "back": reverse(to, args=[public_id]),
        "own": request.who.is_player(entry.player.public_id),
    }
    return show(request, "entries/wishes.html", context, status=status)


@access(SIGNED_IN, "POST")
@require_POST
def offer(request: Request, public_id: str) -> HttpResponse:
    """An offered place is taken or declined: by the player, a guest's host, or an organiser."""
    fixture = fixture_to_read(request.who, public_id)
    try:
        entry = entry_to_answer(request.who, fixture, request.POST.get("entry", ""))
    except BadInput as refusal:
        return errors.page(request, 409, refusal.words)
    answers = {"take": _take, "decline": _decline}
    act = answers.get(request.POST.get("answer", ""))
    if act is None:
        return errors.page(request, 409, "Say whether the place is taken or declined.")
    try:
        act(request, entry)
    except NotYours:
        raise
    except Refusal as refusal:
        return errors.page(request, 409, refusal.words)
    own = _own(request.who, entry)
    return redirect("desk:fixture" if own else "entries:manage", public_id)


def _take(request: Request, entry: Entry) -> None:
    offers.take_offer(entry=entry, by=_by(request.who, entry), at=clock.now())
    mine = request.who.players == (entry.player.public_id,)
    who, be = ("You", "are") if mine else (entry.player.name, "is")
    messages.success(request, f"{who} {be} in for {entry.fixture.name}.")


def _decline(request: Request, entry: Entry) -> None:
    filled = offers.decline_offer(entry=entry, by=_by(request.who, entry), at=clock.now())
    said = f"The place in {entry.fixture.name} is declined."
    if not _own(request.who, entry):  # who is next is for those who tell them
        said += words.offered(filled.offered)
    messages.success(request, said)


@access(SIGNED_IN, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def withdraw(request: Request, public_id: str) -> HttpResponse:
    """A member withdraws: asked once, because the place goes to the first waiting."""
    fixture = fixture_to_read(request.who, public_id)
    named = request.POST.get("entry", "") or request.GET.get("entry", "")
    try:
        entry = own_entry(request.who, fixture, named)
    except BadInput as refusal:
        return errors.page(request, 409, refusal.words)
    if request.method != "POST":
        context = {
            "fixture": fixture,
            "entry": entry,
            "places": queries.places_of(fixture),
            "waits": entry.step in QUEUING,
            "late": entry.step in IN and entering.is_late(fixture, clock.now()),
            "free_until": fixture.free_until or fixture.entries_close_at,
        }
        return show(request, "entries/withdraw.html", context)
    by = request.who.acting_as(entry.player.public_id)
    try:
        gone = entering.withdraw(entry=entry, by=by, at=clock.now())
    except Refusal as refusal:
        return errors.page(request, 409, refusal.words)
    whose = "Your entry" if len(request.who.players) == 1 else f"{entry.player.name}’s entry"
    said = f"{whose} for {fixture.name} is withdrawn."
    if gone.late:
        said += f" It is kept as a late withdrawal. {fixture.late_words}".rstrip()
    messages.success(request, said)
    return redirect("desk:fixture", public_id)


def _own(who: Who, entry: Entry) -> bool:
    """Whether the reader answers as the player or as the guest's host."""
    host = entry.host.public_id if entry.host else None
    return who.is_player(entry.player.public_id) or who.is_player(host)


def _by(who: Who, entry: Entry) -> Who:
    """The player the reader acts as here: the entry's own, or the guest's host."""
    for player in (entry.player, entry.host):
        if player is not None and who.is_player(player.public_id):
            return who.acting_as(player.public_id)
    return who


def _wishes_of(entry: Entry) -> str:
    where = reverse("entries:wishes", args=[entry.fixture.public_id])
    return f"{where}?entry={entry.public_id}"


def _back(request: Request, public_id: str) -> str:
    """Where the reader came from: the season page says so in its form."""
    if request.POST.get("from") == "season":
        return reverse("desk:season")
    return reverse("desk:fixture", args=[public_id])
