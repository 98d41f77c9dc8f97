"""Somebody who turns up on the day: entered, handicap taken, put in a group, in one deed."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from society.audit.actions import deed
from society.entries.actions.drawing import Changed, move_to_group
from society.entries.actions.entering import let_in
from society.entries.actions.freezing import freeze_entry, give_handicap
from society.entries.models import Entry, Frozen
from society.entries.queries import handicaps_taken
from society.fixtures.actions.holding import locked
from society.fixtures.models import Fixture
from society.handicaps.rules.figures import Source
from society.members.actions.players import add_player
from society.members.models import Player
from society.members.rules import PlayerKind
from society.web.refusals import BadInput, NotYours
from society.web.who import ORGANISERS, Who


@dataclass(frozen=True, slots=True)
class WalkedUp:
    """Who came, what was taken of the handicap (None: not yet), and the change in the draw."""

    entry: Entry
    frozen: Frozen | None
    grouped: Changed | None
    lacks: bool


def walk_up(
    *,
    fixture: Fixture,
    player: Player | None = None,
    name: str = "",
    category: str = "",
    home_club: str = "",
    host: Player | None = None,
    handicap: Decimal | None = None,
    group: int | None = None,
    by: Who,
    at: datetime,
) -> WalkedUp:
    """Enter somebody after the draw or during play, whatever the number of places.

    Either `player`, or `name` and `category` of a guest who is not on the list. `handicap`: of
    the kind the fixture is played off, None for the one on record. `group`: its number, one past
    the last for a group of their own, None for none. Everything or nothing is kept. Raises
    NotYours, and what entering, handicaps and the draw raise.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain can do that.")
    with deed(by=by, at=at, what="walked up", about=f"fixture:{fixture.public_id}") as d:
        now = locked(fixture)
        if player is None:
            if not name.strip():
                raise BadInput("Choose a player, or give the name of a new guest.", field="player")
            player = add_player(
                kind=PlayerKind.GUEST.value,
                name=name,
                category=category,
                home_club=home_club,
                by=by,
                at=at,
            )
        entry = let_in(d, now, player, host)
        if handicap is not None:
            frozen = give_handicap(
                entry=entry, value=handicap, source=Source.STATED.value, by=by, at=at
            )
        else:
            frozen = freeze_entry(entry=entry, by=by, at=at)
        grouped = None
        if group is not None:
            grouped = move_to_group(entry=entry, group=group, by=by, at=at)
        lacks = frozen is None and handicaps_taken(now)
    return WalkedUp(entry, frozen, grouped, lacks)
