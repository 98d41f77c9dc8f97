"""Reading the rulings of a committee.

Event document, section 1.4. Penalties, points off and statuses name a player; an order names
the players still level after every step and needs a reason.

>>> kinds = read_rulings([{"kind": "withdrawn", "player": "p1"}], ["p1"], 18, Format.MEDAL)
>>> kinds[0].kind.value, kinds[0].player
('withdrawn', 'p1')
"""

from collections.abc import Collection
from typing import Any

from scoring.rules.checks import entries, items, known, obj, text, whole, word
from scoring.rules.strict_json import Refused, inside, quoted
from scoring.rules.values import (
    STATUS_KINDS,
    STROKE_TOTALS,
    Format,
    Ruling,
    RulingKind,
)

_FURTHER = {
    RulingKind.PENALTY: ("player", "hole", "strokes"),
    RulingKind.POINTS_OFF: ("player", "points"),
    RulingKind.DISQUALIFIED: ("player",),
    RulingKind.WITHDRAWN: ("player",),
    RulingKind.NO_RETURN: ("player",),
    RulingKind.ORDER: ("players", "reason"),
}


def read_rulings(
    value: object, players: Collection[str], holes: int, scoring: Format
) -> tuple[Ruling, ...]:
    """All rulings of a document; raises Refused with the place of the first wrong one."""
    read: list[Ruling] = []
    ruled: set[str] = set()
    for at, entry in enumerate(items(value, "rulings")):
        place = inside("rulings", at)
        ruling = _ruling(entry, place, at, players, holes)
        if ruling.kind is RulingKind.POINTS_OFF and scoring in STROKE_TOTALS:
            raise Refused(f"{place}.kind", f"points_off does not belong to {scoring.value}")
        if ruling.kind in STATUS_KINDS:
            if ruling.player in ruled:
                raise Refused(f"{place}.kind", f"a second status for {quoted(ruling.player)}")
            ruled.add(ruling.player)
        read.append(ruling)
    return tuple(read)


def _ruling(value: object, place: str, at: int, players: Collection[str], holes: int) -> Ruling:
    found = entries(value, place)
    if "kind" not in found:
        raise Refused(f"{place}.kind", "is missing")
    kind = word(found["kind"], f"{place}.kind", RulingKind)
    required = ("kind", *_FURTHER[kind])
    obj(found, place, required, [key for key in ("rule", "reason") if key not in required])
    return Ruling(
        at=at,
        kind=kind,
        player=_player(found, place, players),
        hole=_whole(found, "hole", place, holes),
        strokes=_whole(found, "strokes", place, 20),
        points=_whole(found, "points", place, 20),
        players=_named(found, f"{place}.players", players),
        rule=_text(found, "rule", place),
        reason=_text(found, "reason", place),
    )


def _player(found: dict[str, Any], place: str, players: Collection[str]) -> str:
    if "player" not in found:
        return ""
    return known(found["player"], f"{place}.player", players, "player")


def _whole(found: dict[str, Any], key: str, place: str, high: int) -> int:
    return whole(found[key], f"{place}.{key}", 1, high) if key in found else 0


def _text(found: dict[str, Any], key: str, place: str) -> str | None:
    return text(found[key], f"{place}.{key}") if key in found else None


def _named(found: dict[str, Any], place: str, players: Collection[str]) -> tuple[str, ...]:
    if "players" not in found:
        return ()
    named: list[str] = []
    for position, value in enumerate(items(found["players"], place)):
        key = known(value, inside(place, position), players, "player")
        if key in named:
            raise Refused(inside(place, position), f"{quoted(key)} stands here twice")
        named.append(key)
    if len(named) < 2:
        raise Refused(place, "wants at least two players")
    return tuple(named)
