"""The words of letters about entries and the draw. Written inside the deed they tell of."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.urls import reverse

from society.audit.actions import Deed
from society.entries.models import Entry, Start
from society.entries.queries import in_the_field, waiting
from society.fixtures.models import Fixture, Round
from society.fixtures.queries import the_round
from society.members import letters
from society.members.models import Letter, Player
from society.members.queries import society_zone
from society.members.rules import LETTER_DAYS, LetterKind
from society.web.templatetags.look import clock, day_long, names


def tell(
    d: Deed,
    entry: Entry,
    kind: LetterKind,
    *,
    subject: str,
    text: str,
    page: str = "desk:fixture",
    until: datetime | None = None,
    to: Player | None = None,
) -> Letter | None:
    """One letter to the player of an entry, about its fixture; a guest's goes to the guest.

    `to`: somebody else it concerns, such as a guest's host.

    `page`: the name of an address that takes the fixture. Nothing is written once the day is
    over: who played was told by playing. `until`: when the news is stale, at latest then.
    """
    fixture = entry.fixture
    stale = [d.at + timedelta(days=LETTER_DAYS), _over(fixture), *([until] if until else [])]
    latest = min(stale)
    if latest <= d.at:
        return None
    return letters.write(
        d,
        to=to or entry.player,
        kind=kind,
        subject=subject,
        text=text,
        about=f"fixture:{fixture.public_id}",
        link=reverse(page, args=[fixture.public_id]),
        until=latest,
    )


def _over(fixture: Fixture) -> datetime:
    """Midnight after the fixture's last day, where the society is."""
    midnight = datetime.combine(fixture.ends_on + timedelta(days=1), time())
    return midnight.replace(tzinfo=ZoneInfo(society_zone()))


def the_day(fixture: Fixture) -> str:
    """Saturday 18 April: the day a letter about a fixture names."""
    return day_long(fixture.starts_on)


# coming and going --------------------------------------------------------------------------


def entered(d: Deed, entry: Entry) -> None:
    """A place is taken."""
    fixture = entry.fixture
    tell(
        d,
        entry,
        LetterKind.ENTERED,
        subject=f"{fixture.name}: you are in",
        text=f"You have a place in {fixture.name} on {the_day(fixture)}."
        f"{_last_day(fixture)} Withdraw on the fixture's page if you cannot come.",
    )


def on_the_list(d: Deed, entry: Entry) -> None:
    """All places are taken; the player waits."""
    fixture = entry.fixture
    ahead = sum(1 for other in waiting(fixture) if other.pk != entry.pk)
    where = "the first" if not ahead else f"number {ahead + 1}"
    tell(
        d,
        entry,
        LetterKind.WAITING,
        subject=f"{fixture.name}: you are on the waiting list",
        text=f"All places in {fixture.name} on {the_day(fixture)} are taken. "
        f"You are {where} on the waiting list, and you are told if a place comes free.",
    )


def withdrawn(d: Deed, entry: Entry) -> None:
    """A place, or a place in the queue, is given up."""
    fixture = entry.fixture
    tell(
        d,
        entry,
        LetterKind.WITHDRAWN,
        subject=f"{fixture.name}: you are withdrawn",
        text=f"You are no longer entered in {fixture.name} on {the_day(fixture)}. "
        "If you come back you go to the end of the queue.",
    )


def moved_in(d: Deed, entry: Entry) -> None:
    """Somebody waiting got a place."""
    fixture = entry.fixture
    tell(
        d,
        entry,
        LetterKind.PLACE,
        subject=f"{fixture.name}: a place came free and you are in",
        text=f"A place came free in {fixture.name} on {the_day(fixture)}, and it is yours. "
        "Withdraw on the fixture's page if you cannot come, so that the next can.",
    )


def offered(d: Deed, entry: Entry, until: datetime) -> None:
    """A place is free for somebody who waits, until an hour; a guest's host hears it too."""
    fixture = entry.fixture
    hour = _hour(until)
    tell(
        d,
        entry,
        LetterKind.OFFERED,
        subject=f"{fixture.name}: a place is offered to you until {hour}",
        text=f"A place is free in {fixture.name} on {the_day(fixture)}, and you are next. Take it "
        f"or decline it on the fixture's page by {hour}. If nothing is heard from you by then, it "
        "goes to the next name and you are off the waiting list.",
        until=until,
    )
    _tell_host(
        d,
        entry,
        LetterKind.OFFERED,
        subject=f"{fixture.name}: a place is offered to {entry.player.name}",
        text=f"A place is free in {fixture.name} on {the_day(fixture)} for your guest "
        f"{entry.player.name}. Take it or decline it on the fixture's page by {hour}; after that "
        "it goes to the next name.",
        until=until,
    )


def lapsed(d: Deed, entry: Entry) -> None:
    """An offer was not answered in time."""
    fixture = entry.fixture
    words = "The place goes to the next name."
    tell(
        d,
        entry,
        LetterKind.LAPSED,
        subject=f"{fixture.name}: the offer of a place has passed",
        text=f"The place offered to you in {fixture.name} on {the_day(fixture)} was not taken in "
        f"time. {words} You are off the waiting list; while entries are open you can enter again.",
    )
    _tell_host(
        d,
        entry,
        LetterKind.LAPSED,
        subject=f"{fixture.name}: the offer to {entry.player.name} has passed",
        text=f"The place offered to your guest {entry.player.name} was not taken in time. {words}",
    )


def bumped(d: Deed, entry: Entry) -> None:
    """A guest's place went to a member: the guest and the host are told."""
    fixture = entry.fixture
    why = (
        f"Until entries close members come before guests in {fixture.name} on "
        f"{the_day(fixture)}, and a member has entered."
    )
    tell(
        d,
        entry,
        LetterKind.NO_PLACE,
        subject=f"{fixture.name}: your place has gone to a member",
        text=f"{why} You are at the head of the waiting list now, and are told if a place comes "
        "free.",
    )
    _tell_host(
        d,
        entry,
        LetterKind.NO_PLACE,
        subject=f"{fixture.name}: {entry.player.name}'s place has gone to a member",
        text=f"{why} Your guest {entry.player.name} entered last and is at the head of the waiting "
        "list now.",
    )


def _tell_host(
    d: Deed,
    entry: Entry,
    kind: LetterKind,
    *,
    subject: str,
    text: str,
    until: datetime | None = None,
) -> None:
    if entry.host is not None:
        tell(d, entry, kind, subject=subject, text=text, until=until, to=entry.host)


def _hour(moment: datetime) -> str:
    """20:00 on Thursday 16 April, where the society is."""
    there = moment.astimezone(ZoneInfo(society_zone()))
    return f"{clock(there.time())} on {day_long(there.date())}"


def _last_day(fixture: Fixture) -> str:
    closes = fixture.entries_close_at
    if closes is None:
        return ""
    there = closes.astimezone(ZoneInfo(society_zone()))
    return f" Entries close on {day_long(there.date())} at {clock(there.time())}."


# the draw ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Slip:
    """What one player has to know of a published draw."""

    entry: Entry
    group: int
    time: time | None
    hole: int | None  # None where all begin on one
    others: tuple[str, ...]
    marks: tuple[str, ...]
    marked_by: str


def slips(round_: Round) -> dict[int, Slip]:
    """Entry id → what its player has to know, for everyone in a group."""
    rows = list(
        Start.objects.filter(round=round_, group__isnull=False)
        .select_related("entry__player", "entry__fixture", "marker__player")
        .order_by("group", "place", "pk")
    )
    several = len({start.first_hole for start in rows}) > 1
    found = {}
    for start in rows:
        found[start.entry_id] = Slip(
            entry=start.entry,
            group=start.group or 0,
            time=start.time,
            hole=start.first_hole if several else None,
            others=tuple(
                other.entry.player.name
                for other in rows
                if other.group == start.group and other.pk != start.pk
            ),
            marks=tuple(o.entry.player.name for o in rows if o.marker_id == start.entry_id),
            marked_by=start.marker.player.name if start.marker else "",
        )
    return found


def draw_published(d: Deed, fixture: Fixture) -> None:
    """Everyone's tee time, group, and whose card they mark."""
    round_ = the_round(fixture)
    for slip in slips(round_).values():
        tell(
            d,
            slip.entry,
            LetterKind.DRAW,
            subject=f"{fixture.name}: {_when(slip)}",
            text=f"The draw for {fixture.name} on {the_day(fixture)} is published.\n\n"
            f"{_said(slip)}",
            page="desk:draw",
        )


def draw_changed(d: Deed, round_: Round, before: Mapping[int, Slip]) -> None:
    """Those whose time, group or marker is another one since `before` hear how it is now."""
    fixture = round_.fixture
    for pk, slip in slips(round_).items():
        if _heard(before.get(pk)) == _heard(slip):
            continue
        tell(
            d,
            slip.entry,
            LetterKind.DRAW_CHANGED,
            subject=f"{fixture.name}: the draw has changed, {_when(slip)}",
            text=f"The draw for {fixture.name} on {the_day(fixture)} has changed. "
            f"For you it is now so.\n\n{_said(slip)}",
            page="desk:draw",
        )


def draw_withdrawn(d: Deed, fixture: Fixture, words: str) -> None:
    """The published draw holds no longer; everyone in it hears why."""
    for slip in slips(the_round(fixture)).values():
        tell(
            d,
            slip.entry,
            LetterKind.DRAW_CHANGED,
            subject=f"{fixture.name}: the draw is withdrawn",
            text=f"The draw for {fixture.name} on {the_day(fixture)} is withdrawn, and your tee "
            f"time with it. The reason given: {words.strip()}\n\nYou keep your place, and hear "
            "again when a new draw is published.",
        )


def _heard(slip: Slip | None) -> tuple[object, ...]:
    return (slip.group, slip.time, slip.hole, slip.marks, slip.marked_by) if slip else ()


def _when(slip: Slip) -> str:
    return f"you start at {clock(slip.time)}" if slip.time else f"you are in group {slip.group}"


def _said(slip: Slip) -> str:
    hole = "" if slip.hole is None else f" on hole {slip.hole}"
    start = (
        f"You start at {clock(slip.time)}{hole}, in group {slip.group}"
        if slip.time
        else (f"You are in group {slip.group}{hole}")
    )
    company = f", with {names(slip.others)}." if slip.others else ", alone so far."
    if not slip.marks and not slip.marked_by:
        return f"{start}{company} The organiser finds you a marker."
    if slip.marks == (slip.marked_by,):
        return f"{start}{company} You and {slip.marked_by} mark each other's cards."
    marks = f" You mark the card of {names(slip.marks)}." if slip.marks else ""
    marked = f" {slip.marked_by} marks yours." if slip.marked_by else ""
    return f"{start}{company}{marks}{marked}"


# to everybody ------------------------------------------------------------------------------


def tell_the_field(
    d: Deed, fixture: Fixture, kind: LetterKind, *, subject: str, text: str, queue: bool = True
) -> int:
    """The same news for everyone with a place, and for those who wait; how many were written."""
    rows = [*in_the_field(fixture), *(waiting(fixture) if queue else ())]
    return sum(tell(d, entry, kind, subject=subject, text=text) is not None for entry in rows)
