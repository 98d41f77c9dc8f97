"""A table's rules as they are kept: canonical JSON, read back without guessing.

>>> rules_from_json(rules_as_json(MeritRules())) == MeritRules()
True
"""

from dataclasses import dataclass

from scoring.rules.checks import items, obj, whole, word, yes_or_no
from scoring.rules.strict_json import Refused, canonical, inside, read_json
from society.merit.rules.values import EventTies, Guests, MeritRules, PointsFrom, SeasonTie

VERSION = 1
MOST_POINTS = 100_000
MOST_PLACES = 200
MOST_EVENTS = 100

_KEYS = (
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
    return canonical(
        {
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
        }
    )


def rules_from_json(text: str) -> MeritRules:
    """The rules of a table; raises Refused with the place of what cannot be read."""
    found = obj(read_json(text), "rules", _KEYS)
    whole(found["version"], "rules.version", VERSION, VERSION)
    points = word(found["points"], "rules.points", PointsFrom)
    table = tuple(
        whole(value, inside("rules.table", at), 0, MOST_POINTS)
        for at, value in enumerate(items(found["table"], "rules.table"))
    )
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
    )


def _ties(value: object) -> tuple[SeasonTie, ...]:
    ties: list[SeasonTie] = []
    for at, entry in enumerate(items(value, "rules.season_ties")):
        tie = word(entry, inside("rules.season_ties", at), SeasonTie)
        if tie in ties:
            raise Refused(inside("rules.season_ties", at), "stands here twice")
        ties.append(tie)
    return tuple(ties)
