"""The words of letters that need more than one app: a day that moves or is off, its result."""

from collections.abc import Sequence
from datetime import timedelta

from django.urls import reverse

from scoring.results.tables.changes import Changed
from society.audit.actions import Deed
from society.desk.queries.results import Placed, final_places
from society.entries.letters import tell, tell_the_field
from society.entries.models import Entry
from society.entries.queries import in_the_field, waiting
from society.fixtures.bridge import Plan
from society.fixtures.models import Fixture
from society.fixtures.queries import competitions_of
from society.fixtures.rules import FixtureState
from society.members import letters
from society.members.models import Player
from society.members.queries import society_day
from society.members.rules import LetterKind
from society.web.templatetags.look import clock, day_long

_NEWS = timedelta(days=14)  # an older day is being written up, and everybody knows how it ended


def called_off(d: Deed, fixture: Fixture, words: str, *, void: bool) -> None:
    """The fixture is off, or does not count: everyone who is in or waits hears why."""
    what = "is void and does not count" if void else "is cancelled"
    tell_the_field(
        d,
        fixture,
        LetterKind.CANCELLED,
        subject=f"{fixture.name} {'is void' if void else 'is cancelled'}",
        text=f"{fixture.name} on {day_long(fixture.starts_on)} {what}. "
        f"The reason given: {words.strip()}",
    )


def result_out(d: Deed, fixture: Fixture) -> None:
    """Everyone in the final result hears how they came out of it, in the deed that seals it."""
    if society_day(d.at) > fixture.ends_on + _NEWS:
        return
    said: dict[str, list[str]] = {}
    competitions = list(competitions_of(fixture))
    for competition in competitions:
        placed = final_places([fixture], competition.number).get(fixture.pk, [])
        counted = sum(one.place is not None for one in placed)
        for one in placed:
            called = f"{competition.name}: " if len(competitions) > 1 else ""
            said.setdefault(one.player, []).append(called + _came_out(one, counted))
    players = Player.objects.in_bulk(list(said), field_name="public_id")
    for public_id, player in players.items():
        letters.write(
            d,
            to=player,
            kind=LetterKind.RESULT,
            subject=f"{fixture.name}: the result is out",
            text=f"The result of {fixture.name} on {day_long(fixture.starts_on)} is final.\n\n"
            + "\n\n".join(said[public_id]),
            about=f"fixture:{fixture.public_id}",
            link=reverse("results:show", args=[fixture.public_id]),
        )


def _came_out(one: Placed, counted: int) -> str:
    """How one player came out of a competition in which `counted` have a place."""
    if one.place is None:
        return f"You have no place in it: {one.status}."
    settled = f" {one.settled.rstrip('.')}." if one.settled else ""
    return f"You are {one.words}, of {counted} with a place.{settled}"


def result_changed(
    d: Deed, fixture: Fixture, *, title: str, because: str, changed: Sequence[Changed]
) -> None:
    """Whoever gains or loses by a corrected result hears what was and what is, and why.

    `title`: what the competition is called; `because`: the reason as everyone may read it.
    """
    by_key: dict[str, list[Changed]] = {}
    for one in changed:
        by_key.setdefault(one.key, []).append(one)
    rows = Entry.objects.filter(fixture=fixture, key__in=by_key).select_related("player")
    for entry in rows.order_by("pk"):
        said = [
            f"{'In ' + one.division if one.division else 'You'}: {one.now}. Before: {one.was}."
            for one in by_key[entry.key]
        ]
        letters.write(
            d,
            to=entry.player,
            kind=LetterKind.RESULT_CHANGED,
            subject=f"{title}: the result is corrected",
            text=f"The result of {title} on {day_long(fixture.starts_on)} has been corrected. "
            f"{because}\n\n{' '.join(said)}\n\nBoth versions can be read.",
            about=f"fixture:{fixture.public_id}",
            link=reverse("results:show", args=[fixture.public_id]),
        )


def moved(d: Deed, fixture: Fixture, old: Plan, new: Plan, words: str) -> None:
    """Everyone who is in or waits hears of another day, course or first tee time, and why."""
    said = _moves(old, new)
    if not said or fixture.state == FixtureState.PLANNED.value:
        return
    because = f"\n\nWhy: {words.strip()}" if words.strip() else ""
    for entries, stays in ((in_the_field(fixture), "place"), (waiting(fixture), "place in line")):
        for entry in entries:
            entry.fixture = fixture
            tell(
                d,
                entry,
                LetterKind.MOVED,
                subject=f"{new.name}: {said[0]}",
                text=f"{new.name}: {'; '.join(said)}.{because}\n\nYour {stays} stays as it is. "
                "If you cannot come, withdraw on the fixture's page or ask the organiser.",
            )


def _moves(old: Plan, new: Plan) -> list[str]:
    """What somebody who means to come has to know, the day first."""
    said = []
    if new.day != old.day:
        said.append(f"now on {day_long(new.day)}, no longer on {day_long(old.day)}")
    if new.course != old.course:
        said.append(f"now at {new.course.name}, no longer at {old.course.name}")
    if new.first_time != old.first_time and new.first_time is not None:
        said.append(f"first tee time now {clock(new.first_time)}")
    return said
