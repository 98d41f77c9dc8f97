"""The papers of a fixture as PDF."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from scoring.results.queries.side import contests_of
from society.desk.forms.printing import DayTermsForm, LabelForm, PrintForm
from society.desk.printing import day
from society.desk.printing.papers import start_sheet_html
from society.desk.printing.shapes import in_shape, label_sheet, label_test_html
from society.desk.queries.nav import fixture_links
from society.desk.queries.paper_list import papers_of
from society.desk.queries.printed import CardsToPrint, cards_to_print
from society.desk.queries.scorecards import CardPaper, chosen_cards, scorecards, spare_cards
from society.desk.rules.labels import LabelSheet
from society.entries.actions.printing import note_printed
from society.entries.bridge.draws import the_draw
from society.entries.queries import handicaps_taken
from society.entries.rules.words import PaperShape
from society.fixtures.access import fixture_to_read, fixture_to_run, fixture_to_score
from society.fixtures.actions.planning import DAY_TERMS, set_day_terms
from society.fixtures.queries import the_round
from society.members.actions.society import keep_label_sheet
from society.web import clock, errors, pdf
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.pdf import pdf_response
from society.web.refusals import Missing, NotYours
from society.web.request import Request
from society.web.who import ORGANISERS, SCORERS

if TYPE_CHECKING:
    from society.fixtures.models import Fixture

    Html = Callable[[Fixture, datetime], str]


@access(SCORERS, "GET")
@require_safe
def papers(request: Request, public_id: str) -> HttpResponse:
    """Every paper of a fixture on one page, each with a sentence."""
    fixture = fixture_to_score(request.who, public_id)
    context = {
        "fixture": fixture,
        "parts": papers_of(fixture, organises=request.who.may(ORGANISERS)),
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


def _paper(request: Request, public_id: str, html: Html, name: str) -> HttpResponse:
    fixture = fixture_to_score(request.who, public_id)
    made = html(fixture, clock.now())
    return pdf_response(request, made, f"{name}-{fixture.starts_on:%Y-%m-%d}.pdf")


@access(SCORERS, "GET")
@require_safe
def names(request: Request, public_id: str) -> HttpResponse:
    """The start sheet by name."""
    return _paper(request, public_id, day.names_html, "players-by-name")


@access(SCORERS, "GET")
@require_safe
def venue(request: Request, public_id: str) -> HttpResponse:
    """For the club: numbers, times, tees, buggies, meals."""
    return _paper(request, public_id, day.venue_html, "for-the-venue")


@access(SCORERS, "GET")
@require_safe
def card_box(request: Request, public_id: str) -> HttpResponse:
    """The check-list by the card box."""
    return _paper(request, public_id, day.box_html, "card-box")


@access(SCORERS, "GET")
@require_safe
def side_contests(request: Request, public_id: str) -> HttpResponse:
    """A card for each side contest."""
    if not contests_of(fixture_to_score(request.who, public_id)):
        return errors.page(request, 409, "This fixture has no side contest to print a card for.")
    return _paper(request, public_id, day.contests_html, "side-contests")


@access(SCORERS, "GET")
@require_safe
def read_out(request: Request, public_id: str) -> HttpResponse:
    """What is read out at the prize-giving."""
    if not handicaps_taken(fixture_to_score(request.who, public_id)):
        return errors.page(request, 409, "Take handicaps first: until then there is no result.")
    return _paper(request, public_id, day.read_out_html, "to-read-out")


@access(SCORERS, "GET")
@require_safe
def day_terms_pdf(request: Request, public_id: str) -> HttpResponse:
    """The day's terms, to hang by the first tee."""
    return _paper(request, public_id, day.terms_html, "terms-of-the-day")


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def day_terms(request: Request, public_id: str) -> HttpResponse:
    """Local conditions, signals, who decides, shelter: written down for the sheet."""
    fixture = fixture_to_run(request.who, public_id)
    sent = request.POST if request.method == "POST" else None
    form = DayTermsForm(sent, initial={name: getattr(fixture, name) for name in DAY_TERMS})
    status = 200 if sent is None else 422
    if form.is_valid():
        set_day_terms(fixture=fixture, **form.cleaned_data, by=request.who, at=clock.now())
        messages.success(request, "Kept. They stand on the sheet of the day’s terms.")
        return redirect("desk:day_terms", public_id)
    context = {
        "fixture": fixture,
        "form": form,
        "links": fixture_links(fixture, request.who, "desk:papers"),
    }
    return show(request, "desk/day_terms.html", context, status=status)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def labels(request: Request) -> HttpResponse:
    """How the society's labels lie on a sheet."""
    sent = request.POST if request.method == "POST" else None
    form = LabelForm(sent, initial=asdict(label_sheet()))
    status = 200 if sent is None else 422
    if form.is_valid():
        keep_label_sheet(
            sheet=LabelSheet(**form.cleaned_data).text(), by=request.who, at=clock.now()
        )
        messages.success(request, "Kept. Print the test sheet before you print on labels.")
        return redirect("desk:labels")
    return show(request, "desk/labels.html", {"form": form}, status=status)


@access(SCORERS, "GET")
@require_safe
def label_test(request: Request) -> HttpResponse:
    """The outlines of all labels of a sheet."""
    return pdf_response(request, label_test_html(label_sheet(), clock.now()), "label-test.pdf")


@access(SCORERS, "GET")
@require_safe
def cards_page(request: Request, public_id: str) -> HttpResponse:
    """The tick list; `?group=`, `?change=`, `?changed=1` and `?ticked=` say what is ticked."""
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
    changed = "changed" in request.GET
    if group is not None or change is not None or changed:
        wanted = chosen_cards(fixture, group=group, change=change, changed=changed)
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
        return _cards_answer(request, fixture, scorecards(fixture, wanted), PaperShape.CARD, 1)
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
    first = form.cleaned_data["first"] or 1
    if shape is PaperShape.LABEL and first > (most := label_sheet().on_a_sheet):
        form.add_error("first", f"A sheet has {most} labels: begin with one of those.")
        return _cards_page(request, fixture, form, status=422)
    answer = _cards_answer(request, fixture, [*cards, *spares], shape, first)
    if cards and answer.status_code < 400:
        note_printed(
            round_=the_round(fixture),
            shape=shape,
            said={card.card_id: card.said for card in cards},
            by=request.who,
            at=clock.now(),
        )
    return answer


def _cards_answer(
    request: Request, fixture: Fixture, cards: list[CardPaper], shape: PaperShape, first: int
) -> HttpResponse:
    if not cards:
        return errors.page(request, 409, "There is no card to print by that choice.")
    site = settings.SITE_URL or request.build_absolute_uri("/").rstrip("/")
    made = in_shape(fixture, cards, shape, first=first, site=site, at=clock.now())
    name = f"{shape.value}s-{fixture.starts_on:%Y-%m-%d}.pdf"
    return pdf_response(request, made.html, name, made.sheets)


def _number(request: Request, name: str) -> int | None:
    text = request.GET.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 6 else None
