"""Who may see a season table, and who may set its rules."""

from society.fixtures.access import belongs, season_to_read
from society.fixtures.models import Season
from society.merit.models import MeritTable
from society.web.refusals import Missing, NotYours
from society.web.who import ORGANISERS, Who


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


def _organisers_only(who: Who) -> None:
    if not who.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets the rules of the season.")
