"""The nav that the pages of one fixture share."""

from django.urls import reverse

from society.fixtures.models import Fixture
from society.web.who import HANDICAPPERS, ORGANISERS, SCORERS, Who


def fixture_links(fixture: Fixture, who: Who, here: str) -> list[tuple[str, str, bool]]:
    """(label, address, current) for parts/_local.html; `here` is the URL name of this page."""
    if not who.may(SCORERS):
        pages = [("The day", "desk:fixture")]
        if who.may(HANDICAPPERS):
            pages += [("Handicaps", "desk:handicaps")]
        pages += [("Draw", "desk:draw"), ("Result", "results:show")]
    else:
        pages = [("Steps", "desk:steps"), ("Entries", "entries:manage")]
        pages += [("Played for", "desk:played_for")]
        if who.may(ORGANISERS):
            pages += [("Handicaps", "desk:handicaps"), ("Draw", "desk:draw")]
        elif who.may(HANDICAPPERS):
            pages += [("Handicaps", "desk:handicaps")]
        pages += [("Papers", "desk:papers"), ("Cards", "cards:in_out"), ("Result", "results:show")]
        if who.may(ORGANISERS):
            pages += [("Rulings", "results:rulings")]
        pages += [("Member view", "desk:fixture")]
    return [(label, reverse(name, args=[fixture.public_id]), name == here) for label, name in pages]
