"""Entries that have a place, and handicaps for them, as plain rows."""

from datetime import UTC, date, datetime
from decimal import Decimal

from society.entries.models import Entry, EntryStep
from society.fixtures.models import Fixture
from society.handicaps.models import HandicapEntry
from society.members.models import Player
from society.web.who import Who
from tests.factories.members import PlayerFactory

THEN = datetime(2026, 4, 10, 8, 0, tzinfo=UTC)
BY = Who.command("test").as_json()


def handicap(
    player: Player,
    value: str = "18.0",
    *,
    kind: str = "index",
    source: str = "association",
    valid_from: date = date(2026, 1, 1),
) -> HandicapEntry:
    """One line of a player's record, in force since 2026-01-01 if not said otherwise."""
    return HandicapEntry.objects.create(
        player=player,
        kind=kind,
        value=Decimal(value),
        source=source,
        valid_from=valid_from,
        at=THEN,
        by=BY,
    )


def entered(
    fixture: Fixture, *, index: str | None = "18.0", step: str = "entered", **values: object
) -> Entry:
    """A player with an index (unless None) whose entry's last step is `step`."""
    player = PlayerFactory(**values)
    if index is not None:
        handicap(player, index)
    entry = Entry.objects.create(
        fixture=fixture,
        player=player,
        as_member=player.is_member,
        category=player.category,
        place_at=THEN,
    )
    EntryStep.objects.create(entry=entry, kind=step, at=THEN, by=BY)
    return entry
