"""Comings and goings: entering, withdrawing, the waiting list, the list of who played.

Every deed here first holds the fixture's row, so that places are counted by one at a time.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from society.audit.actions import Deed, deed
from society.entries import letters
from society.entries.actions.drawing import Changed, leave_group
from society.entries.actions.freezing import freeze_entry
from society.entries.actions.seating import (
    Filled,
    before_closing,
    fill_places,
    make_room,
    write_step,
)
from society.entries.actions.wishing import Wished, write_wishes
from society.entries.models import Entry
from society.entries.queries import field, places_of
from society.entries.rules.words import IN, OUT, QUEUING, Placing, Step
from society.fixtures.actions.holding import locked
from society.fixtures.actions.states import move_closing, move_state
from society.fixtures.models import Fixture
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState, Window, window
from society.members.models import Player
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who

_NOT_OPEN = {
    Window.NOT_YET: "Entries are not open yet.",
    Window.PAST: "Entries are closed: the deadline has passed. Ask the organiser.",
    Window.CLOSED: "Entries are closed. Ask the organiser.",
    Window.ENDED: "This fixture is over.",
}


class AlreadyIn(WrongState):
    """The player has a place, or waits for one, as it is; `entry` says which."""

    def __init__(self, entry: Entry, words: str) -> None:
        super().__init__(words)
        self.entry = entry


class StillToSay(WrongState):
    """Players who were in are no longer ticked, and nobody said what became of them."""

    def __init__(self, entries: list[Entry]) -> None:
        super().__init__("Say of each whether they withdrew or did not turn up.")
        self.entries = entries


def enter(
    *,
    fixture: Fixture,
    player: Player,
    host: Player | None = None,
    wished: Wished | None = None,
    by: Who,
    at: datetime,
) -> Entry:
    """Take a place, or the end of the waiting list when there is none.

    Members enter themselves while entries are open, by the server's clock; the organisers enter
    anyone in any state before final. A guest has a member as host. Whoever comes back goes to
    the end. Where members come before guests a member may get the place of the guest who entered
    last, until entries close. Raises WrongState, AlreadyIn, NotYours, BadInput.
    """
    with deed(by=by, at=at, what="entered", about=f"fixture:{fixture.public_id}") as d:
        now = locked(fixture)
        _may_enter(now, player, by, at)
        _check_guest(now, player, host)
        entry = _find(now, player)
        if entry is not None and entry.step not in OUT:
            raise AlreadyIn(entry, _already(entry))
        becomes = places_of(now).placing(
            as_member=player.is_member, before_closing=before_closing(now, at)
        )
        entry = _seat(d, now, player, host, entry)
        if wished is not None:
            write_wishes(d, now, entry, wished)
        if becomes is Placing.BUMP:
            make_room(d, now)
        write_step(d, entry, Step.WAITING if becomes is Placing.WAIT else Step.ENTERED)
        if becomes is Placing.WAIT:
            letters.on_the_list(d, entry)
        else:
            letters.entered(d, entry)
            freeze_entry(entry=entry, by=by, at=at)
    return entry


def refuse_entering(*, fixture: Fixture, player: Player, by: Who, at: datetime) -> None:
    """Say before the questions are asked what `enter` would say after them.

    Raises WrongState, AlreadyIn, NotYours, BadInput; writes nothing.
    """
    _may_enter(fixture, player, by, at)
    entry = _find(fixture, player)
    if entry is not None and entry.step not in OUT:
        raise AlreadyIn(entry, _already(entry))


@dataclass(frozen=True, slots=True)
class Left:
    """What a leaver sets off: who got a place by it, and what became of the leaver's group.

    `offered`: whom the place is offered instead. `late`: the free time was over.
    """

    moved: tuple[Entry, ...] = ()
    redrawn: Changed | None = None
    offered: tuple[Entry, ...] = ()
    late: bool = False


def is_late(fixture: Fixture, at: datetime) -> bool:
    """Whether a place given up now is given up after the time to withdraw freely."""
    free = fixture.free_until or fixture.entries_close_at
    return free is not None and at >= free


def withdraw(
    *, entry: Entry, words: str = "", in_time: bool = False, by: Who, at: datetime
) -> Left:
    """Give a place, or a place in the queue, up; the first waiting gets a freed place.

    Members withdraw themselves while entries are open; the organisers anyone in any state
    before final, and may say that they were told `in_time`. A place given up late stays on
    record. After a draw the leaver's own group is put right. Raises WrongState, NotYours.
    """
    about = f"fixture:{entry.fixture.public_id}"
    with deed(by=by, at=at, what="withdrawn", about=about) as d:
        now = locked(entry.fixture)
        _may_withdraw(now, entry, by, at)
        excused = in_time and by.may(ORGANISERS)
        late = is_late(now, at) and not excused and field(now).get(pk=entry.pk).step in IN
        redrawn = _leave(d, entry, Step.WITHDRAWN, words, late=late)
        letters.withdrawn(d, entry)
        filled = fill_places(d, now)
        return Left(moved=filled.moved, redrawn=redrawn, offered=filled.offered, late=late)


def mark_absent(*, entry: Entry, words: str = "", by: Who, at: datetime) -> Left:
    """A player who did not turn up. The place stays empty. Organisers only."""
    _organisers_only(by)
    about = f"fixture:{entry.fixture.public_id}"
    with deed(by=by, at=at, what="absent", about=about) as d:
        now = locked(entry.fixture)
        _not_ended(now)
        return Left(redrawn=_leave(d, entry, Step.ABSENT, words))


def tick_players(
    *,
    fixture: Fixture,
    players: Iterable[Player],
    gone: Mapping[str, str] | None = None,
    by: Who,
    at: datetime,
) -> list[Entry]:
    """The list of who played: everyone ticked is in, whatever the number of places.

    `gone`: public id of the entry → "withdrawn" or "absent" for each member who was in and is
    not ticked; one left out raises StillToSay and nothing is changed. Guests who are in stay in.
    Returns those newly in.
    """
    _organisers_only(by)
    wanted = {player.pk: player for player in players}
    said = dict(gone or {})
    with deed(by=by, at=at, what="list of who played", about=f"fixture:{fixture.public_id}") as d:
        now = locked(fixture)
        _not_ended(now)
        standing = {entry.player_id: entry for entry in field(now)}
        off = [
            entry
            for entry in standing.values()
            if entry.step in IN and entry.as_member and entry.player_id not in wanted
        ]
        unsaid = [entry for entry in off if said.get(entry.public_id) not in OUT]
        if unsaid:
            raise StillToSay(unsaid)
        for entry in off:
            _leave(d, entry, Step(said[entry.public_id]), "")
        return [
            _tick(d, now, player, standing.get(player.pk))
            for player in wanted.values()
            if player.pk not in standing or standing[player.pk].step not in IN
        ]


def change_places(*, fixture: Fixture, by: Who, at: datetime) -> Filled:
    """After the number of places was changed: those waiting move in as far as there is room."""
    _organisers_only(by)
    about = f"fixture:{fixture.public_id}"
    with deed(by=by, at=at, what="free places given out", about=about) as d:
        now = locked(fixture)
        return fill_places(d, now)


def close_entries(*, fixture: Fixture, by: Who, at: datetime) -> None:
    """Members no longer enter or withdraw; the organisers still may for them."""
    _organisers_only(by)
    with deed(by=by, at=at, what="entries closed", about=f"fixture:{fixture.public_id}"):
        move_state(fixture=fixture, to=FixtureState.CLOSED, by=by, at=at)


def reopen_entries(
    *, fixture: Fixture, words: str, closes_at: datetime | None = None, by: Who, at: datetime
) -> None:
    """Members may enter and withdraw again. Wants a reason.

    A deadline that has passed would close them at once: `closes_at` stands in its place (None:
    until they are closed by hand).
    """
    _organisers_only(by)
    about = f"fixture:{fixture.public_id}"
    if closes_at is not None and closes_at <= at:
        raise BadInput("Entries would close before they open.", field="closes_at")
    with deed(by=by, at=at, what="entries reopened", about=about) as d:
        move_state(fixture=fixture, to=FixtureState.OPEN, words=words, by=by, at=at)
        now = locked(fixture)
        old = now.entries_close_at
        if closes_at is not None or (old is not None and old <= at):
            move_closing(d, now, closes_at)
            fixture.entries_close_at = closes_at


def _organisers_only(by: Who) -> None:
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain can do that.")


def _not_ended(now: Fixture) -> None:
    state = FixtureState(now.state)
    if state in ENDED:
        raise WrongState(
            f"This fixture is {STATE_WORDS[state].lower()}; entries stand as they are."
        )


def _may_enter(now: Fixture, player: Player, by: Who, at: datetime) -> None:
    _not_ended(now)
    _check_player(player)
    if by.may(ORGANISERS):
        return
    if not by.is_player(player.public_id):
        raise NotYours("You enter yourself; the organiser enters others.")
    _open_to_members(now, at)


def _check_player(player: Player) -> None:
    if player.merged_into_id or player.left_on:
        raise BadInput(f"{player.name} is no longer on the list of players.", field="player")


def _may_withdraw(now: Fixture, entry: Entry, by: Who, at: datetime) -> None:
    _not_ended(now)
    if by.may(ORGANISERS):
        return
    if not by.is_player(entry.player.public_id):
        raise NotYours("You withdraw yourself; the organiser withdraws others.")
    _open_to_members(now, at)


def _open_to_members(now: Fixture, at: datetime) -> None:
    """Deadlines bind by the server's clock, here, whatever the page showed."""
    words = _NOT_OPEN.get(
        window(FixtureState(now.state), now.entries_open_at, now.entries_close_at, at)
    )
    if words:
        raise WrongState(words)


def _check_guest(now: Fixture, player: Player, host: Player | None) -> None:
    if player.is_member:
        if host is not None:
            raise BadInput(f"{player.name} is a member and needs no host.", field="host")
        return
    if not now.guests_welcome:
        raise BadInput("This fixture is for members only.", field="player")
    if host is None or not host.is_member:
        raise BadInput(f"Say which member {player.name} is the guest of.", field="host")


def _find(now: Fixture, player: Player) -> Entry | None:
    return field(now).filter(player=player).first()


def _already(entry: Entry) -> str:
    if entry.step in IN:
        return f"{entry.player.name} is in already."
    return f"{entry.player.name} is on the waiting list already."


def _seat(d: Deed, now: Fixture, player: Player, host: Player | None, entry: Entry | None) -> Entry:
    """The entry's row for the present stay: new, or the old one sent to the end of the queue."""
    if entry is None:
        entry = Entry(fixture=now, player=player)
        entry.key = entry.public_id
    entry.as_member = player.is_member
    entry.host = host
    entry.category = player.category
    entry.place_at = d.at
    entry.save()
    return entry


def _leave(d: Deed, entry: Entry, step: Step, words: str, *, late: bool = False) -> Changed | None:
    standing = field(entry.fixture).get(pk=entry.pk)
    if standing.step in OUT:
        raise WrongState(f"{standing.player.name} is out already.")
    if step is Step.ABSENT and standing.step in QUEUING:
        raise WrongState(f"{standing.player.name} had no place; withdraw the entry instead.")
    write_step(d, standing, step, words, late=late)
    entry.step = standing.step
    return leave_group(entry=standing, by=d.by, at=d.at)


def let_in(d: Deed, now: Fixture, player: Player, host: Player | None) -> Entry:
    """Somebody who is there plays, whatever the number of places; part of an organiser's deed.

    No handicap is taken by it. Raises WrongState, AlreadyIn, BadInput.
    """
    _not_ended(now)
    _check_player(player)
    _check_guest(now, player, host)
    entry = _find(now, player)
    if entry is not None and entry.step in IN:
        raise AlreadyIn(entry, _already(entry))
    was = entry.step if entry else ""
    if entry is None or was in OUT:
        entry = _seat(d, now, player, host, entry)
    write_step(d, entry, Step.TAKEN if was in QUEUING else Step.ENTERED)
    return entry


def _tick(d: Deed, now: Fixture, player: Player, entry: Entry | None) -> Entry:
    was = entry.step if entry else ""
    if entry is None or was in OUT:
        entry = _seat(d, now, player, None, entry)
    write_step(d, entry, Step.TAKEN if was in QUEUING else Step.ENTERED)
    freeze_entry(entry=entry, refuse=False, by=d.by, at=d.at)
    return entry
