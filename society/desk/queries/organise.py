"""The officers' list: every fixture that is not over, and what it needs next."""

from dataclasses import dataclass
from datetime import date, datetime

from society.desk.queries.mine import day_of
from society.entries.queries import Places, places_by_fixture
from society.fixtures.models import Fixture
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState


@dataclass(frozen=True, slots=True)
class Need:
    """One fixture of the list: how its places stand, and the next thing for an officer to do.

    `todo` is empty when nothing waits for an officer.
    """

    fixture: Fixture
    course: str
    state: str
    places: Places
    todo: str


def fixtures_to_run(at: datetime) -> list[Need]:
    """Fixtures not over, the nearest first. A constant number of queries."""
    fixtures = list(
        Fixture.objects.exclude(state__in=[state.value for state in ENDED])
        .select_related("season")
        .prefetch_related("rounds__course", "competitions")
        .order_by("starts_on", "pk")
    )
    places = places_by_fixture(fixtures)
    return [
        Need(
            fixture=fixture,
            course=", ".join(round_.course.name for round_ in fixture.rounds.all()),
            state=STATE_WORDS[FixtureState(fixture.state)],
            places=places[fixture.pk],
            todo=_todo(fixture, places[fixture.pk], at, day_of(at)),
        )
        for fixture in fixtures
    ]


def fixtures_over() -> list[Fixture]:
    """The last twelve that are over, the latest first."""
    ended = [state.value for state in ENDED]
    rows = Fixture.objects.filter(state__in=ended).select_related("season")
    return list(rows.order_by("-starts_on", "-pk")[:12])


def _todo(fixture: Fixture, places: Places, at: datetime, today: date) -> str:
    state = FixtureState(fixture.state)
    taken = all(competition.frozen_at for competition in fixture.competitions.all())
    if fixture.ends_on < today:
        return "Make it final" if taken else "Say who played, then take handicaps"
    if state is FixtureState.PLANNED and not places.taken:
        return "Open entries"
    closes = fixture.entries_close_at
    if state is FixtureState.OPEN and closes is not None and at >= closes:
        return "Close entries"
    if state in (FixtureState.CLOSED, FixtureState.DRAWN) and not taken:
        return "Take handicaps"
    if fixture.starts_on == today:
        return "Today: cards in and out" if taken else "Take handicaps"
    return ""
