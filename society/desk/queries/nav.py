"""The nav that the pages of one fixture share."""

from django.urls import NoReverseMatch, reverse

from society.fixtures.models import Fixture
from society.web.who import ORGANISERS, SCORERS, Who


def fixture_links(fixture: Fixture, who: Who, here: str) -> list[tuple[str, str, bool]]:
    """(label, address, current) for parts/_local.html; `here` is the URL name of this page."""
    pages = [("Fixture", "desk:fixture", True)]
    pages += [("Steps", "desk:steps", who.may(SCORERS))]
    pages += [("Handicaps", "desk:handicaps", who.may(ORGANISERS))]
    pages += [("Draw", "desk:draw", who.may(ORGANISERS) or here == "desk:draw")]
    pages += [("Cards", "cards:in_out", who.may(SCORERS))]
    return [
        (label, address, name == here)
        for label, name, shown in pages
        if shown and (address := _address(name, fixture))
    ]


def _address(name: str, fixture: Fixture) -> str:
    try:
        return reverse(name, args=[fixture.public_id])
    except NoReverseMatch:
        return ""
