"""A table's rules as they are kept: canonical JSON, read back without guessing.

>>> rules_from_json(rules_as_json(MeritRules())) == MeritRules()
True
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from scoring.rules.checks import entries, items, obj, text, whole, word, yes_or_no
from scoring.rules.strict_json import Refused, canonical, inside, quoted, read_json
from society.merit.rules.values import (
    EventTies,
    Guests,
    Majors,
    MeritRules,
    NewMembers,
    PointsFrom,
    SeasonTie,
    Unpaid,
)

VERSION = 2  # 1 had the first ten keys only, and is read for good
MOST_POINTS = 100_000
MOST_PLACES = 200
MOST_EVENTS = 100
MOST_WEIGHT = 100

_FRACTION = re.compile(r"-?[0-9]{1,9}(?:/[0-9]{1,9})?")

_FIRST_KEYS = (
    "version",
    "points",
    "table",
    "beyond",
    "event_ties",
    "guests",
    "best",
    "best_follows",
    "minimum",
    "season_ties",
)
_KEYS = (
    *_FIRST_KEYS,
    "last_place_full",
    "weights",
    "majors",
    "major_way",
    "major_weight",
    "major_table",
    "left_out",
    "turning_up",
    "bonus_from",
    "bonus_points",
    "bonus_pin",
    "bonus_drive",
    "new_members",
    "join_before_last",
    "new_start",
    "unpaid",
    "division",
)


@dataclass(frozen=True, slots=True)
class Preset:
    """A table of points that societies use, by a key of ours. Common practice, no source."""

    key: str
    table: tuple[int, ...]
    beyond: int

    @property
    def words(self) -> str:
        """The table as a list: "25, 18, 15 … 2, then 1"."""
        shown = self.table if len(self.table) <= 10 else (*self.table[:6], "…", self.table[-1])
        first = ", ".join(str(points) for points in shown).replace(", …, ", " … ")
        return f"{first}, then {self.beyond or 'nothing'}"


PRESETS = (
    Preset("nine-then-one", (25, 18, 15, 12, 10, 8, 6, 4, 2), 1),
    Preset("top-ten", tuple(range(10, 0, -1)), 0),
    Preset("top-twelve", tuple(range(12, 0, -1)), 0),
    Preset("top-twenty-five", tuple(range(25, 0, -1)), 0),
    Preset("top-fifty", tuple(range(50, 0, -1)), 0),
    Preset("five-by-fives", (25, 20, 15, 10, 5), 0),
    Preset("fifteen-down", (15, 12, 10, 8, 6, 4, 2), 0),
    Preset("thirty-places", (50, 35, 30, 25, 20, *[10] * 10, *[5] * 15), 0),
    Preset("forty-then-ones", (40, 35, 32, *range(30, 0, -1)), 1),
    Preset(
        "forty-places",
        (
            500,
            460,
            420,
            380,
            340,
            300,
            *range(280, 199, -20),
            *range(190, 99, -10),
            *range(95, 4, -5),
        ),
        0,
    ),
)


def rules_as_json(rules: MeritRules) -> str:
    """The rules as canonical JSON."""
    return canonical(rules_as_object(rules))


def rules_as_object(rules: MeritRules) -> dict[str, Any]:
    """The rules as an object for canonical JSON; broken numbers as fractions."""
    return {
        "version": VERSION,
        "points": rules.points.value,
        "table": list(rules.table),
        "beyond": rules.beyond,
        "event_ties": rules.event_ties.value,
        "guests": rules.guests.value,
        "best": rules.best,
        "best_follows": rules.best_follows,
        "minimum": rules.minimum,
        "season_ties": [tie.value for tie in rules.season_ties],
        "last_place_full": rules.last_place_full,
        "weights": {key: str(weight) for key, weight in rules.weights},
        "majors": list(rules.majors),
        "major_way": rules.major_way.value,
        "major_weight": str(rules.major_weight),
        "major_table": list(rules.major_table),
        "left_out": list(rules.left_out),
        "turning_up": str(rules.turning_up),
        "bonus_from": rules.bonus_from,
        "bonus_points": str(rules.bonus_points),
        "bonus_pin": str(rules.bonus_pin),
        "bonus_drive": str(rules.bonus_drive),
        "new_members": rules.new_members.value,
        "join_before_last": rules.join_before_last,
        "new_start": str(rules.new_start),
        "unpaid": rules.unpaid.value,
        "division": rules.division,
    }


def exact(value: object, place: str, low: int, high: int) -> Fraction:
    """A number kept as the text of its fraction: "2", "3/2", "-10"."""
    if isinstance(value, str) and _FRACTION.fullmatch(value):
        found = Fraction(value)
        if low <= found <= high and str(found) == value:
            return found
    raise Refused(place, f"wants a number from {low} to {high} as a fraction, not {quoted(value)}")


def rules_from_json(said: str) -> MeritRules:
    """The rules of a table; raises Refused with the place of what cannot be read."""
    return rules_from_object(read_json(said))


def rules_from_object(value: object) -> MeritRules:
    """The same from an object that was read already."""
    found = obj(value, "rules", _FIRST_KEYS, _KEYS)
    version = whole(found["version"], "rules.version", 1, VERSION)
    if version > 1:
        found = obj(value, "rules", _KEYS)
    points = word(found["points"], "rules.points", PointsFrom)
    table = _table(found["table"], "rules.table")
    if points is PointsFrom.PLACES and not 1 <= len(table) <= MOST_PLACES:
        raise Refused("rules.table", f"wants 1 to {MOST_PLACES} places")
    best = found["best"]
    return MeritRules(
        points=points,
        table=table,
        beyond=whole(found["beyond"], "rules.beyond", 0, MOST_POINTS),
        event_ties=word(found["event_ties"], "rules.event_ties", EventTies),
        guests=word(found["guests"], "rules.guests", Guests),
        best=None if best is None else whole(best, "rules.best", 1, MOST_EVENTS),
        best_follows=yes_or_no(found["best_follows"], "rules.best_follows"),
        minimum=whole(found["minimum"], "rules.minimum", 0, MOST_EVENTS),
        season_ties=_ties(found["season_ties"]),
        **(_later(found) if version > 1 else {}),
    )


def _later(found: Mapping[str, Any]) -> dict[str, Any]:
    """What came with the second version."""
    majors = _keys(found["majors"], "rules.majors")
    way = word(found["major_way"], "rules.major_way", Majors)
    table = _table(found["major_table"], "rules.major_table")
    if majors and way is not Majors.TIMES and not 1 <= len(table) <= MOST_PLACES:
        raise Refused("rules.major_table", f"wants 1 to {MOST_PLACES} places")
    bonus_from = found["bonus_from"]
    division = found["division"]
    return {
        "last_place_full": yes_or_no(found["last_place_full"], "rules.last_place_full"),
        "weights": tuple(
            (key, _weight(weight, inside("rules.weights", key)))
            for key, weight in sorted(entries(found["weights"], "rules.weights").items())
        ),
        "majors": majors,
        "major_way": way,
        "major_weight": _weight(found["major_weight"], "rules.major_weight"),
        "major_table": table,
        "left_out": _keys(found["left_out"], "rules.left_out"),
        "turning_up": _points(found["turning_up"], "rules.turning_up"),
        "bonus_from": None
        if bonus_from is None
        else whole(bonus_from, "rules.bonus_from", 1, MOST_POINTS),
        "bonus_points": _points(found["bonus_points"], "rules.bonus_points"),
        "bonus_pin": _points(found["bonus_pin"], "rules.bonus_pin"),
        "bonus_drive": _points(found["bonus_drive"], "rules.bonus_drive"),
        "new_members": word(found["new_members"], "rules.new_members", NewMembers),
        "join_before_last": whole(
            found["join_before_last"], "rules.join_before_last", 0, MOST_EVENTS
        ),
        "new_start": exact(found["new_start"], "rules.new_start", -MOST_POINTS, MOST_POINTS),
        "unpaid": word(found["unpaid"], "rules.unpaid", Unpaid),
        "division": text(division, "rules.division") if division else "",
    }


def _table(value: object, place: str) -> tuple[int, ...]:
    return tuple(
        whole(points, inside(place, at), 0, MOST_POINTS)
        for at, points in enumerate(items(value, place))
    )


def _keys(value: object, place: str) -> tuple[str, ...]:
    keys = tuple(text(key, inside(place, at)) for at, key in enumerate(items(value, place)))
    if len(set(keys)) != len(keys):
        raise Refused(place, "names one twice")
    return keys


def _weight(value: object, place: str) -> Fraction:
    found = exact(value, place, 0, MOST_WEIGHT)
    if found == 0:
        raise Refused(place, "wants more than 0; leave the fixture out instead")
    return found


def _points(value: object, place: str) -> Fraction:
    return exact(value, place, 0, MOST_POINTS)


def _ties(value: object) -> tuple[SeasonTie, ...]:
    ties: list[SeasonTie] = []
    for at, entry in enumerate(items(value, "rules.season_ties")):
        tie = word(entry, inside("rules.season_ties", at), SeasonTie)
        if tie in ties:
            raise Refused(inside("rules.season_ties", at), "stands here twice")
        ties.append(tie)
    return tuple(ties)
