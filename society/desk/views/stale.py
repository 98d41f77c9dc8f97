"""Old and missing handicaps of all members, for whoever keeps the records or takes them."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.queries.mine import day_of
from society.desk.queries.stale import stale_page
from society.web import clock
from society.web.access import access
from society.web.pages import show
from society.web.request import Request
from society.web.who import HANDICAPPERS, ORGANISERS


@access(HANDICAPPERS | ORGANISERS, "GET")
@require_safe
def stale(request: Request) -> HttpResponse:
    """The members whose figure is old, and those who have none."""
    keeps = request.who.may(HANDICAPPERS)
    context = {"page": stale_page(day_of(clock.now())), "keeps": keeps}
    return show(request, "desk/stale.html", context)
