"""The papers of a fixture as PDF."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.printing.papers import scorecards_html, start_sheet_html
from society.desk.queries.papers import chosen_cards, scorecards
from society.entries.bridge import the_draw
from society.entries.queries import handicaps_taken
from society.fixtures.access import fixture_to_read, fixture_to_score
from society.fixtures.queries import the_round
from society.web import clock, errors
from society.web.access import SIGNED_IN, access
from society.web.pdf import pdf_response
from society.web.refusals import Missing, NotYours
from society.web.request import Request
from society.web.who import SCORERS


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
def scorecards_pdf(request: Request, public_id: str) -> HttpResponse:
    """`?group=`, `?changed=1` or `?change=` for a part of them."""
    fixture = fixture_to_score(request.who, public_id)
    if not handicaps_taken(fixture):
        return errors.page(
            request, 409, "Take handicaps first: a card says what its player plays off."
        )
    wanted = chosen_cards(
        fixture,
        group=_number(request, "group"),
        changed="changed" in request.GET,
        change=_number(request, "change"),
    )
    cards = scorecards(fixture, wanted)
    if not cards:
        return errors.page(request, 409, "There is no card to print by that choice.")
    name = f"cards-{fixture.starts_on:%Y-%m-%d}.pdf"
    return pdf_response(request, scorecards_html(fixture, cards), name)


def _number(request: Request, name: str) -> int | None:
    text = request.GET.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 6 else None
