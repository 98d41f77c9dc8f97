"""From a card to a Score Differential: net double bogey, adjusted gross, nine holes.

Rules of Handicapping 2024, Rules 3.1, 5.1 and 6.1. Everything stays exact; a differential is
rounded once, to a tenth, a half towards plus infinity.

Worked example (manual of 10-1, formula unchanged since): adjusted gross 95, Course Rating 67.3,
Slope Rating 111: 27.7 x 113 / 111 = 28.199, so 28.2.

>>> exact = score_differential(95, Ratings(Fraction("67.3"), 111, 0))
>>> exact, tenth(exact)
(Fraction(31301, 1110), Decimal('28.2'))
>>> most_on_a_hole(par=4, strokes=1), most_on_a_hole(par=4, strokes=None)
(7, 9)
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from scoring.rules import parameters
from scoring.rules.handicap import course_handicap, round_half_up, strokes_received, tenth
from scoring.rules.parameters import EDITION, in_force
from scoring.rules.record.values import ByHole, Ratings

_SLOPE = in_force(parameters.SLOPE_OF_STANDARD_DIFFICULTY, EDITION.effective).value
_OVER_PAR = in_force(parameters.OVER_PAR_OF_NET_DOUBLE_BOGEY, EDITION.effective).value
_MOST_OVER_PAR = in_force(parameters.MOST_OVER_PAR_ON_A_HOLE, EDITION.effective).value
_LATEST = in_force(parameters.LATEST_SCORES, EDITION.effective).value
_PART_OF_PCC = in_force(parameters.PART_OF_PCC_FOR_NINE_HOLES, EDITION.effective).value


def most_on_a_hole(*, par: int, strokes: int | None) -> int:
    """The most a hole counts in an adjusted gross score: net double bogey, at most par + 5.

    `strokes` are those received there off the rounded Course Handicap, negative where strokes
    are given back, None for a player who has no index yet. Source: Rules of Handicapping,
    Rules 3.1a and 3.1b.
    """
    if strokes is None:
        return par + _MOST_OVER_PAR
    return par + min(_OVER_PAR + strokes, _MOST_OVER_PAR)


def adjusted_gross(score: ByHole, index: Decimal | None) -> int:
    """The strokes of a card, each hole at most its maximum; no score counts the maximum.

    The card has 18 holes or nine. `index` is the one in force on the day, None if there is none.
    Source: Rules of Handicapping, Rules 3.1, 6.1a and 6.1b.
    """
    return sum(
        most if gross is None else min(gross, most)
        for gross, most in zip(score.scores, _most_by_hole(score, index), strict=True)
    )


def _most_by_hole(score: ByHole, index: Decimal | None) -> list[int]:
    if index is None:
        return [most_on_a_hole(par=par, strokes=None) for par in score.par]
    course = course_handicap(
        index=index,
        slope=score.ratings.slope,
        rating=score.ratings.course,
        par=sum(score.par),
        holes=len(score.par),
    )
    received = strokes_received(round_half_up(course), score.stroke_index)
    return [
        most_on_a_hole(par=par, strokes=strokes)
        for par, strokes in zip(score.par, received, strict=True)
    ]


def score_differential(gross: int, ratings: Ratings) -> Fraction:
    """The unrounded differential of 18 holes: 113 / Slope x (gross - Course Rating - PCC).

    Source: Rules of Handicapping, Rule 5.1a.
    """
    return (gross - ratings.course - ratings.pcc) * _SLOPE / ratings.slope


def nine_hole_differential(gross: int, ratings: Ratings) -> Fraction:
    """The unrounded differential of nine holes, with the ratings of these nine and half the PCC.

    It is never used alone. Source: Rules of Handicapping, Rule 5.1b.
    """
    return (gross - ratings.course - Fraction(_PART_OF_PCC) * ratings.pcc) * _SLOPE / ratings.slope


def joined(first: Fraction, second: Fraction) -> Decimal:
    """Two nines of one player as one differential, rounded once.

    This is the 2020 edition of Rule 5.1b (`parameters.NINES_ARE_JOINED` has its dates). Since
    2024 an expected differential takes the place of the other nine, by a formula that is not
    published: an official figure can only be entered ready, and this one is the society's own.

    >>> one = nine_hole_differential(44, Ratings(Fraction("35.4"), 121, 0))
    >>> other = nine_hole_differential(46, Ratings(Fraction("36.1"), 118, 0))
    >>> joined(one, other)
    Decimal('17.5')
    """
    return tenth(first + second)


def still_waiting(played: date, scores: Sequence[date]) -> bool:
    """Whether nine holes of a day can still be joined: not once older than the 20th score.

    `scores` are the days of the 18-hole scores. Source: Rules of Handicapping, Rule 5.1b, 2020
    edition.

    >>> twenty = [date(2026, 5, day) for day in range(1, 21)]
    >>> still_waiting(date(2026, 5, 1), twenty), still_waiting(date(2026, 4, 30), twenty)
    (True, False)
    """
    return len(scores) < _LATEST or played >= sorted(scores)[-_LATEST]
