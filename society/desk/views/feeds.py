"""Calendar feeds: fetched by a calendar program, which cannot sign in, by a secret address."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from society.desk.queries.feeds import own_feed, society_feed
from society.members.queries import account_of_calendar, the_society, who_for
from society.web import clock
from society.web.access import PUBLIC, access
from society.web.feeds import calendar_response
from society.web.refusals import Missing
from society.web.request import Request

_NONE = "There is no such calendar."


@access(PUBLIC, "GET")
@require_safe
def own(request: Request, secret: str) -> HttpResponse:
    """The fixtures, tee times and deadlines of one account's players."""
    society, account = the_society(), account_of_calendar(secret)
    if society is None or account is None:
        raise Missing(_NONE)
    at = clock.now()
    return calendar_response(society.name, own_feed(society, who_for(account, at), at))


@access(PUBLIC, "GET")
@require_safe
def of_society(request: Request, secret: str) -> HttpResponse:
    """The society's dates, by the secret of any account that may see its season."""
    society, account = the_society(), account_of_calendar(secret)
    if society is None or account is None:
        raise Missing(_NONE)
    return calendar_response(f"{society.name}: fixtures", society_feed(society, clock.now()))


@access(PUBLIC, "GET")
@require_safe
def public(request: Request) -> HttpResponse:
    """The society's dates for everybody, where the society has made its season public."""
    society = the_society()
    if society is None or not society.season_is_public:
        raise Missing(_NONE)
    return calendar_response(f"{society.name}: fixtures", society_feed(society, clock.now()))
