"""What the clock does to entries: opens and closes them, lets offers lapse, moves guests in.

Each function may be called at any time and twice. It looks first, and does one deed for each
fixture that has something to be done, so that nothing is written in vain and no fixture stops
another.
"""

from collections.abc import Callable
from datetime import datetime

from django.db.models import Q

from society.audit.actions import Deed, deed
from society.audit.queries import lines_about
from society.entries.actions.seating import FILLING, fill_places, lapse_overdue
from society.entries.models import Entry
from society.entries.queries import offers_of, places_of
from society.entries.rules.words import Step
from society.fixtures.actions.holding import locked
from society.fixtures.actions.states import move_state
from society.fixtures.models import Fixture
from society.fixtures.rules import FixtureState, GuestPlaces
from society.members.queries import society_day
from society.web.who import Who


def open_due(*, by: Who, at: datetime) -> int:
    """Open entries where the hour to open them has come; how many fixtures were opened.

    A fixture whose entries were open before and were taken back stays as the officer left it.
    """

    def act(d: Deed, now: Fixture) -> int:
        if now.state != FixtureState.PLANNED.value:
            return 0
        move_state(fixture=now, to=FixtureState.OPEN, by=by, at=at)
        return 1

    due = Fixture.objects.filter(
        Q(entries_close_at=None) | Q(entries_close_at__gt=at),
        state=FixtureState.PLANNED.value,
        entries_open_at__lte=at,
        ends_on__gte=society_day(at),
    )
    never = [fixture for fixture in due.order_by("pk") if not _was_open(fixture)]
    return _each(never, "fixture open", act, by, at)


def close_due(*, by: Who, at: datetime) -> int:
    """Close entries whose deadline has passed; how many fixtures were closed."""

    def act(d: Deed, now: Fixture) -> int:
        closes = now.entries_close_at
        if now.state != FixtureState.OPEN.value or closes is None or closes > at:
            return 0
        move_state(fixture=now, to=FixtureState.CLOSED, by=by, at=at)
        return 1

    due = Fixture.objects.filter(state=FixtureState.OPEN.value, entries_close_at__lte=at)
    return _each(list(due.order_by("pk")), "entries closed", act, by, at)


def lapse_offers(*, by: Who, at: datetime) -> int:
    """Let offers pass whose hour has come, and offer to the next name; how many passed."""

    def act(d: Deed, now: Fixture) -> int:
        if FixtureState(now.state) not in FILLING:
            return 0
        passed = len(lapse_overdue(d, now))
        fill_places(d, now)
        return passed

    states = [state.value for state in FILLING]
    offered = list(
        Entry.objects.filter(fixture__state__in=states)
        .with_step()
        .filter(Q(step=Step.OFFERED.value))
    )
    ends = offers_of(offered)
    overdue = {entry.fixture_id for entry in offered if ends[entry.pk] <= at}
    due = Fixture.objects.filter(pk__in=overdue).order_by("pk")
    return _each(list(due), "offer lapsed", act, by, at)


def move_guests_in(*, by: Who, at: datetime) -> int:
    """After closing, places that are left go to guests who waited for it; how many got one."""

    def act(d: Deed, now: Fixture) -> int:
        filled = fill_places(d, now)
        return len(filled.moved) + len(filled.offered)

    due = Fixture.objects.filter(
        state__in=[FixtureState.CLOSED.value, FixtureState.DRAWN.value],
        guest_places=GuestPlaces.WAIT.value,
        ends_on__gte=society_day(at),
    )
    room = []
    for fixture in due.order_by("pk"):
        places = places_of(fixture)
        if places.guests_waiting and places.free != 0:
            room.append(fixture)
    return _each(room, "guests moved in", act, by, at)


class _NothingDoneError(Exception):
    """Somebody else was quicker; the deed that was begun leaves no line."""


def _each(
    due: list[Fixture],
    what: str,
    act: Callable[[Deed, Fixture], int],
    by: Who,
    at: datetime,
) -> int:
    """One deed for each fixture, with its row held; the sum of what they did."""
    done = 0
    for fixture in due:
        try:
            with deed(by=by, at=at, what=what, about=f"fixture:{fixture.public_id}") as d:
                count = act(d, locked(fixture))
                if not count:
                    raise _NothingDoneError
        except _NothingDoneError:
            continue
        done += count
    return done


def _was_open(fixture: Fixture) -> bool:
    about = f"fixture:{fixture.public_id}"
    return lines_about(about).filter(deed__in=("fixture open", "entries reopened")).exists()
