"""Make the draw of a fixture: what is asked of it gathered from every side, then drawn."""

from collections.abc import Sequence
from datetime import datetime, time

from society.audit.actions import deed
from society.desk.actions.sealing import refuse_if_sealed
from society.desk.queries.drawing import places_in_standing
from society.entries.actions.drawing import make_draw
from society.entries.actions.drawing import withdraw_draw as take_back_draw
from society.entries.bridge.draws import asks_of
from society.entries.models import DrawRun, Entry
from society.entries.queries import in_the_field
from society.entries.rules.asks import Ask, AskKind
from society.entries.rules.draw import LOOKS_BACK, DrawMethod
from society.fixtures.models import Fixture
from society.fixtures.rules import StartKind
from society.web.refusals import BadInput
from society.web.who import Who


def draw_fixture(
    *,
    fixture: Fixture,
    method: DrawMethod,
    group_size: int,
    interval: int,
    first_time: time | None,
    start: StartKind | None = None,
    seed: str = "",
    first: str = "",
    guests: bool = True,
    wishes: bool = True,
    pairs: Sequence[tuple[str, AskKind, str]] = (),
    back: int = 0,
    by: Who,
    at: datetime,
) -> DrawRun:
    """Draw with what the organiser asks, what entries ask, who met of late, and the standing.

    `first`, `pairs`: public ids of entries. `guests`, `wishes`: whether guests stay with their
    hosts and the wishes of entries are looked at. Raises what `make_draw` raises, and BadInput for
    somebody who is not in the field.
    """
    field = {entry.public_id: entry for entry in in_the_field(fixture)}
    asks = [Ask(AskKind.FIRST, _in(field, first, "first").key)] if first else []
    for number, (one, kind, other) in enumerate(pairs):
        found = [_in(field, found, f"one_{number}").key for found in (one, other)]
        if found[0] == found[1]:
            raise BadInput("Name two different players.", field=f"one_{number}")
        asks.append(Ask(kind, *found))
    told = {frozenset({ask.one, ask.other}) for ask in asks}
    asks += [
        ask
        for ask in asks_of(fixture)
        if (guests if ask.kind is AskKind.HOST else wishes)
        and frozenset({ask.one, ask.other}) not in told
    ]
    standing = places_in_standing(fixture) if method is DrawMethod.LEADERS else {}
    return make_draw(
        fixture=fixture,
        method=method,
        seed=seed,
        group_size=group_size,
        interval=interval,
        first_time=first_time,
        start=start,
        asks=asks,
        back=back if method in LOOKS_BACK else 0,
        standing={
            entry.key: standing[entry.player.public_id]
            for entry in field.values()
            if entry.player.public_id in standing
        },
        by=by,
        at=at,
    )


def _in(field: dict[str, Entry], public_id: str, name: str) -> Entry:
    if public_id not in field:
        raise BadInput("Choose somebody who has a place.", field=name)
    return field[public_id]


def withdraw_draw(*, fixture: Fixture, words: str, by: Who, at: datetime) -> None:
    """Take a published draw back, unless a sealed result was played by it.

    Raises WrongState, NotYours, BadInput on `words`.
    """
    with deed(by=by, at=at, what="draw withdrawn", about=f"fixture:{fixture.public_id}"):
        refuse_if_sealed(fixture, "its draw cannot be withdrawn")
        take_back_draw(fixture=fixture, words=words, by=by, at=at)
