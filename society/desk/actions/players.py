"""Deeds on players that touch the list and the handicap record at once."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from society.audit.actions import deed
from society.handicaps.actions.record import record
from society.handicaps.models import HandicapEntry
from society.members.actions.players import add_player
from society.members.models import Player
from society.members.queries import the_society
from society.web.who import Who


def add_player_with_handicap(
    *, player: Mapping[str, str], handicap: Mapping[str, Any] | None, by: Who, at: datetime
) -> tuple[Player, HandicapEntry | None]:
    """Put a player on the list and, if one is given, the first line on the record, in one deed.

    `player`, `handicap`: what `add_player` and `record` take. Raises what those raise.
    """
    society = the_society()
    about = f"society:{society.public_id if society else ''}"
    with deed(by=by, at=at, what="added a player", about=about):
        added = add_player(**player, by=by, at=at)
        line = record(player=added, **handicap, by=by, at=at) if handicap else None
    return added, line
