"""Figures that arrive while the result is made final, each in a process of its own.

`prepare N`, then `write …` and `seal …`. A hand is what the sealing process is made to do: `plain`
is the program as it is, `slow` waits between reading the cards and writing the seal, and `bare` is
slow and holds neither the rounds, nor any other row, nor a transaction.
"""

import contextlib
import json
import sys
import time
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any
from uuid import uuid4

import django

django.setup()

from django.db import DatabaseError  # noqa: E402 - settings come first
from django.db.models import QuerySet  # noqa: E402 - settings come first

from scoring.cards.actions.submit import submit_card  # noqa: E402 - settings come first
from scoring.cards.queries import card_reading  # noqa: E402 - settings come first
from scoring.cards.rules.words import Channel, Record  # noqa: E402 - settings come first
from scoring.results.actions import sealing as results  # noqa: E402 - settings come first
from scoring.results.models import ResultVersion  # noqa: E402 - settings come first
from scoring.rules.strict_json import read_json  # noqa: E402 - settings come first
from society.audit import actions as audit  # noqa: E402 - settings come first
from society.desk.actions import final  # noqa: E402 - settings come first
from society.entries.models import Start  # noqa: E402 - settings come first
from society.fixtures.models import Fixture  # noqa: E402 - settings come first
from tests.factories.cards import FIVES, FOURS  # noqa: E402 - settings come first
from tests.factories.courses import rated_tee  # noqa: E402 - settings come first
from tests.factories.members import SocietyFactory  # noqa: E402 - settings come first
from tests.factories.results import AT, OFFICER, played  # noqa: E402 - settings come first

PAUSE = 0.4  # seconds; far longer than two processes differ when both are let go


def prepare(fixtures: str) -> Iterator[list[str]]:
    """Fixtures of two typed cards each; nothing stands in the way of a final result."""
    SocietyFactory()
    tee = rated_tee()
    yield [played([FOURS, FOURS], tee=tee).public_id for _ in range(int(fixtures))]


def _start(public_id: str) -> Start:
    return Start.objects.filter(round__fixture__public_id=public_id).order_by("pk")[0]


def write(hand: str, fixtures: str) -> Iterator[str]:
    """Correct the first card of each fixture from fours to fives."""
    for public_id in fixtures.split():
        start = _start(public_id)
        last = card_reading(start).records[Record.COMMITTEE]
        _say("ready")
        sys.stdin.readline()
        if hand != "plain":
            time.sleep(PAUSE / 2)  # the seal has read by then, and has not written
        try:
            sent = submit_card(
                card_of=start, record=Record.COMMITTEE, uuid=uuid4(), parent_uuid=last.uuid,
                strokes=FIVES, channel=Channel.PAPER, by=OFFICER, at=AT,
            )  # fmt: skip
            yield sent.outcome.value
        except DatabaseError as error:
            yield f"refused by the database: {error}"


def seal(hand: str, fixtures: str) -> Iterator[str]:
    """Make each result final."""
    _break(hand)
    for public_id in fixtures.split():
        fixture = Fixture.objects.get(public_id=public_id)
        _say("ready")
        sys.stdin.readline()
        try:
            final.make_final(fixture=fixture, by=OFFICER, at=AT)
            yield "final"
        except DatabaseError as error:
            yield f"refused by the database: {error}"


def _break(hand: str) -> None:
    if hand == "plain":
        return
    work_out = results.score

    def slowly(event: Any) -> Any:
        time.sleep(PAUSE)
        return work_out(event)

    results.score = slowly
    if hand == "bare":
        results.hold_open = final.hold_open = lambda competition, by: None
        audit.transaction = SimpleNamespace(atomic=contextlib.nullcontext)
        # Nor any other row: without a transaction PostgreSQL refuses to hold one at all.
        QuerySet.select_for_update = lambda rows, *_, **__: rows.all()


def stored(fixtures: str) -> Iterator[list[list[object]]]:
    """For each fixture: the first card as it stands, and as it was sealed; the versions."""
    found = []
    for public_id in fixtures.split():
        start = _start(public_id)
        versions = list(ResultVersion.objects.filter(competition__fixture__public_id=public_id))
        inputs: Any = read_json(versions[0].inputs)
        stands = card_reading(start).strokes
        found.append([list(stands or ()), inputs["cards"][start.entry.key], len(versions)])
    yield found


def _say(what: object) -> None:
    print(json.dumps(what), flush=True)


if __name__ == "__main__":
    deeds = {"prepare": prepare, "write": write, "seal": seal, "stored": stored}
    for answer in deeds[sys.argv[1]](*sys.argv[2:]):
        _say(answer)
        sys.stdin.readline()  # until everybody's answer was heard
