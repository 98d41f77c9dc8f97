"""Reading the rulings of a committee.

Event document, section 1.4. Penalties, points off and statuses name a player; an order names
the players still level after every step and needs a reason.

>>> FURTHER[RulingKind.POINTS_OFF]
('points',)
"""

from collections.abc import Mapping
from typing import Any

from scoring.rules.checks import entries, items, known, obj, text, whole, word
from scoring.rules.strict_json import Refused, inside, quoted
from scoring.rules.values import (
    INDIVIDUAL,
    OWN_BALL,
    STATUS_KINDS,
    Format,
    HoleNumber,
    Ruling,
    RulingKind,
    Terms,
)

FURTHER: dict[RulingKind, tuple[str, ...]] = {
    RulingKind.PENALTY: ("hole", "strokes"),
    RulingKind.POINTS_OFF: ("points",),
    RulingKind.DISQUALIFIED: (),
    RulingKind.WITHDRAWN: (),
    RulingKind.NO_RETURN: (),
    RulingKind.ORDER: ("reason",),
}
Names = Mapping[str, object]


def read_rulings(
    value: object, players: Names, sides: Names, terms: Terms, holes: int
) -> tuple[Ruling, ...]:
    """All rulings of a document; raises Refused with the place of the first wrong one."""
    read: list[Ruling] = []
    ruled: set[tuple[str, str]] = set()
    for at, entry in enumerate(items(value, "rulings")):
        place = inside("rulings", at)
        ruling = _ruling(entry, place, at, {"player": players, "side": sides}, terms.format, holes)
        if ruling.kind is RulingKind.POINTS_OFF and terms.stroke_total:
            words = f"points_off does not belong to {terms.scoring.value}"
            raise Refused(f"{place}.kind", words)
        if ruling.kind in STATUS_KINDS:
            whom = (ruling.player, ruling.side)
            if whom in ruled:
                raise Refused(f"{place}.kind", "a second status for the same player or side")
            ruled.add(whom)
        read.append(ruling)
    return tuple(read)


def _ruling(
    value: object, place: str, at: int, names: Mapping[str, Names], format_: Format, holes: int
) -> Ruling:
    found = entries(value, place)
    if "kind" not in found:
        raise Refused(f"{place}.kind", "is missing")
    kind = word(found["kind"], f"{place}.kind", RulingKind)
    required = ("kind", *_whom(found, place, kind, format_), *FURTHER[kind])
    obj(found, place, required, [key for key in ("rule", "reason") if key not in required])
    return Ruling(
        at=at,
        kind=kind,
        player=_named(found, "player", place, names),
        side=_named(found, "side", place, names),
        hole=HoleNumber(_whole(found, "hole", place, holes)),
        strokes=_whole(found, "strokes", place, 20),
        points=_whole(found, "points", place, 20),
        order=_order(found, place, names),
        rule=_text(found, "rule", place),
        reason=_text(found, "reason", place),
    )


def _whom(found: dict[str, Any], place: str, kind: RulingKind, format_: Format) -> tuple[str, ...]:
    """The key by which a ruling of this kind names whom it is about."""
    sides = format_ not in INDIVIDUAL
    if kind is RulingKind.ORDER:
        return ("sides",) if sides else ("players",)
    if not sides or (format_ in OWN_BALL and kind is RulingKind.PENALTY):
        return ("player",)
    if format_ in OWN_BALL and kind is RulingKind.DISQUALIFIED:
        if ("player" in found) == ("side" in found):
            raise Refused(place, "wants a player or a side, one of the two")
        return ("player",) if "player" in found else ("side",)
    return ("side",)


def _named(found: dict[str, Any], key: str, place: str, names: Mapping[str, Names]) -> str:
    if key not in found:
        return ""
    return known(found[key], f"{place}.{key}", names[key], key)


def _whole(found: dict[str, Any], key: str, place: str, high: int) -> int:
    return whole(found[key], f"{place}.{key}", 1, high) if key in found else 0


def _text(found: dict[str, Any], key: str, place: str) -> str | None:
    return text(found[key], f"{place}.{key}") if key in found else None


def _order(found: dict[str, Any], place: str, names: Mapping[str, Names]) -> tuple[str, ...]:
    for what in names:
        if f"{what}s" in found:
            return _listed(found[f"{what}s"], f"{place}.{what}s", names[what], what)
    return ()


def _listed(value: object, place: str, names: Names, what: str) -> tuple[str, ...]:
    listed: list[str] = []
    for position, entry in enumerate(items(value, place)):
        key = known(entry, inside(place, position), names, what)
        if key in listed:
            raise Refused(inside(place, position), f"{quoted(key)} stands here twice")
        listed.append(key)
    if len(listed) < 2:
        raise Refused(place, f"wants at least two {what}s")
    return tuple(listed)
