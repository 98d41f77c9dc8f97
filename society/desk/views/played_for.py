"""What a fixture is played for: competitions, divisions, side contests, twos."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from scoring.results.actions.contests import add_contest, remove_contest, write_winner
from scoring.results.tables.side import contest_line
from society.desk.access import entry_of_ones_own
from society.desk.forms.played_for import (
    CompetitionForm,
    ContestForm,
    DivisionsForm,
    FieldForm,
    StakeForm,
    TwosForm,
    WinnerForm,
    divisions_initial,
)
from society.desk.queries.nav import fixture_links
from society.desk.queries.played_for import competition_of, contest_of, played_for
from society.entries.actions.competing import (
    Contest,
    add_competition,
    change_competition,
    remove_competition,
)
from society.entries.actions.dividing import set_divisions
from society.entries.actions.twos import join_twos, set_stake, tick_twos
from society.fixtures.access import fixture_to_read, fixture_to_run, fixture_to_score
from society.fixtures.forms.terms import terms_initial
from society.fixtures.queries import engine_terms, the_competition, the_round
from society.members.queries import the_society
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.forms import say_refused
from society.web.pages import done
from society.web.pages import show as show_page
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.templatetags.look import count_of
from society.web.who import ORGANISERS, SCORERS


@access(SCORERS, "GET")
@require_safe
def page(request: Request, public_id: str) -> HttpResponse:
    """Competitions, divisions, side contests and twos of a fixture, with what may be done."""
    return _page(request, fixture_to_score(request.who, public_id))


def _page(
    request: Request, fixture: Any, wrong: forms.Form | None = None, status: int = 200
) -> HttpResponse:
    found = played_for(fixture)
    society = the_society()
    currency = society.currency if society else "GBP"
    made: dict[str, Any] = {
        "divisions": DivisionsForm(initial=divisions_initial(found.scheme)),
        "contest": ContestForm(holes=found.holes),
        "stake": StakeForm(currency=currency, stake=fixture.twos_stake),
        "twos": TwosForm(entries=found.entries),
    }
    made |= {name: wrong for name, form in made.items() if type(form) is type(wrong)}
    winners = [
        wrong
        if isinstance(wrong, WinnerForm) and wrong.prefix == f"c-{contest.public_id}"
        else WinnerForm(contest=contest, entries=found.entries)
        for contest in found.contests
    ]
    context = {
        "fixture": fixture,
        "page": found,
        "links": fixture_links(fixture, request.who, "desk:played_for"),
        "organises": request.who.may(ORGANISERS),
        "form": wrong,
        "forms": made,
        "contests": list(zip(map(contest_line, found.contests), winners, strict=True)),
    }
    return show_page(request, "desk/played_for.html", context, status=status)


def _do(
    request: Request,
    fixture: Any,
    form: forms.Form,
    action: Callable[..., object],
    said: str,
    /,
    **values: object,
) -> HttpResponse:
    """One deed from a form of the page; a refusal stands beside its field."""
    status = 422
    if form.is_valid():
        try:
            action(by=request.who, at=clock.now(), **values)
        except (Missing, NotYours):
            raise
        except Refusal as refused:
            say_refused(form, refused)
            status = refused.status
        else:
            messages.success(request, said)
            return redirect("desk:played_for", fixture.public_id)
    return _page(request, fixture, form, status)


@access(ORGANISERS, "POST")
@require_POST
def divisions(request: Request, public_id: str) -> HttpResponse:
    """How the field is divided."""
    fixture = fixture_to_run(request.who, public_id)
    form = DivisionsForm(request.POST)
    values = {}
    if form.is_valid():
        values = {"scheme": form.scheme(), "words": form.cleaned_data["words"]}
    return _do(request, fixture, form, set_divisions, "The divisions are set.",
               fixture=fixture, **values)  # fmt: skip


@access(ORGANISERS, "POST")
@require_POST
def contest_new(request: Request, public_id: str) -> HttpResponse:
    """One more side contest."""
    fixture = fixture_to_run(request.who, public_id)
    form = ContestForm(request.POST, holes=played_for(fixture).holes)
    values = form.cleaned_data if form.is_valid() else {}
    return _do(request, fixture, form, add_contest, "The contest is set.",
               fixture=fixture, **values)  # fmt: skip


@access(ORGANISERS, "POST")
@require_POST
def contest_remove(request: Request, public_id: str, contest_id: str) -> HttpResponse:
    """Take a side contest out again."""
    fixture = fixture_to_run(request.who, public_id)
    return done(
        request,
        remove_contest,
        contest=contest_of(fixture, contest_id),
        to=reverse("desk:played_for", args=[public_id]),
        said="The contest is taken out.",
    )


@access(SCORERS, "POST")
@require_POST
def contest_winner(request: Request, public_id: str, contest_id: str) -> HttpResponse:
    """Who won a side contest."""
    fixture = fixture_to_score(request.who, public_id)
    contest = contest_of(fixture, contest_id)
    entries = played_for(fixture).entries
    form = WinnerForm(request.POST, contest=contest, entries=entries)
    values: dict[str, object] = {}
    if form.is_valid():
        by_id = {entry.public_id: entry for entry in entries}
        values = form.cleaned_data | {"entry": by_id.get(form.cleaned_data["entry"])}
    return _do(request, fixture, form, write_winner, "Written down.", contest=contest, **values)


@access(ORGANISERS, "POST")
@require_POST
def stake(request: Request, public_id: str) -> HttpResponse:
    """What the twos cost."""
    fixture = fixture_to_run(request.who, public_id)
    society = the_society()
    form = StakeForm(request.POST, currency=society.currency if society else "GBP")
    values = form.cleaned_data if form.is_valid() else {}
    return _do(request, fixture, form, set_stake, "The twos are set.", fixture=fixture, **values)


@access(SCORERS, "POST")
@require_POST
def twos(request: Request, public_id: str) -> HttpResponse:
    """Who is in the twos."""
    fixture = fixture_to_score(request.who, public_id)
    form = TwosForm(request.POST, entries=played_for(fixture).entries)
    values = form.cleaned_data if form.is_valid() else {}
    said = f"{count_of(len(values.get('entries', [])), 'player is,players are')} in the twos."
    return _do(request, fixture, form, tick_twos, said, fixture=fixture, **values)


@access(SIGNED_IN, "POST")
@require_POST
def twos_join(request: Request, public_id: str) -> HttpResponse:
    """A member goes into the twos, or out of them."""
    fixture = fixture_to_read(request.who, public_id)
    entry = entry_of_ones_own(request.who, fixture, request.POST.get("entry", ""))
    inside = request.POST.get("inside") == "yes"
    return done(
        request,
        join_twos,
        entry=entry,
        inside=inside,
        to=reverse("desk:fixture", args=[public_id]),
        said=f"{entry.player.name} is {'in' if inside else 'out of'} the twos.",
    )


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def competition_new(request: Request, public_id: str) -> HttpResponse:
    """One more competition over the same cards."""
    fixture = fixture_to_run(request.who, public_id)
    start = terms_initial(engine_terms(the_competition(fixture), the_round(fixture).holes))
    form = CompetitionForm(request.POST or None, initial=start | {"takes_part": "everybody"})
    if request.method == "POST" and form.is_valid():
        try:
            row = add_competition(
                fixture=fixture, contest=form.contest(), by=request.who, at=clock.now()
            )
        except NotYours:
            raise
        except Refusal as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"{row.name} is added. The same cards count for it.")
            return redirect("desk:played_for", public_id)
    return _competition_page(request, fixture, form, "Add the competition", "A second competition")


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def competition_change(request: Request, public_id: str, competition_id: str) -> HttpResponse:
    """Other terms or another field for one competition."""
    fixture = fixture_to_run(request.who, public_id)
    row = competition_of(fixture, competition_id)
    start = {"takes_part": row.takes_part, "counts_for_merit": row.counts_for_merit}
    form: CompetitionForm | FieldForm
    if row.number == 1:
        form = FieldForm(request.POST or None, initial=start)
    else:
        terms = terms_initial(engine_terms(row, the_round(fixture).holes))
        form = CompetitionForm(request.POST or None, initial=terms | start | {"name": row.name})
    if request.method == "POST" and form.is_valid():
        try:
            changed = change_competition(
                competition=row,
                contest=_contest(form),
                words=form.cleaned_data["words"],
                by=request.who,
                at=clock.now(),
            )
        except NotYours:
            raise
        except Refusal as refused:
            if isinstance(form, CompetitionForm):
                form.refuse(refused)
            else:
                form.add_error(refused.field, refused.words)
        else:
            messages.success(request, f"{changed.name} is changed.")
            return redirect("desk:played_for", public_id)
    return _competition_page(request, fixture, form, "Change the competition", row.name)


def _contest(form: CompetitionForm | FieldForm) -> Contest:
    if isinstance(form, CompetitionForm):
        return form.contest()
    said = form.cleaned_data
    return Contest("", {}, said["takes_part"], said["counts_for_merit"])


def _competition_page(
    request: Request, fixture: Any, form: forms.Form, verb: str, title: str
) -> HttpResponse:
    context = {"fixture": fixture, "form": form, "verb": verb, "title": title}
    status = 422 if form.is_bound and form.errors else 200
    return show_page(request, "desk/competition.html", context, status=status)


@access(ORGANISERS, "POST")
@require_POST
def competition_remove(request: Request, public_id: str, competition_id: str) -> HttpResponse:
    """Take a further competition out again."""
    fixture = fixture_to_run(request.who, public_id)
    return done(
        request,
        remove_competition,
        competition=competition_of(fixture, competition_id),
        to=reverse("desk:played_for", args=[public_id]),
        said="The competition is taken out.",
    )
