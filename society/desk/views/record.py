"""The handicap record of a player: a page, the working of each score, and a paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.http import HttpResponse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from society.courses.rules import RatedHoles
from society.desk.forms.record import USUAL_ALLOWANCE, WouldPlayForm
from society.desk.printing.record import record_html
from society.desk.queries.learn import by_course
from society.desk.queries.record import record_page, score_page
from society.desk.queries.record_changes import changes_of
from society.desk.queries.record_next import next_of
from society.desk.queries.record_way import way_of
from society.desk.queries.would_play import WouldPlay, cards_for, usual_card, would_play
from society.members.access import player_to_read
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.pdf import pdf_response
from society.web.request import Request
from society.web.who import HANDICAPPERS

if TYPE_CHECKING:
    from datetime import date

    from society.desk.queries.record import RecordPage

FORM = ("card", "holes", "allowance")


@dataclass
class Asked:
    """The form as the address fills it, and what it comes to."""

    form: WouldPlayForm
    given: bool
    any_card: bool
    found: WouldPlay | None = None

    @property
    def status(self) -> int:
        """422 where something was asked for that cannot be; 200 where nothing was."""
        return 422 if self.given and self.form.errors else 200


@access(SIGNED_IN, "GET")
@require_safe
def record(request: Request, public_id: str) -> HttpResponse:
    """Figures, sum, every score, every change; and what would be played off elsewhere."""
    player = player_to_read(request.who, public_id)
    today = timezone.localdate(clock.now())
    page = record_page(player, today)
    asked = _asked(request, page, today)
    context = {
        "player": player,
        "mine": request.who.is_player(player.public_id),
        "handicaps": request.who.may(HANDICAPPERS),
        "page": page,
        "changes": changes_of(player, page.own, today),
        "next": next_of(page, asked.found),
        "way": way_of(page),
        "asked": asked,
        "form": asked.form,
    }
    return show(
        request,
        "desk/record.html",
        context,
        part="desk/_elsewhere.html",
        status=asked.status,
    )


@access(SIGNED_IN, "GET")
@require_safe
def record_score(request: Request, public_id: str, score_id: str) -> HttpResponse:
    """One score down to what was written on each hole: a page, or the part that opens on a row."""
    player = player_to_read(request.who, public_id)
    context = {
        "player": player,
        "page": score_page(player, score_id),
        "handicaps": request.who.may(HANDICAPPERS),
    }
    return show(request, "desk/record_score.html", context, part="desk/_record_working.html")


@access(SIGNED_IN, "GET")
@require_safe
def record_pdf(request: Request, public_id: str) -> HttpResponse:
    """The record on paper."""
    player = player_to_read(request.who, public_id)
    at = clock.now()
    page = record_page(player, timezone.localdate(at))
    html = record_html(page, changes_of(player, page.own, page.on), at=at)
    return pdf_response(request, html, f"handicap-{slugify(player.name)}.pdf")


def _asked(request: Request, page: RecordPage, today: date) -> Asked:
    cards = cards_for(page.player)
    usual = usual_card(cards, page.player, today)
    data = {
        "card": usual.value if usual else "",
        "holes": RatedHoles.EIGHTEEN.value,
        "allowance": str(USUAL_ALLOWANCE),
    } | {name: request.GET[name] for name in FORM if name in request.GET}
    card = next((one for one in cards if one.value == data["card"]), None)
    if card is not None and card.holes == 9:
        data["holes"] = RatedHoles.FIRST_NINE.value
    form = WouldPlayForm(data, groups=by_course(cards), auto_id="would-%s")
    given = any(name in request.GET for name in FORM)
    found = Asked(form, given, bool(cards))
    if form.is_valid() and card is not None and page.used is not None:
        found.found = would_play(
            page.used, card, form.rated_holes, form.cleaned_data["allowance"], today
        )
    return found
