"""The parts of a handicap record: the three forms of a score, and a row of the history.

Handicap record document. Plain frozen values; `document` makes sure that only possible ones are
built, and says where a record is wrong.

>>> Cap.SOFT.value
'soft'
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from scoring.rules.values import Card


class Cap(StrEnum):
    """What held the index back. Rules of Handicapping, Rule 5.8."""

    NONE = "none"
    SOFT = "soft"
    HARD = "hard"


@dataclass(frozen=True, slots=True)
class Ratings:
    """What a round was played against; `pcc` is the adjustment for the day's conditions."""

    course: Fraction
    slope: int
    pcc: int


@dataclass(frozen=True, slots=True)
class Ready:
    """A score whose differential somebody else worked out, in tenths."""

    played: date
    differential: Decimal


@dataclass(frozen=True, slots=True)
class Total:
    """A score known by its adjusted gross."""

    played: date
    adjusted_gross: int
    ratings: Ratings


@dataclass(frozen=True, slots=True)
class ByHole:
    """A score known hole by hole; None is a hole without a score."""

    played: date
    scores: Card
    par: tuple[int, ...]
    stroke_index: tuple[int, ...]
    ratings: Ratings


Score = Ready | Total | ByHole


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What the table makes of the differentials: positions that count (rising), their average."""

    counted: tuple[int, ...]
    average: Decimal
    adjustment: Decimal


@dataclass(frozen=True, slots=True)
class Row:
    """One score of the history and what the record says after it; all figures in tenths.

    `adjusted_gross` is None for a ready differential; `differential` is as first made;
    `exceptional` is the reduction this score caused; `reckoned` and `index` are None while
    there are too few scores; `low` is the Low Index the score was held against.
    """

    played: date
    adjusted_gross: int | None
    differential: Decimal
    exceptional: Decimal
    index: Decimal | None
    reckoned: Reckoned | None
    low: Decimal | None
    cap: Cap
