"""A member who enters, as a process of its own: `prepare N`, then `enter …`.

A hand is what the member's process is made to do: `plain` is the program as it is; `slow` waits
between counting the places and writing, so that the other surely comes in between if it can. The
broken ones are slow too: `unheld` does not hold the fixture's row, `bare` has no transaction
either, `deferred` asks SQLite for its write lock only when it writes.
"""

import contextlib
import json
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from types import SimpleNamespace

import django
from django.conf import settings

django.setup()

from django.db import DatabaseError  # noqa: E402 - settings come first

from society.audit import actions as audit  # noqa: E402 - settings come first
from society.entries.actions import entering  # noqa: E402 - settings come first
from society.entries.queries import in_the_field, waiting  # noqa: E402 - settings come first
from society.fixtures.models import Fixture  # noqa: E402 - settings come first
from society.members.models import Player  # noqa: E402 - settings come first
from society.web.who import Who  # noqa: E402 - settings come first
from tests.factories.courses import rated_tee  # noqa: E402 - settings come first
from tests.factories.entries import entered  # noqa: E402 - settings come first
from tests.factories.fixtures import saturday  # noqa: E402 - settings come first
from tests.factories.members import PlayerFactory, SocietyFactory  # noqa: E402 - settings come first

PLACES = 2
PAUSE = 0.4  # seconds; far longer than two processes differ when both are let go


def prepare(fixtures: str) -> Iterator[dict[str, list[str]]]:
    """Fixtures with one place left each, and two players who want it."""
    SocietyFactory()
    tee = rated_tee()
    made = [saturday(tee=tee, places=PLACES) for _ in range(int(fixtures))]
    for fixture in made:
        entered(fixture)
    yield {
        "fixtures": [fixture.public_id for fixture in made],
        "players": [PlayerFactory().public_id for _ in range(2)],
    }


def enter(hand: str, player: str, fixtures: str) -> Iterator[str]:
    """Enter each fixture in its turn; the step it came to, or what the database said."""
    _break(hand)
    one = Player.objects.get(public_id=player)
    by = Who(account="race", players=(player,), player=player)
    for public_id in fixtures.split():
        fixture = Fixture.objects.get(public_id=public_id)
        _say("ready")
        sys.stdin.readline()
        try:
            entry = entering.enter(fixture=fixture, player=one, by=by, at=datetime.now(UTC))
            yield entry.step
        except DatabaseError as error:
            yield f"refused by the database: {error}"


def _break(hand: str) -> None:
    if hand == "plain":
        return
    count = entering.places_of

    def counted_slowly(fixture: Fixture) -> object:
        found = count(fixture)
        time.sleep(PAUSE)
        return found

    entering.places_of = counted_slowly
    if hand in ("unheld", "bare"):
        entering.locked = lambda fixture: Fixture.objects.get(pk=fixture.pk)
    if hand == "bare":
        audit.transaction = SimpleNamespace(atomic=contextlib.nullcontext)
    if hand == "deferred":
        settings.DATABASES["default"]["OPTIONS"]["transaction_mode"] = "DEFERRED"


def stored(fixtures: str) -> Iterator[list[list[int]]]:
    """How many are in and how many wait, for each fixture."""
    found = [Fixture.objects.get(public_id=public_id) for public_id in fixtures.split()]
    yield [[in_the_field(fixture).count(), waiting(fixture).count()] for fixture in found]


def _say(what: object) -> None:
    print(json.dumps(what), flush=True)


if __name__ == "__main__":
    deeds = {"prepare": prepare, "enter": enter, "stored": stored}
    for answer in deeds[sys.argv[1]](*sys.argv[2:]):
        _say(answer)
        sys.stdin.readline()  # until everybody's answer was heard
