"""Who may see a season table, set its rules, seal it, or note who has paid."""

from society.fixtures.access import belongs, season_to_read
from society.fixtures.models import Season
from society.members.access import player_to_read
from society.members.models import Player
from society.merit.models import MeritTable, MeritVersion
from society.merit.queries import version_of
from society.web.refusals import Missing, NotYours
from society.web.who import ORGANISERS, TREASURERS, Who


def table_to_read(who: Who, public_id: str) -> MeritTable:
    """A table for anyone who plays or holds an office. Raises Missing."""
    found = MeritTable.objects.select_related("season").filter(public_id=public_id).first()
    if found is None or not belongs(who):
        raise Missing("There is no such table.")
    return found


def table_to_run(who: Who, public_id: str) -> MeritTable:
    """A table for the secretary and the captain. Raises Missing, NotYours."""
    found = table_to_read(who, public_id)
    _organisers_only(who)
    return found


def season_to_run(who: Who, public_id: str) -> Season:
    """A season that may get a table. Raises Missing, NotYours."""
    found = season_to_read(who, public_id)
    _organisers_only(who)
    return found


def version_to_read(who: Who, public_id: str, number: int) -> MeritVersion:
    """A sealed version for anyone who may read its table. Raises Missing."""
    found = version_of(table_to_read(who, public_id), number)
    if found is None:
        raise Missing("There is no such version of this table.")
    return found


def season_for_members(who: Who, public_id: str) -> Season:
    """A season whose subscriptions are noted: secretary and treasurer. Raises Missing, NotYours."""
    found = season_to_read(who, public_id)
    if not who.may(TREASURERS):
        raise NotYours("Subscriptions are in the treasurer's and the secretary's keeping.")
    return found


def member_to_note(who: Who, public_id: str) -> Player:
    """A member whose day of joining is noted: secretary and treasurer. Raises Missing, NotYours."""
    found = player_to_read(who, public_id)
    if not who.may(TREASURERS):
        raise NotYours("Only the secretary or the treasurer notes who joined when.")
    return found


def _organisers_only(who: Who) -> None:
    if not who.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets the rules of the season.")
