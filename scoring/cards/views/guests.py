"""The link of a guest's own card: made by an officer, opened by the guest."""

from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from scoring.cards.access import card_to_handle
from scoring.cards.actions.guest_links import make_link
from scoring.cards.queries import GUEST_LINK_KEY, guest_link
from scoring.cards.views.pages import card_page
from society.web import clock
from society.web.access import PUBLIC, SIGNED_IN, access
from society.web.pages import show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request


@access(SIGNED_IN, "POST")
@require_POST
def hand_link(request: Request, public_id: str) -> HttpResponse:
    """Make the link. It is shown once, to hand over."""
    start = card_to_handle(request.who, public_id)
    try:
        secret = make_link(start=start, by=request.who, at=clock.now())
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return card_page(request, start, refusal=refusal.words, status=refusal.status)
    link = request.build_absolute_uri(reverse("cards:guest", args=[secret]))
    return show(request, "cards/link.html", {"start": start, "link": link})


@access(PUBLIC, "GET", "POST")
def open_card(request: Request, secret: str) -> HttpResponse:
    """GET shows whose card it is; POST opens it on this phone."""
    found = guest_link(secret, clock.now())
    if found is None:
        return show(request, "cards/guest.html", {"ended": True}, status=404)
    if request.method == "POST" and not request.who.signed_in:
        request.session.cycle_key()
        request.session[GUEST_LINK_KEY] = found.public_id
        return redirect("cards:show", found.start.public_id)
    context = {"start": found.start, "fixture": found.start.round.fixture}
    return show(
        request, "cards/guest.html", context, status=409 if request.method == "POST" else 200
    )
