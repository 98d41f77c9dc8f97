"""Every number a rule book sets, with its edition, the day it took effect and its source.

A formula asks for the figure in force; when a rule changes, a figure with a later date is
added and the older one stays. Percentages are whole or decimal percent.

>>> in_force(SLOPE_OF_STANDARD_DIFFICULTY, on=EDITION.effective).value
113
>>> allowance_for(Format.FOUR_BALL, Format.PAR).value
90
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Generic, TypeVar

from scoring.rules.values import INDIVIDUAL, Format

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Edition:
    """A rule book as this program knows it."""

    name: str
    effective: date
    source: str


@dataclass(frozen=True, slots=True)
class Figure(Generic[Value]):
    """A number with where it stands and since when."""

    value: Value
    edition: str
    effective: date
    source: str


@dataclass(frozen=True, slots=True)
class TableRow:
    """How many of the lowest differentials count, and what is added to their average."""

    lowest: int
    adjustment: Decimal


EDITION = Edition(
    "2024",
    date(2024, 4, 1),
    "Rules of Handicapping 2024, taken up in Great Britain and Ireland on 1 April 2024",
)
GOLF = date(2023, 1, 1)
HANDICAPPING_2020 = date(2020, 1, 1)


def in_force(series: Sequence[Figure[Value]], on: date) -> Figure[Value]:
    """The latest figure that had taken effect on a day; LookupError if there was none yet."""
    standing = [figure for figure in series if figure.effective <= on]
    if not standing:
        raise LookupError(f"no figure was in force on {on.isoformat()}")
    return max(standing, key=lambda figure: figure.effective)


def _handicapping(value: Value, source: str) -> Figure[Value]:
    return Figure(value, "2020 and 2024", HANDICAPPING_2020, f"Rules of Handicapping, {source}")


def _golf(value: Value, source: str) -> Figure[Value]:
    return Figure(value, "2023", GOLF, f"Rules of Golf, {source}")


def _custom(value: Value, words: str) -> Figure[Value]:
    return Figure(value, "none", GOLF, f"common practice, no source in a rule book: {words}")


SLOPE_OF_STANDARD_DIFFICULTY = (_handicapping(113, "Rule 6.1"),)
OVER_PAR_OF_NET_DOUBLE_BOGEY = (_handicapping(2, "Rule 3.1b"),)
MOST_OVER_PAR_ON_A_HOLE = (_handicapping(5, "Rule 3.1a, and 3.1b for four strokes or more"),)
PART_OF_PCC_FOR_NINE_HOLES = (_handicapping(Decimal("0.5"), "Rule 5.1b"),)
NINES_ARE_JOINED = (
    _handicapping(True, "Rule 5.1b, 2020 edition: two nines make one differential"),
    Figure(
        False,
        "2024",
        EDITION.effective,
        "Rules of Handicapping, Rule 5.1b: an expected differential stands in for the other nine, "
        "and its formula is not published",
    ),
)
LATEST_SCORES = (_handicapping(20, "Rule 5.2b"),)
INDEX_TABLE: tuple[Figure[Mapping[int, TableRow]], ...] = (
    _handicapping(
        {
            scores: TableRow(lowest, Decimal(adjustment))
            for first, last, lowest, adjustment in (
                (3, 3, 1, "-2.0"),
                (4, 4, 1, "-1.0"),
                (5, 5, 1, "0.0"),
                (6, 6, 2, "-1.0"),
                (7, 8, 2, "0.0"),
                (9, 11, 3, "0.0"),
                (12, 14, 4, "0.0"),
                (15, 16, 5, "0.0"),
                (17, 18, 6, "0.0"),
                (19, 19, 7, "0.0"),
                (20, 20, 8, "0.0"),
            )
            for scores in range(first, last + 1)
        },
        "Rules 5.2a and 5.2b, table",
    ),
)
HIGHEST_INDEX = (_handicapping(Decimal("54.0"), "Rule 5.3"),)
DAYS_OF_THE_LOW_INDEX = (_handicapping(365, "Rule 5.7, Interpretation 5.7/1"),)
SOFT_CAP_ABOVE_LOW = (_handicapping(Decimal("3.0"), "Rule 5.8"),)
PART_OF_RISE_UNDER_SOFT_CAP = (_handicapping(Decimal("0.5"), "Rule 5.8"),)
HARD_CAP_ABOVE_LOW = (_handicapping(Decimal("5.0"), "Rule 5.8"),)
EXCEPTIONAL_REDUCTIONS: tuple[Figure[tuple[tuple[Decimal, Decimal], ...]], ...] = (
    _handicapping(
        ((Decimal("10.0"), Decimal("-2.0")), (Decimal("7.0"), Decimal("-1.0"))),
        "Rule 5.9: strokes better than the index, and the reduction, the larger first",
    ),
)
SMALLEST_COMMITTEE_ADJUSTMENT = (_handicapping(Decimal("1.0"), "Rule 7.1a"),)
COMMITTEE_RISE_ABOVE_LOW = (_handicapping(Decimal("5.0"), "Rule 7.1a"),)
POINTS_AT_TARGET = (_golf(2, "Rule 21.1b"),)
PAR_WON, PAR_HALVED, PAR_LOST = (
    (_golf(1, "Rule 21.3b"),),
    (_golf(0, "Rule 21.3b"),),
    (_golf(-1, "Rule 21.3b"),),
)
MODIFIED_POINTS = (
    _custom(
        {-3: 8, -2: 5, -1: 2, 0: 0, 1: -1, 2: -3},
        "the commonest table; Rule 21.1b lets the committee set its own",
    ),
)
MODIFIED_NO_SCORE = (_custom(-3, "the same table, a hole picked up"),)
COUNTBACK_18: tuple[Figure[tuple[str, ...]], ...] = (
    Figure(
        ("10-18", "13-18", "16-18", "18", "4-9", "7-9", "9"),
        "2019",
        date(2019, 1, 1),
        "Committee Procedures 5A(6)",
    ),
)
COUNTBACK_9: tuple[Figure[tuple[str, ...]], ...] = (
    _custom(("4-9", "7-9", "9"), "last six, last three and last hole of nine"),
)

_APPENDIX_C = "Appendix C, table of recommended allowances"
INDIVIDUAL_ALLOWANCE: Figure[int] = _handicapping(95, _APPENDIX_C)
FOUR_BALL_ALLOWANCE: Figure[int] = _handicapping(85, _APPENDIX_C)
FOUR_BALL_PAR_ALLOWANCE: Figure[int] = _handicapping(90, _APPENDIX_C)
AGGREGATE_ALLOWANCE: Figure[int] = Figure(
    100,
    "2020 and 2024",
    HANDICAPPING_2020,
    "Rules of Handicapping, Appendix C prints it for match play; for totals our reading",
)
BEST_OF_FOUR_ALLOWANCE: Figure[Mapping[int, int]] = _handicapping(
    {1: 75, 2: 85, 3: 100, 4: 100}, _APPENDIX_C
)
BEST_OF_FOUR_PAR_ALLOWANCE: Figure[Mapping[int, int]] = _handicapping(
    {1: 75, 2: 80, 3: 90, 4: 100}, _APPENDIX_C
)
FOURSOMES_SHARES: Figure[tuple[int, ...]] = _handicapping((50, 50), _APPENDIX_C)
GREENSOMES_SHARES: Figure[tuple[int, ...]] = _handicapping((60, 40), _APPENDIX_C)
SCRAMBLE_SHARES: Figure[Mapping[int, tuple[int, ...]]] = _handicapping(
    {2: (35, 15), 3: (30, 20, 10), 4: (25, 20, 15, 10)}, _APPENDIX_C
)


def allowance_for(format_: Format, scoring: Format) -> Figure[int]:
    """The recommended allowance of an individual format, of four-ball and of an aggregate.

    Raises LookupError for a format whose allowance depends on more than the format.
    Source: Rules of Handicapping, Appendix C.
    """
    if format_ in INDIVIDUAL:
        return INDIVIDUAL_ALLOWANCE
    if format_ is Format.FOUR_BALL:
        return FOUR_BALL_PAR_ALLOWANCE if scoring is Format.PAR else FOUR_BALL_ALLOWANCE
    if format_ is Format.AGGREGATE:
        return AGGREGATE_ALLOWANCE
    raise LookupError(f"{format_.value} has no single recommended allowance")


def best_of_allowance(scoring: Format, best: int) -> int:
    """The recommended allowance of the best so many of four. Source: Appendix C."""
    table = BEST_OF_FOUR_PAR_ALLOWANCE if scoring is Format.PAR else BEST_OF_FOUR_ALLOWANCE
    return table.value[best]


def shares_for(format_: Format, members: int) -> tuple[int, ...]:
    """The recommended shares of a one-ball side, lowest handicap first. Source: Appendix C."""
    if format_ is Format.SCRAMBLE:
        return SCRAMBLE_SHARES.value[members]
    return FOURSOMES_SHARES.value if format_ is Format.FOURSOMES else GREENSOMES_SHARES.value
