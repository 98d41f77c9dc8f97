"""The twos pot: what it costs and who is in it. Only who is in it can win from it."""

from collections.abc import Iterable
from datetime import datetime

from society.audit.actions import Deed, deed
from society.entries.models import Entry
from society.entries.queries import field, handicaps_taken
from society.entries.rules.words import OUT
from society.fixtures.actions.holding import locked
from society.fixtures.models import Fixture
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, SCORERS, Who

_DEAREST = 100_000  # minor units


def set_stake(*, fixture: Fixture, stake: int | None, by: Who, at: datetime) -> None:
    """What the twos cost each who is in them, in whole minor units; None: no twos.

    Raises NotYours, WrongState where the result stands or somebody is in a pot that would go.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain sets the twos.")
    if stake is not None and not 0 < stake <= _DEAREST:
        raise BadInput("Give an amount above nothing, and no more than 1,000.", field="stake")
    named = f"fixture:{fixture.public_id}"
    with deed(by=by, at=at, what="twos set", about=named) as d:
        now = _open(fixture)
        if stake is None and now.entries.filter(twos=True).exists():
            raise WrongState("Somebody is in the twos already. Take them out first.")
        old, now.twos_stake = now.twos_stake, stake
        now.save(update_fields=["twos_stake"])
        d.change(named, {"twos_stake": stake}, {"twos_stake": old})


def tick_twos(*, fixture: Fixture, entries: Iterable[str], by: Who, at: datetime) -> int:
    """Exactly these entries (public ids) are in the twos; returns how many that changes.

    Whoever takes in cards may, until the result stands. Raises NotYours, WrongState.
    """
    if not by.may(SCORERS):
        raise NotYours("Only those who take in cards say who is in the twos.")
    wanted = set(entries)
    with deed(by=by, at=at, what="twos ticked", about=f"fixture:{fixture.public_id}") as d:
        now = _open(fixture)
        _has_pot(now)
        rows = [row for row in field(now) if row.step not in OUT]
        moved = [row for row in rows if row.twos != (row.public_id in wanted)]
        for row in moved:
            _write(d, row, row.public_id in wanted)
    return len(moved)


def join_twos(*, entry: Entry, inside: bool, by: Who, at: datetime) -> None:
    """Go into the twos or out of them: the player until handicaps are taken, officers after.

    A guest's host may, too. Raises NotYours, WrongState.
    """
    with deed(by=by, at=at, what="twos joined", about=f"entry:{entry.public_id}") as d:
        now = _open(entry.fixture)
        _has_pot(now)
        row = field(now).get(pk=entry.pk)
        if row.step in OUT:
            raise WrongState(f"{row.player.name} is not entered any more.")
        if not by.may(SCORERS):
            host = row.host.public_id if row.host else None
            if not (by.is_player(row.player.public_id) or by.is_player(host)):
                raise NotYours("That is for the player to say.")
            if handicaps_taken(now):
                raise WrongState("The pot is made up for the day. Ask the organiser.")
        if row.twos != inside:
            _write(d, row, inside)


def _open(fixture: Fixture) -> Fixture:
    now = locked(fixture)
    state = FixtureState(now.state)
    if state in ENDED:
        raise WrongState(f"This fixture is {STATE_WORDS[state].lower()}; the twos stand.")
    return now


def _has_pot(now: Fixture) -> None:
    if now.twos_stake is None:
        raise WrongState("There are no twos at this fixture.")


def _write(d: Deed, entry: Entry, inside: bool) -> None:
    Entry.objects.filter(pk=entry.pk).update(twos=inside)
    entry.twos = inside
    d.change(f"entry:{entry.public_id}", {"twos": inside}, {"twos": not inside})
