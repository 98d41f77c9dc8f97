"""A place that is offered: taken or declined, until its hour."""

from datetime import datetime

from society.audit.actions import deed
from society.entries import letters
from society.entries.actions.seating import FILLING, Filled, fill_places, give_place, write_step
from society.entries.models import Entry
from society.entries.queries import field, offers_of
from society.entries.rules.words import Step
from society.fixtures.actions.holding import locked
from society.fixtures.models import Fixture
from society.fixtures.rules import FixtureState
from society.web.refusals import NotYours, WrongState
from society.web.templatetags.look import day_clock
from society.web.who import ORGANISERS, Who


def take_offer(*, entry: Entry, by: Who, at: datetime) -> Entry:
    """Take the place that is offered, before its hour by the server's clock.

    For the player, a guest's host, and the organisers. Raises NotYours, WrongState.
    """
    about = f"fixture:{entry.fixture.public_id}"
    with deed(by=by, at=at, what="offer taken", about=about) as d:
        standing = _offered(locked(entry.fixture), entry, by, at)
        give_place(d, standing)
    return standing


def decline_offer(*, entry: Entry, by: Who, at: datetime) -> Filled:
    """Leave the place to the next name, and the waiting list with it.

    For the player, a guest's host, and the organisers. Raises NotYours, WrongState.
    """
    about = f"fixture:{entry.fixture.public_id}"
    with deed(by=by, at=at, what="offer declined", about=about) as d:
        now = locked(entry.fixture)
        standing = _offered(now, entry, by, at)
        write_step(d, standing, Step.WITHDRAWN)
        letters.withdrawn(d, standing)
        return fill_places(d, now)


def _offered(now: Fixture, entry: Entry, by: Who, at: datetime) -> Entry:
    """The entry as it stands, if its offer still holds for whoever asks."""
    standing = field(now).get(pk=entry.pk)
    host = standing.host.public_id if standing.host else None
    mine = by.is_player(standing.player.public_id) or by.is_player(host)
    if not (mine or by.may(ORGANISERS)):
        raise NotYours("The place is offered to somebody else.")
    if standing.step != Step.OFFERED:
        raise WrongState(_NO_OFFER.get(Step(standing.step), "No place is offered here now."))
    if FixtureState(now.state) not in FILLING:
        raise WrongState("Play is over; no place can be taken any more.")
    until = offers_of([standing])[standing.pk]
    if at >= until:
        raise WrongState(
            f"The offer stood until {day_clock(until)}. The place goes to the next name."
        )
    return standing


_NO_OFFER = {
    Step.LAPSED: "The offer has passed, and the place went to the next name.",
    Step.TAKEN: "The place is taken already.",
    Step.WITHDRAWN: "The offer was declined already.",
}
