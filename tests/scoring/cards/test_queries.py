"""How the cards of a field stand: what the reading says, and at what cost."""

from uuid import uuid4

import pytest
from django.test.utils import CaptureQueriesContext

from scoring.cards.actions.submit import submit_card
from scoring.cards.queries import cards_of, other_scorers, step_of
from scoring.cards.rules.words import CardState, Channel, Record
from society.entries.models import EntryStep, Start
from society.members.queries import who_for
from society.web.who import Who
from tests.factories.cards import BY, FIVES, FOURS, THEN, acts_for, ready
from tests.factories.members import AccountFactory, OfficeFactory

pytestmark = pytest.mark.django_db


def write(start: Start, record: Record, strokes: list[int], at) -> None:
    by = {
        Record.PLAYER: lambda: who_for(acts_for(start.entry.player), at),
        Record.MARKER: lambda: who_for(acts_for(start.marker.player), at),
        Record.COMMITTEE: lambda: Who.command("test"),
    }[record]()
    submit_card(
        card_of=start,
        record=record,
        uuid=uuid4(),
        parent_uuid=None,
        strokes=strokes,
        channel=Channel.PHONE,
        by=by,
        at=at,
    )


@pytest.mark.parametrize("players", [1, 3, 30])
def test_a_whole_field_is_read_in_five_queries(society, at, players) -> None:
    starts = ready(players=players)
    for start in starts:
        write(start, Record.PLAYER, FOURS, at)
        if start.marker:
            write(start, Record.MARKER, FIVES, at)
    from django.db import connection

    with CaptureQueriesContext(
        connection,
    ) as seen:
        readings = cards_of(starts[0].round)
        for reading in readings.values():
            assert reading.start.entry.player.name
            assert reading.numbers
    assert len(seen) == 5
    assert len(readings) == players


def test_a_card_nobody_wrote_on_is_out(society, at) -> None:
    starts = ready()
    write(starts[0], Record.PLAYER, FOURS, at)
    readings = cards_of(starts[0].round)
    out = readings[starts[1].entry_id]
    assert (out.state, out.card, out.strokes, out.standing_digest) == (
        CardState.OUT,
        None,
        None,
        None,
    )
    assert out.public_id == starts[1].public_id
    assert readings[starts[0].entry_id].state is CardState.STARTED


def test_where_two_differ_the_players_figures_stand_and_each_hole_is_named(society, at) -> None:
    start = ready()[0]
    write(start, Record.PLAYER, FOURS, at)
    write(start, Record.MARKER, [4] * 17 + [6], at)
    reading = cards_of(start.round)[start.entry_id]
    assert reading.state is CardState.QUERIED
    assert reading.strokes == tuple(FOURS)
    assert reading.differences == ((18, 4, 6),)
    assert reading.numbers == {Record.PLAYER: 1, Record.MARKER: 1}


def test_the_committees_figures_settle_a_difference(society, at) -> None:
    start = ready()[0]
    write(start, Record.PLAYER, FOURS, at)
    write(start, Record.MARKER, FIVES, at)
    write(start, Record.COMMITTEE, FIVES, at)
    reading = cards_of(start.round)[start.entry_id]
    assert reading.state is CardState.RETURNED
    assert reading.standing_record is Record.COMMITTEE
    assert reading.strokes == tuple(FIVES)
    assert reading.differences == ()


def test_the_last_step_of_each_entry_comes_along(society, at) -> None:
    starts = ready()
    EntryStep.objects.create(entry=starts[1].entry, kind="withdrawn", at=THEN, by=BY)
    readings = cards_of(starts[0].round)
    assert [step_of(reading.start) for reading in readings.values()] == ["entered", "withdrawn"]


def test_another_scorer_is_one_who_holds_the_office_today(society, at) -> None:
    mine = AccountFactory()
    OfficeFactory(account=mine, role="secretary")
    by = who_for(mine, at)
    assert not other_scorers(by, at)
    OfficeFactory(role="treasurer")
    OfficeFactory(role="scorer", ends="2026-01-01")
    OfficeFactory(role="scorer", account=AccountFactory(is_active=False))
    assert not other_scorers(by, at)
    OfficeFactory(role="scorer")
    assert other_scorers(by, at)
