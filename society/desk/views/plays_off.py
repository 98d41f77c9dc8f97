"""What one player plays off, with its arithmetic: a page, or the part that opens on a list."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.queries.plays_off import plays_off_page
from society.fixtures.access import fixture_to_read
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.request import Request


@access(SIGNED_IN, "GET")
@require_safe
def plays_off(request: Request, public_id: str, entry_id: str) -> HttpResponse:
    """The steps from the handicap brought to the shots on each hole."""
    fixture = fixture_to_read(request.who, public_id)
    context = {"fixture": fixture, "page": plays_off_page(fixture, entry_id)}
    return show(request, "desk/plays_off.html", context, part="desk/_plays_off.html")
