"""What the next score must be to move a figure, found by trying scores on the engine itself.

Rules of Handicapping 2024, Rules 5.1a to 5.9, as `history` has them: the next score takes the place
of the oldest of the latest 20, may be exceptional, and meets the caps. A better score never makes a
higher figure, so the edges are found by halving.

Three scores so far; the fourth makes the lowest of four less 1.0 out of the lowest less 2.0, so
that even the same again raises it:

>>> three = [Ready(date(2026, 3, day), Decimal(tens))
...          for day, tens in enumerate(("15.3", "15.2", "16.6"), start=1)]
>>> found = next_score(three, on=date(2026, 3, 9))
>>> str(found.now), str(found.lowers), str(found.raises), str(found.most)
('13.2', '14.1', '14.3', '14.2')
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from scoring.rules import parameters
from scoring.rules.handicap import Exact, course_handicap, round_half_up
from scoring.rules.parameters import EDITION, in_force
from scoring.rules.record.differentials import score_differential
from scoring.rules.record.history import work_out
from scoring.rules.record.values import Adjustment, Nine, Ratings, Ready, Score, Total

# The bounds of the handicap record document for a ready differential, in tenths, and for a gross.
_TENTHS = (-500, 2000)
_GROSS = (18, 400)
# A hole counts at most par + 5, which from 55 on is less than net double bogey.
_MOST_FOR_POINTS = in_force(parameters.HIGHEST_INDEX, EDITION.effective).value
_LEVEL = 36  # points of 18 holes in net par, Rules of Golf 2023, Rule 21.1b

Tried = Callable[[Score], Decimal | None]


@dataclass(frozen=True, slots=True)
class Next:
    """What the next score does to a figure; all figures in tenths.

    `now`: the figure before it, None if there is none. `lowers`: the highest differential that
    brings a lower figure, `lowered` that figure; `raises`: the lowest that brings a higher one,
    `raised` that figure and `most` the highest that any score can bring. Each is None where no
    score does it. `first`: there is no figure yet, and any next score brings one.
    """

    on: date
    now: Decimal | None
    lowers: Decimal | None
    lowered: Decimal | None
    raises: Decimal | None
    raised: Decimal | None
    most: Decimal | None
    first: bool = False

    @property
    def between(self) -> bool:
        """Whether there are scores that leave the figure as it is."""
        if self.lowers is None or self.raises is None:
            return True
        return self.raises - self.lowers > Decimal("0.1")


@dataclass(frozen=True, slots=True)
class NextGross:
    """The same from one tee, in adjusted gross and in Stableford points.

    `lowers`: the highest adjusted gross that lowers, `raises` the lowest that raises. The points
    are those of the whole course handicap, `course`: as many or more lower, as few or fewer raise;
    None where the gross is, or where a hole may count less than net double bogey.
    """

    course: int
    lowers: int | None
    raises: int | None
    lowers_points: int | None
    raises_points: int | None


def next_score(
    scores: Sequence[Score | Nine], adjustments: Sequence[Adjustment] = (), *, on: date
) -> Next:
    """What a score of 18 holes played on a day does to a record, by its differential.

    The day is moved to the day after the last change if it is not later. Source: Rules of
    Handicapping, Rules 5.2, 5.8 and 5.9.
    """
    day = _day_after(scores, adjustments, on)
    now = work_out(scores, adjustments).index
    tried = _trying(scores, adjustments)

    def figure(tenths: int) -> Decimal | None:
        return tried(Ready(day, Decimal(tenths).scaleb(-1)))

    most = figure(_TENTHS[1])
    if now is None:
        return Next(day, None, None, None, None, None, None, first=most is not None)
    lowers = _last(lambda at: _below(figure(at), now), *_TENTHS)
    raises = _first(lambda at: _below(now, figure(at)), *_TENTHS)
    return Next(
        on=day,
        now=now,
        lowers=_tenths(lowers),
        lowered=None if lowers is None else figure(lowers),
        raises=_tenths(raises),
        raised=None if raises is None else figure(raises),
        most=None if raises is None else most,
    )


def next_gross(
    scores: Sequence[Score | Nine],
    adjustments: Sequence[Adjustment] = (),
    *,
    on: date,
    ratings: Ratings,
    par: int,
) -> NextGross | None:
    """The same from a tee of 18 holes with these ratings; None while there is no figure.

    Source: Rules of Handicapping, Rules 3.1b and 5.1a: a hole held at net double bogey has no
    points, so adjusted gross and points add up to par + course handicap + 36.
    """
    found = next_score(scores, adjustments, on=on)
    now = found.now
    if now is None:
        return None
    tried = _trying(scores, adjustments)

    def figure(gross: int) -> Decimal | None:
        return tried(Total(found.on, gross, ratings))

    lowers = _near(found.lowers, ratings, lambda at: _below(figure(at), now), up=False)
    raises = _near(found.raises, ratings, lambda at: _below(now, figure(at)), up=True)
    course = round_half_up(
        course_handicap(index=now, slope=ratings.slope, rating=ratings.course, par=par)
    )
    known = course <= _MOST_FOR_POINTS
    level = par + course + _LEVEL
    return NextGross(
        course=course,
        lowers=lowers,
        raises=raises,
        lowers_points=level - lowers if lowers is not None and known else None,
        raises_points=level - raises if raises is not None and known else None,
    )


def _trying(scores: Sequence[Score | Nine], adjustments: Sequence[Adjustment]) -> Tried:
    """The figure of a record with one score more."""
    return lambda score: work_out([*scores, score], adjustments).index


def _day_after(scores: Sequence[Score | Nine], adjustments: Sequence[Adjustment], on: date) -> date:
    days = [score.played for score in scores] + [each.on for each in adjustments]
    after = max((day.toordinal() + 1 for day in days), default=on.toordinal())
    return date.fromordinal(max(after, on.toordinal()))


def _below(one: Decimal | None, other: Decimal | None) -> bool:
    return one is not None and other is not None and one < other


def _tenths(value: int | None) -> Decimal | None:
    return None if value is None else Decimal(value).scaleb(-1)


def _first(true: Callable[[int], bool], low: int, high: int) -> int | None:
    """The lowest number from `low` to `high` for which it is true; true of one, of all above."""
    if not true(high):
        return None
    while low < high:
        middle = (low + high) // 2
        if true(middle):
            high = middle
        else:
            low = middle + 1
    return low


def _last(true: Callable[[int], bool], low: int, high: int) -> int | None:
    """The highest number for which it is true; true of one, of all below."""
    after = _first(lambda at: not true(at), low, high)
    if after is None:
        return high
    return after - 1 if after > low else None


def _near(
    edge: Decimal | None, ratings: Ratings, true: Callable[[int], bool], *, up: bool
) -> int | None:
    """The gross at an edge of the differentials: the lowest (`up`) or highest for which it is true.

    An exceptional score is tested unrounded, so a gross beside the edge is tried too.
    """
    if edge is None:
        return None
    step = 1 if up else -1
    gross = round_half_up(_gross_of(edge, ratings))
    low, high = _GROSS
    at = min(max(gross - 2 * step, low), high)
    while low <= at <= high and not true(at):
        at += step
    return at if low <= at <= high else None


def _gross_of(differential: Exact, ratings: Ratings) -> Fraction:
    """The gross, not always whole, that has this differential."""
    one = score_differential(1, ratings) - score_differential(0, ratings)
    return (Fraction(differential) - score_differential(0, ratings)) / one
