"""What a draw is made with: the field to choose from, the captain, the season's standing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from society.entries.bridge.draws import Draw, asks_of
from society.entries.models import Entry
from society.entries.queries import handicaps_taken, in_the_field
from society.entries.rules.asks import AskKind
from society.entries.rules.draw import LOOKS_BACK, DrawMethod
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import StartKind
from society.members.queries import offices_on
from society.merit.queries import standing_of, the_table
from society.web.who import CAPTAIN

BACK = 8  # fixtures looked back over, if nothing else is said


@dataclass(frozen=True, slots=True)
class Choices:
    """What the form to make a draw offers and begins with.

    `field`: (public id, name) of everyone with a place. `wished`: how many wishes entries bring;
    `hosted`: how many guests have their host in the field. `leaders`: which standing the leaders
    are taken from, as a sentence.
    """

    field: Sequence[tuple[str, str]]
    handicaps: bool
    hosted: int
    wished: int
    initial: dict[str, object]
    pairs: Sequence[tuple[str, str, str]]
    leaders: str = ""


def draw_choices(fixture: Fixture, draw: Draw | None) -> Choices:
    """What may be chosen; the last draw's own choices, where there is one, stand as they were."""
    entries = list(in_the_field(fixture))
    asks = asks_of(fixture)
    ids = {entry.key: entry.public_id for entry in entries}
    round_ = the_round(fixture)
    initial: dict[str, object] = {
        "method": DrawMethod.MIXED.value,
        "group_size": round_.group_size,
        "start": round_.start,
        "first_time": round_.first_time,
        "interval": round_.interval,
        "first": _captain(fixture, entries),
        "guests": True,
        "wishes": True,
        "back": BACK,
    }
    if draw is not None:
        initial |= _as_before(draw, ids)
    return Choices(
        field=sorted(
            ((entry.public_id, entry.player.name) for entry in entries),
            key=lambda found: found[1].lower(),
        ),
        handicaps=handicaps_taken(fixture),
        hosted=sum(ask.kind is AskKind.HOST for ask in asks),
        wished=sum(ask.kind is not AskKind.HOST for ask in asks),
        initial=initial,
        pairs=_pairs_before(draw, ids) if draw else (),
        leaders=_leaders(fixture),
    )


def _as_before(draw: Draw, ids: dict[str, str]) -> dict[str, object]:
    inputs = draw.inputs
    first = [ids.get(ask.one, "") for ask in inputs.asks if ask.kind is AskKind.FIRST]
    found: dict[str, object] = {
        "method": inputs.method.value,
        "group_size": inputs.group_size,
        "start": inputs.opening.kind.value,
        "first_time": draw.time_of_group(1),
        "interval": inputs.opening.interval,
        "first": first[0] if first else "",
    }
    return found | ({"back": len(inputs.past) or BACK} if inputs.method in LOOKS_BACK else {})


def _pairs_before(draw: Draw, ids: dict[str, str]) -> Sequence[tuple[str, str, str]]:
    return [
        (ids[ask.one], ask.kind.value, ids[ask.other])
        for ask in draw.inputs.asks
        if ask.kind in (AskKind.TOGETHER, AskKind.APART) and {ask.one, ask.other} <= set(ids)
    ]


def _captain(fixture: Fixture, entries: Iterable[Entry]) -> str:
    """The entry of whoever is captain on the day, empty where none plays."""
    offices = offices_on(fixture.starts_on).filter(role=CAPTAIN)
    players = set(offices.values_list("account__players", flat=True))
    return next((entry.public_id for entry in entries if entry.player_id in players), "")


def places_in_standing(fixture: Fixture) -> dict[str, int]:
    """Places in the season's first table, by the player's public id; empty without one."""
    table = the_table(fixture.season)
    if table is None:
        return {}
    return {row.player: row.place for row in standing_of(table).rows if row.place is not None}


def _leaders(fixture: Fixture) -> str:
    table = the_table(fixture.season)
    if table is None:
        return "Leaders last goes by the season’s first table; there is none yet."
    return (
        f"Leaders last goes by the season’s table “{table.name}” as it stands when you draw, and "
        "by no earlier round or competition of this fixture."
    )


def start_words(kind: StartKind) -> str:
    """How the round begins, in the words of the draw page."""
    return {
        StartKind.ONE_TEE: "one tee",
        StartKind.TWO_TEES: "two tees, the first and the tenth",
        StartKind.SHOTGUN: "all at once, a group to each hole (shotgun)",
        StartKind.ARRANGED: "by arrangement, no tee times",
    }[kind]
