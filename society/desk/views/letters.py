"""The letters of a fixture: what was written to whom, and what has gone."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.queries.nav import fixture_links
from society.fixtures.access import fixture_to_run
from society.members.queries import letters_about, outbox
from society.web import clock
from society.web.access import access
from society.web.pages import show
from society.web.request import Request
from society.web.who import ORGANISERS


@access(ORGANISERS, "GET")
@require_safe
def letters(request: Request, public_id: str) -> HttpResponse:
    """Every letter about a fixture, with its text, so that it can be handed over by hand."""
    fixture = fixture_to_run(request.who, public_id)
    context = {
        "fixture": fixture,
        "letters": letters_about(f"fixture:{fixture.public_id}"),
        "outbox": outbox(clock.now()),
        "links": fixture_links(fixture, request.who, "desk:letters"),
    }
    return show(request, "desk/letters.html", context)
