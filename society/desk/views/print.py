"""The papers of a fixture as PDF."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.conf import settings
from django.http import HttpResponse
from django.views.decorators.http import require_http_methods, require_safe

from society.desk.forms.printing import PrintForm
from society.desk.printing.cards import printed_cards
from society.desk.printing.papers import start_sheet_html
from society.desk.queries.nav import fixture_links
from society.desk.queries.paper_list import papers_of
from society.desk.queries.printed import CardsToPrint, cards_to_print
from society.desk.queries.scorecards import CardPaper, chosen_cards, scorecards, spare_cards
from society.entries.actions.printing import note_printed
from society.entries.bridge import the_draw
from society.entries.queries import handicaps_taken
from society.entries.rules.words import PaperShape
from society.fixtures.access import fixture_to_read, fixture_to_score
from society.fixtures.queries import the_round
from society.web import clock, errors, pdf
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.pdf import pdf_response
from society.web.refusals import Missing, NotYours
from society.web.request import Request
from society.web.who import SCORERS

if TYPE_CHECKING:
    from society.fixtures.models import Fixture


@access(SCORERS, "GET")
@require_safe
def papers(request: Request, public_id: str) -> HttpResponse:
    """Every paper of a fixture on one page, each with a sentence."""
    fixture = fixture_to_score(request.who, public_id)
    context = {
        "fixture": fixture,
        "parts": papers_of(fixture),
        "pdf": pdf.pdf_available(),
        "links": fixture_links(fixture, request.who, "desk:papers"),
    }
    return show(request, "desk/papers.html", context)


@access(SIGNED_IN, "GET")
@require_safe
def start_sheet(request: Request, public_id: str) -> HttpResponse:
    """For members once the draw is published; `?digits=1` is the officers' own copy."""
    fixture = fixture_to_read(request.who, public_id)
    digits = "digits" in request.GET
    if not request.who.may(SCORERS):
        draw = the_draw(the_round(fixture))
        if draw is None or not draw.is_published:
            raise Missing("No draw is published for this fixture.")
        if digits:
            raise NotYours("The four digits are for the player and the officers alone.")
    html = start_sheet_html(fixture, digits=digits, at=clock.now())
    return pdf_response(request, html, f"start-sheet-{fixture.starts_on:%Y-%m-%d}.pdf")


@access(SCORERS, "GET")
@require_safe
def cards_page(request: Request, public_id: str) -> HttpResponse:
    """The tick list of cards; `?group=`, `?change=`, `?ticked=all` or `none` say what is ticked."""
    fixture = fixture_to_score(request.who, public_id)
    return _cards_page(request, fixture)


def _cards_page(
    request: Request, fixture: Fixture, form: PrintForm | None = None, status: int = 200
) -> HttpResponse:
    page = cards_to_print(fixture) if handicaps_taken(fixture) else None
    ticked = _ticked(request, fixture, page) if page else frozenset()
    context = {
        "fixture": fixture,
        "page": page,
        "ticked": ticked,
        "form": form or PrintForm(page.tees if page else ()),
        "links": fixture_links(fixture, request.who, "desk:papers"),
    }
    return show(request, "desk/print_cards.html", context, status=status)


def _ticked(request: Request, fixture: Fixture, page: CardsToPrint) -> frozenset[str]:
    """The cards ticked at first: what the address asks for, else those that want printing."""
    if request.method == "POST":
        return frozenset(request.POST.getlist("card"))
    group, change = _number(request, "group"), _number(request, "change")
    if group is not None or change is not None:
        wanted = chosen_cards(fixture, group=group, change=change)
        return frozenset(card.card_id for card in scorecards(fixture, wanted))
    which = request.GET.get("ticked", "")
    return frozenset(
        row.card.card_id for row in page.rows if which == "all" or (row.wanted and which != "none")
    )


@access(SCORERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def scorecards_pdf(request: Request, public_id: str) -> HttpResponse:
    """POST prints what is ticked and notes it; GET only shows some (`?group=`, `?changed=1`)."""
    fixture = fixture_to_score(request.who, public_id)
    if not handicaps_taken(fixture):
        return errors.page(
            request, 409, "Take handicaps first: a card says what its player plays off."
        )
    if request.method != "POST":
        wanted = chosen_cards(
            fixture,
            group=_number(request, "group"),
            changed="changed" in request.GET,
            change=_number(request, "change"),
        )
        return _cards_answer(request, fixture, scorecards(fixture, wanted), PaperShape.CARD)
    form = PrintForm(cards_to_print(fixture).tees, request.POST)
    if not form.is_valid():
        return _cards_page(request, fixture, form, status=422)
    ticked = set(request.POST.getlist("card"))
    cards = [card for card in scorecards(fixture, lambda entry: True) if card.card_id in ticked]
    spares = spare_cards(fixture, form.spares())
    if not cards and not spares:
        form.add_error(None, "Nothing is ticked: tick the cards to print, or ask for spares.")
        return _cards_page(request, fixture, form, status=422)
    if not pdf.pdf_available():
        return errors.page(request, 503, pdf.NO_PANGO)
    shape = PaperShape(form.cleaned_data["shape"])
    if cards:
        note_printed(
            round_=the_round(fixture),
            shape=shape,
            said={card.card_id: card.said for card in cards},
            by=request.who,
            at=clock.now(),
        )
    return _cards_answer(request, fixture, [*cards, *spares], shape)


def _cards_answer(
    request: Request, fixture: Fixture, cards: list[CardPaper], shape: PaperShape
) -> HttpResponse:
    if not cards:
        return errors.page(request, 409, "There is no card to print by that choice.")
    site = settings.SITE_URL or request.build_absolute_uri("/").rstrip("/")
    made = printed_cards(fixture, cards, site=site, at=clock.now())
    name = f"{shape.value}s-{fixture.starts_on:%Y-%m-%d}.pdf"
    return pdf_response(request, made.html, name, made.sheets)


def _number(request: Request, name: str) -> int | None:
    text = request.GET.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 6 else None
