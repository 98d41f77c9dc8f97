"""A new guest in one deed: on the list of players, entered, with the handicap stated."""

from datetime import datetime
from decimal import Decimal

from society.audit.actions import deed
from society.entries.actions.entering import enter
from society.entries.actions.freezing import give_handicap
from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.handicaps.rules.figures import Source
from society.members.actions.players import add_player
from society.members.models import Player
from society.members.rules import PlayerKind
from society.web.refusals import NotYours
from society.web.who import ORGANISERS, Who


def enter_guest(
    *,
    fixture: Fixture,
    name: str,
    category: str,
    host: Player | None,
    handicap: Decimal | None,
    home_club: str = "",
    by: Who,
    at: datetime,
) -> Entry:
    """Add a guest to the list of players and enter the guest of a member.

    `handicap`: of the kind the fixture is played off, as the guest states it; None: not known yet.
    Raises what adding a player, entering and writing a handicap raise.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain enters guests.")
    with deed(by=by, at=at, what="guest entered", about=f"fixture:{fixture.public_id}"):
        player = add_player(
            kind=PlayerKind.GUEST.value,
            name=name,
            category=category,
            home_club=home_club,
            by=by,
            at=at,
        )
        entry = enter(fixture=fixture, player=player, host=host, by=by, at=at)
        if handicap is not None:
            give_handicap(entry=entry, value=handicap, source=Source.STATED.value, by=by, at=at)
    return entry
