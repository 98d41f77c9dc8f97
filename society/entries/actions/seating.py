"""How places are given: the step of an entry, the next in line, an offer, a guest who makes room.

Everything here is part of a deed that already holds the fixture's row.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from society.audit.actions import Deed
from society.entries import letters
from society.entries.actions.drawing import leave_group
from society.entries.actions.freezing import freeze_entry
from society.entries.models import Entry, EntryStep
from society.entries.queries import in_the_field, offers_of, places_of, waiting
from society.entries.rules.words import Step, in_line
from society.fixtures.models import Fixture
from society.fixtures.rules import FixtureState, GuestPlaces
from society.members.queries import society_day, society_zone

# A free place goes to the first waiting until play is over; from then on nobody is moved in.
FILLING = frozenset(
    {FixtureState.PLANNED, FixtureState.OPEN, FixtureState.CLOSED, FixtureState.DRAWN}
)
LEAST_OFFER = timedelta(hours=2)  # an offer that cannot stand so long stands a day longer


@dataclass(frozen=True, slots=True)
class Filled:
    """Who got a free place, and who was offered one."""

    moved: tuple[Entry, ...] = ()
    offered: tuple[Entry, ...] = ()


def before_closing(now: Fixture, at: datetime) -> bool:
    """Whether entries are still to close, by state and by the clock."""
    closes = now.entries_close_at
    still = FixtureState(now.state) in (FixtureState.PLANNED, FixtureState.OPEN)
    return still and (closes is None or at < closes)


def write_step(
    d: Deed,
    entry: Entry,
    step: Step,
    words: str = "",
    *,
    until: datetime | None = None,
    late: bool = False,
) -> None:
    """Write one coming or going, and tell the audit. `until`: of an offer."""
    EntryStep.objects.create(
        entry=entry,
        kind=step.value,
        until=until,
        late=late,
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )
    old = getattr(entry, "step", None)
    d.change(f"entry:{entry.public_id}", step.value, old)
    told: dict[str, object] = {"entry": entry.public_id, "step": step.value}
    if until is not None:
        told["until"] = until.isoformat(timespec="minutes")
    if late:
        told["late"] = True
    d.change(f"player:{entry.player.public_id}", told)
    entry.step = step.value


def make_room(d: Deed, now: Fixture) -> Entry:
    """The guest who entered last goes to the head of the waiting list, and is out of the draw."""
    guest = in_the_field(now).filter(as_member=False).order_by("-place_at", "-pk")[0]
    first = waiting(now).first()
    if first is not None and first.place_at <= guest.place_at:
        guest.place_at = first.place_at - timedelta(microseconds=1)
        guest.save(update_fields=["place_at"])
    write_step(d, guest, Step.BUMPED)
    leave_group(entry=guest, by=d.by, at=d.at)
    letters.bumped(d, guest)
    return guest


def fill_places(d: Deed, now: Fixture) -> Filled:
    """Give free places to those next in line, or offer them where the fixture says so.

    Offers whose hour has passed lapse first, so that nobody waits for the next minute.
    """
    if FixtureState(now.state) not in FILLING:
        return Filled()
    lapse_overdue(d, now)
    queue = [entry for entry in waiting(now) if entry.step != Step.OFFERED]
    line = in_line(
        [entry.as_member for entry in queue],
        guest_places=GuestPlaces(now.guest_places),
        before_closing=before_closing(now, d.at),
    )
    chosen = tuple(queue[position] for position in line)[: places_of(now).free]
    until = offer_ends(now, d.at)
    for entry in chosen:
        if until is None:
            give_place(d, entry)
        else:
            write_step(d, entry, Step.OFFERED, until=until)
            letters.offered(d, entry, until)
    return Filled(moved=chosen) if until is None else Filled(offered=chosen)


def give_place(d: Deed, entry: Entry) -> None:
    """Somebody who waited has a place from now on."""
    write_step(d, entry, Step.TAKEN)
    letters.moved_in(d, entry)
    freeze_entry(entry=entry, refuse=False, by=d.by, at=d.at)


def lapse_overdue(d: Deed, now: Fixture) -> list[Entry]:
    """Offers that were not answered in time pass; those silent are off the waiting list."""
    entries = list(waiting(now))
    ends = offers_of(entries)
    silent = [entry for entry in entries if entry.pk in ends and ends[entry.pk] <= d.at]
    for entry in silent:
        write_step(d, entry, Step.LAPSED)
        letters.lapsed(d, entry)
    return silent


def offer_ends(now: Fixture, at: datetime) -> datetime | None:
    """Until when an offer made now stands; None where a free place goes at once.

    That is so without a set hour, and when the hour would only come on the day of play.
    """
    if now.offer_until is None:
        return None
    there = ZoneInfo(society_zone())
    soonest = (at + LEAST_OFFER).astimezone(there)
    day = soonest.date()
    if datetime.combine(day, now.offer_until, there) < soonest:
        day += timedelta(days=1)
    ends = datetime.combine(day, now.offer_until, there)
    return ends if ends.date() < now.starts_on and society_day(at) < now.starts_on else None
