"""Comparing two versions of a card, settling what differs, certifying, answering a question."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from scoring.cards.access import card_to_read, card_to_sign
from scoring.cards.actions.asking import answer as answer_question
from scoring.cards.actions.signing import certify as certify_card
from scoring.cards.actions.submit import submit_card
from scoring.cards.forms import chosen_figures, maybe_uuid, read_uuid
from scoring.cards.rules.words import Capacity, Channel, Means, Outcome, Record
from scoring.cards.views.pages import CardPage, card_page, first_name
from society.web import clock
from society.web.access import OR_BY_LINK, access
from society.web.pages import done, show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.who import SCORERS

if TYPE_CHECKING:
    from scoring.cards.actions.submit import Submitted
    from society.entries.models import Start


def _compare_page(
    request: Request, start: Start, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    page = CardPage(request, start)
    reading, table = page.reading, page.table
    both = {Record.PLAYER, Record.MARKER} <= reading.records.keys()
    if table is None or not both:
        raise Missing("There are no two versions of this card to compare.")
    record = page.record or Record.COMMITTEE
    own = reading.records[Record.PLAYER].strokes
    other = reading.records[Record.MARKER].strokes
    differing = {hole for hole, _, _ in reading.differences}
    values, others = table.values(own), table.values(other)
    rows = [
        {
            "hole": hole,
            "own": one,
            "other": two,
            "value": value,
            "other_value": second,
            "differs": hole.number in differing,
            "name": f"h{hole.number}",
            "chosen": request.POST.get(f"h{hole.number}", ""),
        }
        for hole, one, two, value, second in zip(
            table.holes, own, other, values, others, strict=True
        )
    ]
    last = reading.records.get(record)
    context = page.context() | {
        "rows": rows,
        "differing": [row for row in rows if row["differs"]],
        "agree": len(rows) - len(differing),
        "record": record,
        "uuid": request.POST.get("uuid") or str(uuid4()),
        "parent": request.POST.get("parent", str(last.uuid) if last else ""),
        "own_said": table.said(own),
        "other_said": table.said(other),
        "may_settle": page.may_write or (page.record is None and request.who.may(SCORERS)),
        "refusal": refusal,
        "words": request.POST.get("words", ""),
    }
    return show(request, "cards/compare.html", context, status=status)


@access(OR_BY_LINK, "GET")
@require_safe
def compare(request: Request, public_id: str) -> HttpResponse:
    """Both versions hole by hole, and what differs to be settled."""
    return _compare_page(request, card_to_read(request.who, public_id))


@access(OR_BY_LINK, "POST")
@require_POST
def settle(request: Request, public_id: str) -> HttpResponse:
    """Take the chosen figures into one's own record; an officer into the committee's."""
    start = card_to_sign(request.who, public_id)
    page = CardPage(request, start)
    record = page.record or Record.COMMITTEE
    if not page.reading.differences:
        words = "Nothing differs on this card any more."
        return card_page(request, start, refusal=words, status=409)
    try:
        base, chosen = chosen_figures(request.POST, page.reading, record)
        if record is not Record.COMMITTEE and chosen == base:
            other = page.player_name if record is Record.MARKER else page.marker_name
            keeps = f"You keep your figures. Now {first_name(other)} takes them over too, or an "
            messages.warning(request, f"{keeps}officer decides.")
            return redirect("cards:compare", public_id)
        sent = submit_card(
            card_of=start,
            record=record,
            uuid=read_uuid(request.POST.get("uuid", "")),
            parent_uuid=maybe_uuid(request.POST.get("parent", "")),
            strokes=chosen,
            channel=Channel.PHONE,
            words=request.POST.get("words", "")[:1000],
            witness=request.POST.get("witness", "")[:200],
            by=request.who,
            at=clock.now(),
        )
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return _compare_page(request, start, refusal=refusal.words, status=refusal.status)
    messages.success(request, _settled(request, start, sent))
    return redirect("cards:show", public_id)


def _settled(request: Request, start: Start, sent: Submitted) -> str:
    """What became of the difference, and what comes next."""
    if sent.outcome is not Outcome.NEW:
        return sent.words
    left = len(CardPage(request, start).reading.differences)
    if left:
        return (
            f"Your figures are changed. {left} {'hole' if left == 1 else 'holes'} still to settle."
        )
    return "Settled: the card agrees. Whoever has not certified it does so now."


@access(OR_BY_LINK, "POST")
@require_POST
def certify(request: Request, public_id: str) -> HttpResponse:
    """One's own signature, or the other's with four digits on this phone."""
    start = card_to_sign(request.who, public_id)
    capacity = _capacity(request)
    if capacity is None:
        return card_page(request, start, refusal="Say who certifies the card.", status=422)
    if capacity is Capacity.MARKER and start.marker is None:
        return card_page(request, start, refusal="Name the marker first.", status=409)
    handed = bool(request.POST.get("handed"))
    own = Means.OWN_LINK if request.who.is_guest else Means.OWN_SIGN_IN
    marker = start.marker.player if start.marker else start.entry.player
    signer = start.entry.player if capacity is Capacity.PLAYER else marker
    try:
        certify_card(
            card=start,
            capacity=capacity,
            digest=request.POST.get("digest", "")[:64],
            means=Means.HANDED_OVER if handed else own,
            signer=signer,
            digits=request.POST.get("digits", "")[:20],
            by=request.who,
            at=clock.now(),
        )
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return card_page(request, start, refusal=refusal.words, status=refusal.status)
    name = first_name(signer.name)
    who = f"{name} has" if handed else "You have"
    messages.success(request, f"{who} certified this card as its {capacity}.")
    return redirect("cards:show", public_id)


def _capacity(request: Request) -> Capacity | None:
    sent = request.POST.get("capacity", "")
    return Capacity(sent) if sent in list(Capacity) else None


@access(OR_BY_LINK, "POST")
@require_POST
def answer(request: Request, public_id: str) -> HttpResponse:
    """The player, the marker or an officer answers the open question."""
    start = card_to_sign(request.who, public_id)
    return done(
        request,
        answer_question,
        start=start,
        words=request.POST.get("words", "")[:1000],
        to=reverse("cards:show", args=[public_id]),
        said="Your answer is kept, and the officers see it.",
    )
