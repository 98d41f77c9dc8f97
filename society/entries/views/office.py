"""The officers' list of entries: entering others, taking them out, closing and opening again."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from society.entries import queries
from society.entries.access import entry_to_run
from society.entries.actions import entering, guests
from society.entries.bridge.handicaps import asked_for
from society.entries.forms.entering import AddForm, GuestForm, OutForm, ReopenForm
from society.entries.rules.words import IN
from society.entries.views import words
from society.fixtures.access import fixture_to_run, fixture_to_score
from society.fixtures.queries import waiting_words
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState
from society.handicaps.queries.record import told_apart
from society.web import clock, errors
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import done, show
from society.web.refusals import BadInput, NotYours, Refusal
from society.web.request import Request
from society.web.who import ORGANISERS, SCORERS

if TYPE_CHECKING:
    from collections.abc import Callable

    from society.entries.models import Entry
    from society.fixtures.models import Fixture


@access(SCORERS, "GET")
@require_safe
def manage(request: Request, public_id: str) -> HttpResponse:
    """The officers' list: who is in, who waits, who left."""
    return _manage(request, fixture_to_score(request.who, public_id))


@access(ORGANISERS, "POST")
@require_POST
def add(request: Request, public_id: str) -> HttpResponse:
    """An organiser enters someone on the list, a guest with a host."""
    fixture = fixture_to_run(request.who, public_id)
    form = _add_form(fixture, request.POST)
    answer = _enter_by(request, fixture, form, entering.enter)
    if isinstance(answer, HttpResponse):
        return answer
    return _manage(request, fixture, add_form=form, status=answer)


@access(ORGANISERS, "POST")
@require_POST
def guest(request: Request, public_id: str) -> HttpResponse:
    """An organiser enters a guest who is not on the list yet."""
    fixture = fixture_to_run(request.who, public_id)
    form = _guest_form(fixture, request.POST)
    answer = _enter_by(request, fixture, form, guests.enter_guest)
    if isinstance(answer, HttpResponse):
        return answer
    return _manage(request, fixture, guest_form=form, status=answer)


def _enter_by(
    request: Request,
    fixture: Fixture,
    form: AddForm | GuestForm,
    action: Callable[..., Entry],
) -> HttpResponse | int:
    """Enter whoever the form names; the answer, or the status to show the form again with."""
    if not form.is_valid():
        return 422
    try:
        entry = action(fixture=fixture, **form.cleaned_data, by=request.who, at=clock.now())
    except Refusal as refusal:
        if FixtureState(fixture.state) in ENDED:  # the page has no form left to say it on
            return errors.page(request, 409, refusal.words)
        say_refused(form, refusal)
        return refusal.status
    messages.success(request, words.entered(request, fixture, entry))
    return redirect("entries:manage", fixture.public_id)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def played(request: Request, public_id: str) -> HttpResponse:
    """The list of who played, by boxes; who is no longer ticked is asked about first."""
    fixture = fixture_to_run(request.who, public_id)
    members = list(queries.members_to_tick())
    standing = {entry.player_id: entry for entry in queries.in_the_field(fixture)}
    called = told_apart(members, fixture.starts_on)
    context: dict[str, object] = {
        "fixture": fixture,
        "members": [(player, called[player.pk]) for player in members],
        "ticked": set(standing),
    }
    if request.method != "POST":
        return show(request, "entries/played.html", context)
    wanted = set(request.POST.getlist("player"))
    ticked = [player for player in members if player.public_id in wanted]
    gone = {
        entry.public_id: request.POST.get(f"said-{entry.public_id}", "")
        for entry in standing.values()
    }
    try:
        newly = entering.tick_players(
            fixture=fixture, players=ticked, gone=gone, by=request.who, at=clock.now()
        )
    except entering.StillToSay as asked:
        context |= {"asked": asked.entries, "ticked_players": ticked}
        return show(request, "entries/still_to_say.html", context, status=422)
    except Refusal as refusal:
        return errors.page(request, 409, refusal.words)
    messages.success(request, _ticked(len(ticked), len(newly)))
    return redirect("entries:manage", public_id)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def out(request: Request, public_id: str, entry_id: str) -> HttpResponse:
    """An organiser says that a player withdrew, or did not turn up."""
    fixture = fixture_to_run(request.who, public_id)
    entry = entry_to_run(request.who, fixture, entry_id)
    late = entry.step in IN and entering.is_late(fixture, clock.now())
    form = OutForm(
        request.POST if request.method == "POST" else None,
        late=late,
        initial={"how": request.GET.get("how", "withdrawn")},
    )
    if request.method == "POST" and form.is_valid():
        absent = form.cleaned_data["how"] == "absent"
        told = {} if absent else {"in_time": form.cleaned_data.get("in_time", False)}
        return done(
            request,
            entering.mark_absent if absent else entering.withdraw,
            entry=entry,
            words=form.cleaned_data["words"],
            **told,
            to=reverse("entries:manage", args=[public_id]),
            said=lambda left: words.left(entry.player.name, cast("entering.Left", left)),
        )
    status = 422 if form.is_bound else 200
    context = {"fixture": fixture, "entry": entry, "form": form}
    return show(request, "entries/out.html", context, status=status)


@access(ORGANISERS, "POST")
@require_POST
def close(request: Request, public_id: str) -> HttpResponse:
    """Close entries."""
    fixture = fixture_to_run(request.who, public_id)
    to = reverse("entries:manage", args=[public_id])
    return done(
        request,
        entering.close_entries,
        fixture=fixture,
        to=to,
        said=f"Entries for {fixture.name} are closed.",
    )


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def reopen(request: Request, public_id: str) -> HttpResponse:
    """Open entries again, with a reason."""
    fixture = fixture_to_run(request.who, public_id)
    form = ReopenForm(request.POST if request.method == "POST" else None)
    status = 422 if form.is_bound else 200
    if request.method == "POST" and form.is_valid():
        try:
            entering.reopen_entries(
                fixture=fixture, **form.cleaned_data, by=request.who, at=clock.now()
            )
        except BadInput as refusal:
            say_refused(form, refusal)
        except NotYours:
            raise
        except Refusal as refusal:
            return errors.page(request, 409, refusal.words)
        else:
            messages.success(request, f"Entries for {fixture.name} are open again.")
            return redirect("entries:manage", public_id)
    return show(request, "entries/reopen.html", {"fixture": fixture, "form": form}, status=status)


def _manage(
    request: Request,
    fixture: Fixture,
    *,
    add_form: AddForm | None = None,
    guest_form: GuestForm | None = None,
    status: int = 200,
) -> HttpResponse:
    state = FixtureState(fixture.state)
    organises = request.who.may(ORGANISERS) and state not in ENDED
    queue = list(queries.waiting(fixture))
    context = {
        "fixture": fixture,
        "state": STATE_WORDS[state],
        "entries": list(queries.in_the_field(fixture)),
        "queue": queries.with_offers(queue),
        "line_words": waiting_words(fixture),
        "gone": list(queries.gone(fixture)),
        "organises": organises,
    }
    if organises:
        context["add_form"] = add_form or _add_form(fixture)
        context["guest_form"] = guest_form or _guest_form(fixture)
    return show(request, "entries/manage.html", context, status=status)


def _add_form(fixture: Fixture, data: QueryDict | None = None) -> AddForm:
    return AddForm(
        data,
        players=queries.players_to_enter(fixture),
        hosts=queries.members_to_tick(),
        on=fixture.starts_on,
        auto_id="add_%s",
    )


def _guest_form(fixture: Fixture, data: QueryDict | None = None) -> GuestForm:
    kind, _ = asked_for(fixture)
    return GuestForm(
        data,
        hosts=queries.members_to_tick(),
        kind=kind,
        on=fixture.starts_on,
        auto_id="guest_%s",
    )


def _ticked(ticked: int, newly: int) -> str:
    return f"{ticked} ticked, {newly} of them new." if newly else f"{ticked} ticked, none new."
