"""What the frame of every page shows: the society, the menu, the person."""

from django.http import HttpRequest
from django.urls import reverse

from society.members.queries import the_society
from society.web.who import NOBODY, OFFICERS, SCORERS


def frame(request: HttpRequest) -> dict[str, object]:
    """Society, menu as (label, address, current) and the signed-in person's own link."""
    who = getattr(request, "who", NOBODY)
    menu: list[tuple[str, str, bool]] = []
    if who.signed_in:
        items = [("Season", "desk:season"), ("Merit", "merit:index")]
        if who.players:
            items.append(("Card", "cards:mine"))
            if not who.may(SCORERS):  # their menu is full on a phone
                items.append(("Learn", "desk:learn"))
        if who.may(OFFICERS):
            items += [("Players", "desk:players"), ("Courses", "courses:index")]
        if who.may(SCORERS):
            items.append(("Organise", "desk:organise"))
        here = request.resolver_match
        for label, name in items:
            address = reverse(name)
            current = bool(here) and request.path.startswith(address) and address != "/"
            menu.append((label, address, current or request.path == address))
    me = (who.name.split(" ")[0], reverse("members:account")) if who.signed_in else None
    return {"society": the_society(), "menu": menu, "me": me, "who": who}
