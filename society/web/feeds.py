"""Calendar feeds: plain events in, an iCalendar object out (RFC 5545; its name by RFC 7986)."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from django.http import HttpResponse
from icalendar import Calendar, Event

EVERY = timedelta(hours=1)  # how often a calendar program should look again


@dataclass(frozen=True, slots=True)
class Happening:
    """One event. `begins` and `ends` are both days (`ends` the last one) or both moments.

    A moment goes out in UTC, so that no reader's own time zone or clock change can move it.
    `status`: CONFIRMED, TENTATIVE or CANCELLED. `revision` never falls; `revised_at`: when it
    was last changed. `busy`: whether it takes up the reader's time.
    """

    uid: str
    begins: date | datetime
    ends: date | datetime
    title: str
    revised_at: datetime
    revision: int = 0
    status: str = "CONFIRMED"
    place: str = ""
    words: str = ""
    url: str = ""
    busy: bool = True


def calendar_bytes(name: str, happenings: Iterable[Happening]) -> bytes:
    """The feed as it is sent, with lines folded and ended as RFC 5545, section 3.1, asks."""
    calendar = Calendar()
    calendar.add("prodid", "-//Golf society//Competition manager//EN")  # section 3.7.3
    calendar.add("version", "2.0")  # section 3.7.4
    calendar.add("name", name)  # RFC 7986, section 5.1
    calendar.add("refresh-interval", EVERY, parameters={"VALUE": "DURATION"})  # section 5.7
    for one in happenings:
        calendar.add_component(_event(one))
    return bytes(calendar.to_ical())


def _event(one: Happening) -> Event:
    event = Event()
    event.add("uid", one.uid)
    # Without a METHOD it says when the information was last revised (section 3.8.7.2).
    event.add("dtstamp", one.revised_at.astimezone(UTC))
    event.add("last-modified", one.revised_at.astimezone(UTC))
    event.add("sequence", one.revision)
    event.add("summary", one.title)
    event.add("status", one.status)
    if isinstance(one.begins, datetime) and isinstance(one.ends, datetime):
        event.add("dtstart", one.begins.astimezone(UTC))
        if one.ends > one.begins:  # else it ends as it begins (section 3.6.1)
            event.add("dtend", one.ends.astimezone(UTC))
    else:
        event.add("dtstart", one.begins)
        event.add("dtend", one.ends + timedelta(days=1))  # the end is the first day outside it
    event.add("transp", "OPAQUE" if one.busy else "TRANSPARENT")
    for key, value in (("location", one.place), ("description", one.words), ("url", one.url)):
        if value:
            event.add(key, value)
    return event


def calendar_response(name: str, happenings: Iterable[Happening]) -> HttpResponse:
    """The feed as an answer to a calendar program."""
    made = calendar_bytes(name, happenings)
    response = HttpResponse(made, content_type="text/calendar; charset=utf-8")
    response.headers["Content-Disposition"] = 'inline; filename="golf.ics"'
    return response
