"""An offer that is taken and lapses at once, each in a process of its own.

`prepare N`, then `take …` and `lapse …`. A hand is what a process is made to do: `plain` is the
program as it is, `slow` waits between reading the offer and writing, and `bare` is slow and holds
neither the fixture's row nor a transaction.
"""

import contextlib
import json
import sys
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace

import django

django.setup()

from django.db import DatabaseError  # noqa: E402 - settings come first

from society.audit import actions as audit  # noqa: E402 - settings come first
from society.entries.actions import deadlines, offers, seating  # noqa: E402 - settings come first
from society.entries.models import Entry, EntryStep  # noqa: E402 - settings come first
from society.entries.queries import places_of  # noqa: E402 - settings come first
from society.fixtures.models import Fixture  # noqa: E402 - settings come first
from society.web.refusals import WrongState  # noqa: E402 - settings come first
from society.web.who import Who  # noqa: E402 - settings come first
from tests.factories.courses import rated_tee  # noqa: E402 - settings come first
from tests.factories.entries import BY, THEN, entered  # noqa: E402 - settings come first
from tests.factories.fixtures import saturday  # noqa: E402 - settings come first
from tests.factories.members import SocietyFactory  # noqa: E402 - settings come first

PAUSE = 0.4  # seconds; far longer than two processes differ when both are let go
FIRST = datetime(2026, 5, 1, 20, 0, tzinfo=UTC)


def _hour(number: int) -> datetime:
    """When the offer of a fixture lapses: a minute later for each, so that each round has its own.

    What is offered next stands until the next evening, and is no other round's.
    """
    return FIRST + timedelta(minutes=number)


def prepare(fixtures: str) -> Iterator[list[str]]:
    """Fixtures of one place, each with an offer of it and one more who waits."""
    SocietyFactory()
    tee, made = rated_tee(), []
    for number in range(int(fixtures)):
        fixture = saturday(tee=tee, places=1, offer_until=FIRST.time(), starts_on=date(2026, 12, 1))
        first = entered(fixture, step="waiting")
        EntryStep.objects.create(entry=first, kind="offered", until=_hour(number), at=THEN, by=BY)
        entered(fixture, step="waiting")
        made.append(fixture.public_id)
    yield made


def take(hand: str, fixtures: str) -> Iterator[str]:
    """Take each offer a second before its hour, the fixtures in their turn."""
    _break(hand)
    for number, public_id in enumerate(fixtures.split()):
        entry = Entry.objects.filter(fixture__public_id=public_id).order_by("pk")[0]
        by = Who(account="race", players=(entry.player.public_id,), player=entry.player.public_id)
        _say("ready")
        sys.stdin.readline()
        try:
            offers.take_offer(entry=entry, by=by, at=_hour(number) - timedelta(seconds=1))
            yield "taken"
        except WrongState:
            yield "too late"
        except DatabaseError as error:
            yield f"refused by the database: {error}"


def lapse(hand: str, fixtures: str) -> Iterator[int | str]:
    """The clock, at the hour of each offer."""
    _break(hand)
    for number, _ in enumerate(fixtures.split()):
        _say("ready")
        sys.stdin.readline()
        try:
            yield deadlines.lapse_offers(by=Who.due(), at=_hour(number))
        except DatabaseError as error:
            yield f"refused by the database: {error}"


def _break(hand: str) -> None:
    if hand == "plain":
        return
    read = seating.offers_of

    def read_slowly(entries: list[Entry]) -> dict[int, datetime]:
        found = read(entries)
        if found:
            time.sleep(PAUSE)
        return found

    seating.offers_of = offers.offers_of = read_slowly
    if hand == "bare":
        offers.locked = deadlines.locked = lambda fixture: Fixture.objects.get(pk=fixture.pk)
        audit.transaction = SimpleNamespace(atomic=contextlib.nullcontext)


def stored(fixtures: str) -> Iterator[list[list[object]]]:
    """For each fixture: the steps of whoever had the offer, and the places held."""
    found = []
    for public_id in fixtures.split():
        fixture = Fixture.objects.get(public_id=public_id)
        entry = Entry.objects.filter(fixture=fixture).order_by("pk")[0]
        steps = EntryStep.objects.filter(entry=entry).order_by("pk").values_list("kind", flat=True)
        places = places_of(fixture)
        found.append([list(steps)[2:], places.taken + places.offered])
    yield found


def _say(what: object) -> None:
    print(json.dumps(what), flush=True)


if __name__ == "__main__":
    deeds = {"prepare": prepare, "take": take, "lapse": lapse, "stored": stored}
    for answer in deeds[sys.argv[1]](*sys.argv[2:]):
        _say(answer)
        sys.stdin.readline()  # until everybody's answer was heard
