"""From differentials to a Handicap Index: the table, exceptional scores, Low Index, caps, 54.0.

Rules of Handicapping 2024, Rules 5.2, 5.3, 5.7, 5.8, 5.9 and 7.1a. All figures are tenths.

Worked example (Interpretation 5.2a/2): 40.7, 42.4, 36.1, 45.9, 43.6 and 45.0; the lowest two
average 38.4, six scores take off 1.0, and the index is 37.4.

>>> six = [Decimal(text) for text in "40.7 42.4 36.1 45.9 43.6 45.0".split()]
>>> reckon(six)
Reckoned(counted=(0, 2), average=Decimal('38.4'), adjustment=Decimal('-1.0'))
>>> index_of(reckon(six), scores=6, low=None)
(Decimal('37.4'), <Cap.NONE: 'none'>)
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from scoring.rules import parameters
from scoring.rules.handicap import tenth
from scoring.rules.parameters import EDITION, TableRow, in_force
from scoring.rules.record.values import Cap, Reckoned

NOTHING = Decimal("0.0")

LATEST = in_force(parameters.LATEST_SCORES, EDITION.effective).value
TABLE = in_force(parameters.INDEX_TABLE, EDITION.effective).value
_HIGHEST = in_force(parameters.HIGHEST_INDEX, EDITION.effective).value
_DAYS = in_force(parameters.DAYS_OF_THE_LOW_INDEX, EDITION.effective).value
_SOFT = in_force(parameters.SOFT_CAP_ABOVE_LOW, EDITION.effective).value
_PART = in_force(parameters.PART_OF_RISE_UNDER_SOFT_CAP, EDITION.effective).value
_HARD = in_force(parameters.HARD_CAP_ABOVE_LOW, EDITION.effective).value
REDUCTIONS = in_force(parameters.EXCEPTIONAL_REDUCTIONS, EDITION.effective).value
_SMALLEST = in_force(parameters.SMALLEST_COMMITTEE_ADJUSTMENT, EDITION.effective).value
_RISE = in_force(parameters.COMMITTEE_RISE_ABOVE_LOW, EDITION.effective).value


def reckon(
    latest: Sequence[Decimal], *, first: int = 0, table: Mapping[int, TableRow] = TABLE
) -> Reckoned | None:
    """What the table makes of the latest 20 differentials (or fewer), the oldest first.

    The lowest count, of equal ones the later; None where the table has no row for so few.
    Positions are counted from `first`. Source: Rules of Handicapping, Rules 5.2a and 5.2b;
    which of equal ones counts: handicap record document, step 4.
    """
    row = table.get(len(latest))
    if row is None:
        return None
    order = sorted(range(len(latest)), key=lambda at: (latest[at], -at))
    counted = order[: row.lowest]
    total = sum((latest[at] for at in counted), start=NOTHING)
    return Reckoned(
        counted=tuple(sorted(first + at for at in counted)),
        average=tenth(Fraction(total) / row.lowest),
        adjustment=row.adjustment,
    )


def index_of(reckoned: Reckoned, *, scores: int, low: Decimal | None) -> tuple[Decimal, Cap]:
    """The index after so many scores, and what held it back.

    The table's adjustment is for fewer than 20 scores, the caps for 20 or more with a Low
    Index; never above 54.0. Source: Rules of Handicapping, Rules 5.2, 5.3 and 5.8.
    """
    if scores < LATEST:
        return min(reckoned.average + reckoned.adjustment, _HIGHEST), Cap.NONE
    index, cap = capped(reckoned.average, low)
    return min(index, _HIGHEST), cap


def capped(average: Decimal, low: Decimal | None) -> tuple[Decimal, Cap]:
    """The average, held back where it is more than 3.0 above the Low Index.

    Source: Rules of Handicapping, Rule 5.8.

    >>> capped(Decimal("11.6"), Decimal("6.5"))
    (Decimal('10.6'), <Cap.SOFT: 'soft'>)
    >>> capped(Decimal("18.2"), Decimal("10.2"))
    (Decimal('15.2'), <Cap.HARD: 'hard'>)
    """
    if low is None or average - low <= _SOFT:
        return average, Cap.NONE
    soft = low + _SOFT + (average - low - _SOFT) * _PART
    if soft > low + _HARD:
        return low + _HARD, Cap.HARD
    return tenth(Fraction(soft)), Cap.SOFT


def exceptional_reduction(index: Decimal | None, differential: Fraction) -> Decimal:
    """What a score takes off the latest 20 differentials: 0.0, -1.0 or -2.0.

    `index` is the one in force when the round was played, None if there was none;
    `differential` is unrounded. Source: Rules of Handicapping, Rule 5.9.

    >>> exceptional_reduction(Decimal("14.8"), Fraction("6.8"))
    Decimal('-1.0')
    >>> exceptional_reduction(Decimal("15.7"), Fraction("8.7001"))
    Decimal('0.0')
    """
    if index is None:
        return NOTHING
    better = Fraction(index) - differential
    return next((off for strokes, off in REDUCTIONS if better >= strokes), NOTHING)


def low_window(last: date) -> tuple[date, date]:
    """The days whose index can be the low, both included, after a last score on this day.

    Source: Rules of Handicapping, Rule 5.7 and Interpretation 5.7/1.
    """
    return date.fromordinal(last.toordinal() - _DAYS), last


def low_index(in_force: Sequence[tuple[date, Decimal]], last_score: date | None = None) -> Decimal:
    """The lowest index worked out since the window opened that ends with the last score.

    One entry for each day that brought an index, the earliest first: the index in force after
    it. The last score is of the last of these days, unless it is given: a committee can move an
    index later than that, and what it made counts at once. Source: Rules of Handicapping, Rule
    5.7; that only an index worked out within the window counts, a clarification of 1 April 2021.

    >>> low_index([(date(2025, 1, 1), Decimal("9.9")), (date(2026, 1, 2), Decimal("12.0"))])
    Decimal('12.0')
    """
    opens, _ = low_window(last_score or in_force[-1][0])
    begin = bisect_left(in_force, opens, key=lambda entry: entry[0])
    return min(index for _, index in in_force[begin:])


def committee_adjustment(latest: Sequence[Decimal], by: Decimal) -> tuple[Decimal, ...]:
    """The latest 20 differentials (or fewer) after a committee has moved each by so much.

    Raises ValueError for less than 1.0 either way, or for more than 20 differentials. Source:
    Rules of Handicapping, Rule 7.1a and Interpretation 7.1a/1.

    >>> committee_adjustment([Decimal("11.0"), Decimal("12.4")], Decimal("-1.0"))
    (Decimal('10.0'), Decimal('11.4'))
    """
    if abs(by) < _SMALLEST:
        raise ValueError(f"a committee moves a record by {_SMALLEST} or more")
    if len(latest) > LATEST:
        raise ValueError(f"a committee moves the latest {LATEST} differentials")
    return tuple(differential + by for differential in latest)


def moved_index(
    reckoned: Reckoned, *, scores: int, low: Decimal | None, resets_low: bool
) -> tuple[Decimal, Cap]:
    """The index after a committee has moved the differentials, and what held it back.

    It is worked out as after a score, caps included; where the Low Index begins anew no cap is in
    the way, but it goes no further than a committee may raise it. How a cap and an adjustment
    meet stands in no rule: this is our reading. Source: Rules of Handicapping, Rule 7.1a.

    >>> level = Reckoned(counted=(0,), average=Decimal("16.0"), adjustment=NOTHING)
    >>> [moved_index(level, scores=20, low=Decimal("10.0"), resets_low=new)[0]
    ...  for new in (False, True)]
    [Decimal('14.5'), Decimal('15.0')]
    """
    if not resets_low:
        return index_of(reckoned, scores=scores, low=low)
    index, _ = index_of(reckoned, scores=scores, low=None)
    highest = _HIGHEST if low is None else highest_by_committee(low)
    return (index, Cap.NONE) if index <= highest else (highest, Cap.HARD)


def highest_by_committee(low: Decimal) -> Decimal:
    """How far a committee may raise an index, save in exceptional cases: 5.0 above the low.

    Source: Rules of Handicapping, Rules 7.1a and 5.3.

    >>> highest_by_committee(Decimal("12.0")), highest_by_committee(Decimal("51.0"))
    (Decimal('17.0'), Decimal('54.0'))
    """
    return min(low + _RISE, _HIGHEST)
