"""Writing a card: my cards, one card, the one way figures come in, naming the marker."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, JsonResponse, RawPostDataException
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from scoring.cards.access import card_of_player, card_to_read, entry_of_field
from scoring.cards.actions.marking import name_marker
from scoring.cards.actions.submit import Submitted, submit_card
from scoring.cards.forms import CardForm, maybe_uuid, read_sent, read_uuid
from scoring.cards.queries import cards_of, own_starts, rounds_in_hand, tables_of
from scoring.cards.rules.strokes import Read
from scoring.cards.rules.words import Channel, Outcome, Record
from scoring.cards.views.pages import CardPage, card_page, first_name, state_words
from society.courses.rules import RatedHoles
from society.members.queries import society_day
from society.web import clock
from society.web.access import OR_BY_LINK, SIGNED_IN, access
from society.web.middleware import wants_json
from society.web.pages import done, show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request

if TYPE_CHECKING:
    from society.entries.models import Start

STATUS = {Outcome.NEW: 201, Outcome.ALREADY: 200, Outcome.HELD: 202}


@access(SIGNED_IN, "GET")
@require_safe
def mine(request: Request) -> HttpResponse:
    """Today's cards and those still open: the own ones and those this person marks."""
    rounds = []
    for round_ in rounds_in_hand(request.who, society_day(clock.now())):
        readings, tables = cards_of(round_), tables_of(round_)
        cards = []
        for start in own_starts(request.who, round_):
            reading, table = readings[start.entry_id], tables.get(start.entry_id)
            kind, words = state_words(reading, table)
            player = start.entry.player
            own = request.who.is_player(player.public_id)
            cards.append(
                {
                    "start": start,
                    "own": own,
                    "reading": reading,
                    "table": table,
                    "title": f"{player.name}’s card"
                    if not own or len(request.who.players) > 1
                    else "Your card",
                    "marker": start.marker.player.name if start.marker else "",
                    "said": table.said(reading.strokes) if table and reading.strokes else "",
                    "kind": kind,
                    "words": words,
                }
            )
        rounds.append({"round": round_, "fixture": round_.fixture, "cards": cards})
    return show(request, "cards/mine.html", {"rounds": rounds})


@access(OR_BY_LINK, "GET")
@require_safe
def card(request: Request, public_id: str) -> HttpResponse:
    """The whole card on one page."""
    return card_page(request, card_to_read(request.who, public_id))


@access(OR_BY_LINK, "POST")
@require_POST
def submit(request: Request, public_id: str) -> HttpResponse:
    """Figures from a phone, as a form or as JSON: one path, one set of answers."""
    start = card_to_read(request.who, public_id)
    if wants_json(request):
        return _submit_json(request, start)
    page = CardPage(request, start)
    if page.record is None:
        raise NotYours("Only the player and the marker write on this card.")
    if page.table is None:
        words = "Handicaps are not taken yet, so no card is taken. Nothing was changed."
        return card_page(request, start, refusal=words, status=409)
    form = CardForm(page.table, page.reading, page.record, request.POST)
    if not form.read.good:
        return card_page(request, start, data=request.POST, status=422)
    try:
        sent = _send(
            request,
            start,
            page.record,
            read_uuid(form.uuid),
            maybe_uuid(form.parent),
            form.read.strokes,
        )
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return card_page(
            request, start, data=request.POST, refusal=refusal.words, status=refusal.status
        )
    level = messages.WARNING if sent.outcome is Outcome.HELD else messages.SUCCESS
    messages.add_message(request, level, sent.words)
    own_address = reverse("cards:show", args=[public_id])
    asked = "?as=marker" if request.POST.get("record") == Record.MARKER else ""
    response = redirect(own_address + asked)
    response.status_code = 303
    return response


def _send(
    request: Request,
    start: Start,
    record: Record,
    uuid: UUID,
    parent: UUID | None,
    strokes: tuple[int | None, ...],
    claimed_at: datetime | None = None,
) -> Submitted:
    return submit_card(
        card_of=start,
        record=record,
        uuid=uuid,
        parent_uuid=parent,
        strokes=strokes,
        channel=Channel.PHONE,
        claimed_at=claimed_at,
        by=request.who,
        at=clock.now(),
    )


def _submit_json(request: Request, start: Start) -> HttpResponse:
    """201 new, 200 there already, 202 held, 409 not now, 422 bad: always with a sentence."""
    try:
        body = request.body
    except RawPostDataException:  # a form in parts, which has been read as one already
        words = "The card cannot be read: send it as JSON, or as a form that wants a page."
        return JsonResponse({"words": words}, status=422)
    try:
        sent = read_sent(body, tuple(RatedHoles(start.round.holes).numbers))
        if not sent.read.good:
            return JsonResponse(
                {
                    "words": _first_words(sent.read),
                    "holes": [{"hole": hole, "words": words} for hole, words in sent.read.problems],
                    "asks": [{"hole": hole, "score": score} for hole, score in sent.read.asks],
                },
                status=422,
            )
        outcome = _send(
            request, start, sent.record, sent.uuid, sent.parent, sent.read.strokes, sent.claimed_at
        )
    except Refusal as refusal:
        return JsonResponse({"words": refusal.words}, status=refusal.status)
    return JsonResponse(
        {
            "uuid": str(outcome.revision.uuid),
            "digest": outcome.revision.digest,
            "outcome": outcome.outcome.value,
            "words": outcome.words,
        },
        status=STATUS[outcome.outcome],
    )


def _first_words(read: Read) -> str:
    if read.problems:
        return read.problems[0][1]
    hole, score = read.asks[0]
    return f"{score} on hole {hole}: confirm that it is right, or change it."


@access(OR_BY_LINK, "POST")
@require_POST
def marker(request: Request, public_id: str) -> HttpResponse:
    """The player names the marker where no draw does."""
    start = card_of_player(request.who, public_id)
    try:
        chosen = entry_of_field(start, request.POST.get("marker", ""))
    except Missing:
        words = "Choose who marks this card."
        return card_page(request, start, refusal=words, status=422)
    name = first_name(chosen.player.name)
    return done(
        request,
        name_marker,
        start=start,
        marker=chosen,
        to=reverse("cards:show", args=[public_id]),
        said=f"{name} marks this card.",
    )
