"""The second step: who is in."""

from datetime import datetime

from django.urls import reverse

from society.desk.queries.step import Step
from society.entries.queries import field
from society.entries.rules.words import IN, OUT, QUEUING
from society.fixtures.models import Fixture
from society.fixtures.rules import FixtureState
from society.web.templatetags.look import count_of, day_clock
from society.web.who import SCORERS, Who


def entries_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """How many are in, wait and left; whether entries are to be opened or closed."""
    entries = list(field(fixture))
    inside = [entry for entry in entries if entry.step in IN]
    members = sum(entry.as_member for entry in inside)
    words = [count_of(members, "member,members")]
    words.append(count_of(len(inside) - members, "guest,guests"))
    queue = sum(entry.step in QUEUING for entry in entries)
    left = sum(entry.step in OUT for entry in entries)
    words += [f"{queue} waiting"] if queue else []
    words += [f"{left} out again"] if left else []
    state, said = _state(fixture, len(inside), at)
    return Step(
        title="Entries",
        desc=", ".join(words),
        state=state,
        state_words=said,
        url=reverse("entries:manage", args=[fixture.public_id]) if who.may(SCORERS) else None,
        count=len(inside),
        unit=f"of {fixture.places} places" if fixture.places else "in",
        when=day_clock(fixture.entries_close_at),
    )


def _state(fixture: Fixture, inside: int, at: datetime) -> tuple[str, str]:
    state = FixtureState(fixture.state)
    if state is FixtureState.PLANNED:
        return ("act", "Open entries") if not inside else ("pencil", "Not open to members")
    if state is FixtureState.OPEN:
        if fixture.entries_close_at and at >= fixture.entries_close_at:
            return "act", "Close entries"
        return "pencil", "Open"
    if state in (FixtureState.CANCELLED, FixtureState.VOID):
        return "ink", "Kept"
    return ("ink", "Closed") if inside else ("act", "Nobody is in")
