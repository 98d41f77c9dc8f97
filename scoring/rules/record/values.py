"""The parts of a handicap record: scores, nines, what a committee moves, and what came of them.

Handicap record document; nines and a committee's adjustments are no part of it and are kept by
whoever keeps a record. Plain frozen values; `document` makes sure that only possible ones are
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
class Nine:
    """Nine holes, known in one of the three forms: holes, par and ratings of these nine only.

    It waits for the next nine, and the two make one score of 18 holes.
    """

    of: Score

    @property
    def played(self) -> date:
        """The day of these nine holes."""
        return self.of.played


@dataclass(frozen=True, slots=True)
class Adjustment:
    """A committee moves each of the latest differentials by `shots`, once this day is over.

    Below nought it lowers the figure. After a rise the committee may let the Low Index begin
    anew (`resets_low`). Source: Rules of Handicapping, Rule 7.1a.
    """

    on: date
    shots: Decimal
    resets_low: bool = False


Entry = Score | Nine | Adjustment


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
    there are too few scores; `low` is the Low Index the score was held against. `made_of` are the
    positions, in the scores as they were given, of the round or the two nines it was made from.
    """

    played: date
    adjusted_gross: int | None
    differential: Decimal
    exceptional: Decimal
    index: Decimal | None
    reckoned: Reckoned | None
    low: Decimal | None
    cap: Cap
    made_of: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Move:
    """What an adjustment of the committee did to a record that had rows 0 to `rows` - 1 by then.

    The rows from `first` were moved. `before` and `index` are the figures before and after it,
    None while there are too few scores; `low` is the Low Index it was held against.
    """

    on: date
    shots: Decimal
    resets_low: bool
    first: int
    rows: int
    before: Decimal | None
    index: Decimal | None
    reckoned: Reckoned | None
    low: Decimal | None
    cap: Cap


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """All that a record comes to.

    `figures`: for each day that brought a score or an adjustment, what the index was when that
    day was over; it is in force from the next day. `waiting` is the position, in the scores as
    given, of a nine that still waits for another; `lapsed` are those that waited too long.
    """

    rows: tuple[Row, ...]
    moves: tuple[Move, ...]
    figures: tuple[tuple[date, Decimal], ...]
    waiting: int | None
    lapsed: tuple[int, ...]

    @property
    def index(self) -> Decimal | None:
        """The latest index, in force from the day after the last change; None if there is none."""
        return self.figures[-1][1] if self.figures else None
