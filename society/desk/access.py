"""Whose entry someone may answer for from the desk's pages."""

from django.db.models import Q

from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.members.access import player_to_read
from society.members.models import Player
from society.web.refusals import Missing, NotYours
from society.web.who import KEEPERS, Who


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


def held_to_read(who: Who, public_id: str) -> Player:
    """A player whose whole file may be had: one's own, or any for the secretary.

    Raises Missing, NotYours.
    """
    found = player_to_read(who, public_id)
    if not (who.is_player(public_id) or who.may(KEEPERS)):
        raise NotYours("The file is for the player alone, or from the secretary.")
    return found
