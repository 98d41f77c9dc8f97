"""Whose entry someone may answer for from the desk's pages."""

from django.db.models import Q

from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.web.refusals import Missing
from society.web.who import Who


def entry_of_ones_own(who: Who, fixture: Fixture, public_id: str) -> Entry:
    """An entry of a player this account acts for, or of a guest of one. Raises Missing."""
    mine = Q(player__public_id__in=who.players) | Q(host__public_id__in=who.players)
    found = (
        Entry.objects.filter(mine, fixture=fixture, public_id=public_id)
        .select_related("player", "fixture__season")
        .first()
    )
    if found is None:
        raise Missing("Your account does not act for that entry.")
    return found
