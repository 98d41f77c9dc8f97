"""For those who take in cards: cards in and out, typing paper, questions, checks, what is held."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from scoring.cards.access import card_to_handle, round_to_score
from scoring.cards.actions import asking, reminding, signing
from scoring.cards.actions.submit import submit_card
from scoring.cards.forms import TypeForm, maybe_uuid, read_uuid
from scoring.cards.queries import may_remind, other_scorers
from scoring.cards.rules.strokes import as_line
from scoring.cards.rules.words import Capacity, Channel, Means, Outcome, Record
from scoring.cards.tables import Line, in_and_out
from scoring.cards.views.pages import card_page
from society.courses.rules import RatedHoles
from society.fixtures.queries import competitions_of
from society.members.queries import post_about
from society.members.rules import LetterKind
from society.web import clock
from society.web.access import access
from society.web.pages import done, show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.templatetags.look import names
from society.web.who import SCORERS

if TYPE_CHECKING:
    from society.fixtures.models import Round


@access(SCORERS, "GET")
@require_safe
def in_out(request: Request, fixture_id: str) -> HttpResponse:
    """Every card of the field: what is missing, queried, waiting, by group."""
    round_ = round_to_score(request.who, fixture_id)
    board = in_and_out(round_)
    return show(
        request,
        "cards/in_out.html",
        {
            "fixture": round_.fixture,
            "round": round_,
            "competitions": competitions_of(round_.fixture),
            "board": board,
            "may_remind": may_remind(round_, clock.now()),
            "post": post_about(f"fixture:{fixture_id}", LetterKind.CARD_MISSING, latest=True),
        },
    )


@access(SCORERS, "POST")
@require_POST
def remind(request: Request, fixture_id: str) -> HttpResponse:
    """Ask by letter for every card that is out."""
    round_ = round_to_score(request.who, fixture_id)
    to = reverse("cards:in_out", args=[fixture_id])
    return done(request, reminding.remind, to=to, said=_reminded, round=round_)


def _reminded(outcome: object) -> str:
    if not isinstance(outcome, reminding.Reminded):
        return ""
    said = []
    if outcome.told:
        verb = "A letter is written to" if settings.SENDS_EMAIL else "No e-mail is set up. Ask"
        said.append(f"{verb} {names(outcome.told)}.")
    if outcome.by_hand:
        said.append(f"No address: ask {names(outcome.by_hand)} yourself.")
    if outcome.lately:
        said.append(f"Asked within the last two hours: {names(outcome.lately)}.")
    return " ".join(said) or "No card is missing."


# typing ------------------------------------------------------------------------------------


@access(SCORERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def type_cards(request: Request, fixture_id: str) -> HttpResponse:
    """Paper cards from the keyboard: one line, Enter, the next card."""
    round_ = round_to_score(request.who, fixture_id)
    numbers = tuple(RatedHoles(round_.holes).numbers)
    if request.method != "POST":
        return _type_page(request, round_, TypeForm(numbers), request.GET)
    form = TypeForm(numbers, request.POST)
    board = in_and_out(round_)
    line = next((one for one in board.lines if one.public_id == form.card), None)
    if line is None:
        form.refusal = "Choose whose card it is."
        return _type_page(request, round_, form, {}, status=422)
    if not form.read.good:
        return _type_page(request, round_, form, {}, status=422)
    last = line.reading.records.get(Record.COMMITTEE)
    if last is not None and form.opened != form.card:
        # Typed for a card that is in already: shown with what is there, taken when sent again.
        form.refusal = (
            f"{line.player}’s card is typed already: {as_line(last.strokes)}. "
            "Press Enter again to put what you typed now in its place."
        )
        form.opened, form.parent = form.card, str(last.uuid)
        return _type_page(request, round_, form, {}, status=409)
    try:
        sent = submit_card(
            card_of=line.reading.start,
            record=Record.COMMITTEE,
            uuid=read_uuid(form.uuid),
            parent_uuid=maybe_uuid(form.parent) if form.opened == form.card else None,
            strokes=form.read.strokes,
            channel=Channel.PAPER,
            signatures_seen=form.seen,
            words=form.words,
            witness=form.witness,
            by=request.who,
            at=clock.now(),
        )
    except Missing:
        raise
    except Refusal as refusal:
        form.refusal = refusal.words
        return _type_page(request, round_, form, {}, status=refusal.status)
    said = line.table.said(form.read.strokes) if line.table else ""
    if sent.outcome is Outcome.HELD:
        messages.warning(request, f"{line.player}: {sent.words}")
    else:
        messages.success(request, f"{line.player}: {said}. {as_line(form.read.strokes)}")
    carried = form.sticky if form.opened == form.card else form.seen
    query = {"after": form.card, **({"seen": "1"} if carried else {})}
    return redirect(f"{reverse('cards:type', args=[fixture_id])}?{urlencode(query)}")


def _type_page(
    request: Request,
    round_: Round,
    form: TypeForm,
    query: Mapping[str, str],
    status: int = 200,
) -> HttpResponse:
    board = in_and_out(round_)
    if not form.is_bound:
        form.seen = form.sticky = bool(query.get("seen"))
        form.card = query.get("card") or board.next_after(query.get("after", ""))
        chosen = board.line(form.card)
        last = chosen.reading.records.get(Record.COMMITTEE) if chosen else None
        if chosen is not None and last is not None:
            form.opened, form.parent, form.line = form.card, str(last.uuid), as_line(last.strokes)
            form.seen = form.seen or chosen.reading.signatures_seen
    chosen = board.line(form.card)
    context = {
        "fixture": round_.fixture,
        "round": round_,
        "competitions": competitions_of(round_.fixture),
        "board": board,
        "form": form,
        "chosen": chosen,
        "last": board.line(query.get("after", "")) if query else None,
        "ask_witness": chosen is not None and _alone(request, chosen),
    }
    return show(request, "cards/type.html", context, status=status)


def _alone(request: Request, line: Line) -> bool:
    """Whether this officer changes the own card and nobody else could do it."""
    own = request.who.is_player(line.reading.start.entry.player.public_id)
    written = line.reading.standing is not None
    return own and written and not other_scorers(request.who, clock.now())


# one card ----------------------------------------------------------------------------------


def _do(
    request: Request, public_id: str, deed: Callable[..., object], said: str, **values: object
) -> HttpResponse:
    """One officer's deed on a card; a refusal is said on the card's own page."""
    start = card_to_handle(request.who, public_id)
    try:
        deed(by=request.who, at=clock.now(), **values)
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return card_page(request, start, refusal=refusal.words, status=refusal.status)
    messages.success(request, said)
    return redirect("cards:show", public_id)


@access(SCORERS, "POST")
@require_POST
def ask(request: Request, public_id: str) -> HttpResponse:
    """Ask about a card."""
    start = card_to_handle(request.who, public_id)
    words = request.POST.get("words", "")[:1000]
    return _do(
        request, public_id, asking.ask, "Your question is on the card.", start=start, words=words
    )


@access(SCORERS, "POST")
@require_POST
def check(request: Request, public_id: str) -> HttpResponse:
    """Say that a returned card is right."""
    start = card_to_handle(request.who, public_id)
    return _do(request, public_id, asking.check, "The card is checked.", start=start)


@access(SCORERS, "POST")
@require_POST
def decide(request: Request, public_id: str) -> HttpResponse:
    """Leave figures kept beside the card out; they are taken by the desk, which knows rulings."""
    start = card_to_handle(request.who, public_id)
    try:
        uuid = read_uuid(request.POST.get("held", ""))
    except Refusal as refusal:
        return card_page(request, start, refusal=refusal.words, status=422)
    words = request.POST.get("words", "")[:1000]
    return _do(
        request,
        public_id,
        asking.refuse_held,
        "The figures are left out; they stay on record.",
        start=start,
        uuid=uuid,
        words=words,
    )


@access(SCORERS, "POST")
@require_POST
def signatures(request: Request, public_id: str) -> HttpResponse:
    """Both signatures seen on the paper, or taken back."""
    start = card_to_handle(request.who, public_id)
    if request.POST.get("back"):
        return _do(
            request,
            public_id,
            signing.take_signatures_back,
            "The signatures no longer count.",
            card=start,
            words=request.POST.get("words", "")[:1000],
        )
    return _do(
        request,
        public_id,
        signing.see_signatures,
        "Both signatures count.",
        card=start,
        digest=request.POST.get("digest", "")[:64],
    )


@access(SCORERS, "POST")
@require_POST
def word(request: Request, public_id: str) -> HttpResponse:
    """An officer's word stands for a signature, with the reason."""
    start = card_to_handle(request.who, public_id)
    marks = request.POST.get("capacity") == Capacity.MARKER
    if marks and start.marker is None:
        return card_page(request, start, refusal="Name the marker first.", status=409)
    signer = start.marker.player if marks and start.marker else start.entry.player
    return _do(
        request,
        public_id,
        signing.certify,
        "Your word stands for the signature.",
        card=start,
        capacity=Capacity.MARKER if marks else Capacity.PLAYER,
        digest=request.POST.get("digest", "")[:64],
        means=Means.OFFICERS_WORD,
        signer=signer,
        words=request.POST.get("words", "")[:1000],
        witness=request.POST.get("witness", "")[:200],
    )
