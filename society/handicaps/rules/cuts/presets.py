"""Cut rules that societies use, each by a key of ours. Common practice, no source.

>>> [preset.key for preset in PRESETS][:3]
['three-two-one', 'never-past-thirty-six', 'fading']
"""

from dataclasses import dataclass
from decimal import Decimal

from society.handicaps.rules.cuts.values import (
    CutRules,
    Expiry,
    Lowest,
    Mark,
    MarkOf,
    PointsCut,
    PointsRise,
    Shots,
    Whom,
)


@dataclass(frozen=True, slots=True)
class Preset:
    """A set of rules to begin with, by a key and a name of ours."""

    key: str
    name: str
    rules: CutRules


def _shots(*sizes: str) -> Shots:
    return tuple(Decimal(size) for size in sizes)


_THREE_TWO_ONE = (_shots("3"), _shots("2"), _shots("1"))
_HALF_A_POINT = PointsCut(Whom.ANYBODY, Decimal(35), _shots("0.5"), each=True)

PRESETS = (
    Preset(
        "three-two-one",
        "First three 3, 2 and 1 off; the lowest get one back",
        CutRules(
            places=_THREE_TWO_ONE,
            points=(PointsCut(Whom.WINNER, Decimal(40), _shots("1"), added=True),),
            lowest=Lowest(((9, 1), (19, 2), (None, 3)), Decimal(1)),
            maximum=28,
        ),
    ),
    Preset(
        "never-past-thirty-six",
        "First three 3, 2 and 1 off, never more than the points over 36",
        CutRules(
            bands=(9,),
            places=tuple((shots[0], shots[0]) for shots in _THREE_TWO_ONE),
            points=(PointsCut(Whom.ANYBODY, Decimal(50), _shots("5", "5")),),
            over=36,
            most=(Decimal(1), None),
            rises=(PointsRise(Decimal(24), _shots("1", "1")),),
        ),
    ),
    Preset(
        "fading",
        "First three 3, 2 and 1 off, a shot less each year",
        CutRules(places=_THREE_TWO_ONE, expiry=Expiry.STEPS, months=(12, 12, 12), fade=Decimal(1)),
    ),
    Preset(
        "good-scores",
        "Winner and good scores cut, the last gets one back",
        CutRules(
            bands=(9,),
            points=(
                PointsCut(Whom.WINNER, Decimal(37), _shots("1", "2")),
                PointsCut(Whom.WINNER, Decimal(30), _shots("1", "1")),
                PointsCut(Whom.OTHERS, Decimal(39), _shots("1", "1")),
            ),
            lowest=Lowest(((None, 1),), Decimal(1)),
        ),
    ),
    Preset(
        "half-shots",
        "Winner cut by handicap, in half shots",
        CutRules(bands=(12, 20), places=(_shots("0.5", "1", "2"),), floor=30, halves_up=True),
    ),
    Preset(
        "above-the-field",
        "Scores well above the field cut",
        CutRules(
            places=(_shots("1"),),
            mark=Mark(MarkOf.FIELD, drop=1, factor=Decimal("1.3")),
            points=(
                PointsCut(Whom.ANYBODY, Decimal(2), _shots("1"), over_mark=True),
                PointsCut(Whom.ANYBODY, Decimal(4), _shots("2"), over_mark=True),
            ),
        ),
    ),
    Preset(
        "either-side-of-the-mean",
        "Tenths of a shot a point, either side of the day’s mean",
        CutRules(
            bands=(9, 18),
            mark=Mark(MarkOf.FIELD, least=20),
            points=(
                PointsCut(
                    Whom.ANYBODY,
                    Decimal(0),
                    _shots("0.2", "0.3", "0.4"),
                    over_mark=True,
                    each=True,
                    added=True,
                ),
            ),
            rises=(
                PointsRise(Decimal(0), _shots("0.4", "0.3", "0.2"), under_mark=True, each=True),
            ),
            maximum=28,
        ),
    ),
    Preset(
        "half-a-point",
        "Half a shot for each point over 35, half a shot back for a poor day",
        CutRules(
            points=(_HALF_A_POINT,),
            rises=(PointsRise(Decimal(28), _shots("0.5")),),
        ),
    ),
)
