"""The result as everyone reads it, one card in full, the result as a file, and the rulings."""

import hashlib
import json
import secrets
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from scoring.results.access import (
    result_for_everybody,
    result_to_read,
    result_to_rule,
    ruling_to_withdraw,
)
from scoring.results.actions.ruling import put_in_order, rule, rule_everywhere, withdraw_ruling
from scoring.results.forms import OrderForm, RulingForm, WithdrawForm
from scoring.results.printing import result_html
from scoring.results.queries.rulings import another_officer, rulings_shown
from scoring.results.queries.standings import (
    Standing,
    entry_behind,
    origin_of,
    provisional,
    standing,
)
from scoring.results.queries.versions import last_change, looked_at_again, versions_shown
from scoring.results.sheets import result_listing
from scoring.results.tables.board import board_of
from scoring.results.tables.card import card_of
from scoring.results.tables.side import contest_lines, division_words, twos_shown
from scoring.results.tables.spread import spread_of
from society.fixtures.queries import competitions_of, played_off_words
from society.handicaps.queries.cuts import proposed_by
from society.members.queries import Post, post_about
from society.members.rules import LetterKind
from society.web import clock
from society.web.access import RESULTS_WHEN_PUBLIC, SIGNED_IN, access
from society.web.downloads import list_file
from society.web.forms import say_refused
from society.web.middleware import sign_in_first
from society.web.pages import show as show_page
from society.web.pages import unlisted
from society.web.pdf import pdf_response
from society.web.refusals import BadInput, Missing, NotYours, Refusal
from society.web.request import Request
from society.web.version import code_version
from society.web.who import HANDICAPPERS, ORGANISERS, SCORERS, Who


@access(RESULTS_WHEN_PUBLIC, "GET")
@require_safe
def show(request: Request, public_id: str) -> HttpResponse:
    """The result of a fixture: scores so far, or the version that stands."""
    if not request.who.signed_in:
        return _for_everybody(request, public_id)
    competition = result_to_read(request.who, public_id)
    post = _post(request.who, competition.fixture.public_id)
    tag = _etag(request, post)
    if tag and (unchanged := get_conditional_response(request, etag=tag)):
        return _kept(unchanged, tag)
    now = standing(competition)
    division = request.GET.get("division", "")
    if division and division not in now.answer["divisions"]:
        raise Missing("There is no such division in this result.")
    board = board_of(now, request.who.players, division)
    context = {
        "competition": competition,
        "fixture": competition.fixture,
        "standing": now,
        "board": board,
        "division": division,
        "division_words": division_words(now),
        "played_off": played_off_words(competition),
        "may_rule": request.who.may(ORGANISERS),
        "may_score": request.who.may(SCORERS),
        "versions": versions_shown(now),
        "again": looked_at_again(competition.fixture) if now.is_final else None,
        "post": post,
        "competitions": competitions_of(competition.fixture),
        "contests": contest_lines(now),
        "twos": twos_shown(now),
        "cuts": _cuts(request.who, competition.public_id),
    }
    response = show_page(request, "results/show.html", context)
    return _kept(response, tag) if tag else response


def _for_everybody(request: Request, public_id: str) -> HttpResponse:
    """A final result for anybody: places, names and scores, and nothing of a card or handicap."""
    competition = result_for_everybody(public_id)
    if competition is None:
        return sign_in_first(request)
    now = standing(competition)
    context = {
        "competition": competition,
        "fixture": competition.fixture,
        "standing": now,
        "board": board_of(now),
        "again": looked_at_again(competition.fixture),
        "competitions": competitions_of(competition.fixture),
    }
    return unlisted(show_page(request, "results/public.html", context))


def _cuts(who: Who, event: str) -> tuple[int, int]:
    """How many cuts this result proposed and how many wait, for who keeps handicaps; else none."""
    return proposed_by(event) if who.may(HANDICAPPERS) else (0, 0)


def _post(who: Who, public_id: str) -> Post | None:
    """How the letters with this result stand, for those who run it."""
    if not who.may(ORGANISERS):
        return None
    kinds = (LetterKind.RESULT, LetterKind.RESULT_CHANGED)
    return post_about(f"fixture:{public_id}", *kinds, latest=True)


def _etag(request: Request, post: Post | None = None) -> str:
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
        repr(post),
    ]
    return f'"{hashlib.sha256(json.dumps(made_of).encode()).hexdigest()[:32]}"'


def _kept(response: HttpResponse, tag: str) -> HttpResponse:
    """The reader's own browser may keep the page, and asks each time whether it still stands."""
    response.headers["ETag"] = tag
    response.headers["Cache-Control"] = "private, no-cache"
    return response


@access(SIGNED_IN, "GET")
@require_safe
def card(request: Request, public_id: str, key: str) -> HttpResponse:
    """One card of the result: a page of its own, or the part that opens under its row."""
    competition = result_to_read(request.who, public_id)
    now = standing(competition)
    shown = card_of(now, key, origin=origin_of(now, key))
    if shown is None:
        raise Missing("There is no such card in this result.")
    context = {
        "competition": competition,
        "fixture": competition.fixture,
        "standing": now,
        "card": shown,
    }
    return show_page(request, "results/card.html", context, part="results/_nines.html")


@access(SIGNED_IN, "GET")
@require_safe
def spread(request: Request, public_id: str) -> HttpResponse:
    """How the scores are spread: a page of its own, or the part that opens beside the standing."""
    competition = result_to_read(request.who, public_id)
    now = standing(competition)
    division = request.GET.get("division", "")
    if division and division not in now.answer["divisions"]:
        raise Missing("There is no such division in this result.")
    context = {
        "competition": competition,
        "standing": now,
        "picture": spread_of(now, request.who.players, division),
    }
    return show_page(request, "results/spread.html", context, part="results/_spread.html")


@access(SIGNED_IN, "GET")
@require_safe
def as_list(request: Request, public_id: str, kind: str) -> HttpResponse:
    """The result as a file for a spreadsheet."""
    competition = result_to_read(request.who, public_id)
    return list_file(result_listing(standing(competition)), f"result-{public_id}", kind)


@access(SIGNED_IN, "GET")
@require_safe
def as_pdf(request: Request, public_id: str) -> HttpResponse:
    """The result on paper."""
    competition = result_to_read(request.who, public_id)
    html = result_html(standing(competition), clock.now())
    return pdf_response(request, html, f"result-{public_id}.pdf")


# rulings -----------------------------------------------------------------------------------


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def rulings(request: Request, public_id: str) -> HttpResponse:
    """Every ruling of a competition, and the forms to make one or take one back."""
    competition = result_to_rule(request.who, public_id)
    now = provisional(competition)
    if request.method != "POST":
        return _rulings_page(request, now)
    several = len(competitions_of(competition.fixture)) > 1
    form = RulingForm(request.POST, standing=now, own=_alone(request), several=several)

    def make(**who: Any) -> None:
        values = form.as_ruling() | {"entry": _entry(now, form)} | who
        if form.everywhere:
            rule_everywhere(competition=competition, **_without(values, "points"))
        else:
            rule(competition=competition, **values)

    return _ruled(request, now, form, make)


@access(ORGANISERS, "POST")
@require_POST
def order(request: Request, public_id: str) -> HttpResponse:
    """The order of one group still level."""
    competition = result_to_rule(request.who, public_id)
    now = provisional(competition)
    group = next((g for g in _level(now) if g[0] == request.POST.get("group")), None)
    if group is None:
        words = "These players are not level any more. Look at the standing as it is now."
        return _rulings_page(request, now, refusal=words, status=409)
    form = OrderForm(request.POST, standing=now, keys=group, own=_alone(request))
    seed = secrets.token_hex(8)  # drawn here, once, for a lot; kept with the ruling

    def make(**who: Any) -> None:
        put_in_order(competition=competition, seed=seed, **form.as_ruling(), **who)

    return _ruled(request, now, form, make)


@access(ORGANISERS, "POST")
@require_POST
def withdraw(request: Request, public_id: str, ruling: str) -> HttpResponse:
    """Take one ruling back."""
    row = ruling_to_withdraw(request.who, public_id, ruling)
    form = WithdrawForm(request.POST)
    if not form.is_valid():
        words = "Say why the ruling is taken back, in one line."
        return _rulings_page(request, provisional(row.competition), refusal=words, status=422)
    try:
        withdraw_ruling(ruling=row, **form.cleaned_data, by=request.who, at=clock.now())
    except NotYours:
        raise
    except Refusal as refused:
        now = provisional(row.competition)
        return _rulings_page(request, now, refusal=refused.words, status=refused.status)
    messages.success(request, "The ruling is withdrawn. It stays listed with your reason.")
    return redirect(reverse("results:rulings", args=[public_id]))


def _ruled(
    request: Request,
    now: Standing,
    form: forms.Form,
    make: Callable[..., None],
) -> HttpResponse:
    """Make the ruling of a form, or show the page again with what is wrong beside it."""
    if form.is_valid():
        try:
            make(by=request.who, at=clock.now())
        except BadInput as refused:
            say_refused(form, refused)
        except NotYours:
            raise
        except Refusal as refused:
            return _rulings_page(request, now, refusal=refused.words, status=refused.status)
        else:
            messages.success(request, "The ruling is made and everyone can read it.")
            return redirect(reverse("results:rulings", args=[now.competition.address]))
    return _rulings_page(request, now, form=form, status=422)


def _rulings_page(
    request: Request,
    now: Standing,
    *,
    form: forms.Form | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    own = _alone(request)
    competitions = competitions_of(now.competition.fixture)
    context = {
        "competition": now.competition,
        "fixture": now.competition.fixture,
        "standing": now,
        "form": form if isinstance(form, RulingForm)
        else RulingForm(standing=now, own=own, several=len(competitions) > 1),
        "wrong": form,
        "orders": [
            form if isinstance(form, OrderForm) and form.keys == group
            else OrderForm(standing=now, keys=group, own=own)
            for group in _level(now)
        ],
        "rulings": rulings_shown(now.competition),
        "competitions": competitions,
        "alone": own,
        "waits": bool(request.who.players) and not own,
        "refusal": refusal,
    }  # fmt: skip
    return show_page(request, "results/rulings.html", context, status=status)


def _without(values: dict[str, Any], name: str) -> dict[str, Any]:
    return {key: value for key, value in values.items() if key != name}


def _level(now: Standing) -> list[list[str]]:
    """The groups still level after every step, each in the order of the standing."""
    groups: dict[int, list[str]] = {}
    for row in now.answer["standings"]:
        if row["tied"]:
            groups.setdefault(row["place"], []).append(row["player"])
    return list(groups.values())


def _entry(now: Standing, form: RulingForm) -> object:
    return entry_behind(now, form.cleaned_data["entry"])


def _alone(request: Request) -> bool:
    """Whether this officer plays and nobody else could rule on the officer's own card."""
    return bool(request.who.players) and not another_officer(request.who, clock.now())
