"""Course Handicap, Playing Handicap and where the strokes fall.

Rules of Handicapping 2024, Rules 6.1 and 6.2, Appendix C (allowances, plus players) and
Appendix E (order of the strokes). Everything stays exact until the one rounding at the end;
a half goes up, towards plus infinity. A plus handicap is a negative number.

Worked example (association guidance on Appendix C): index 8.4, Slope 135, Course Rating 72.3,
par 72 gives 10.335...; 95 per cent of that is 9.82, so the player plays off 10.

>>> course = course_handicap(index=Decimal("8.4"), slope=135, rating=Decimal("72.3"), par=72)
>>> course, playing_handicap(course, allowance=95)
(Fraction(11679, 1130), 10)
>>> strokes_received(-2, (17, 18, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16))[:3]
(-1, -1, 0)
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from scoring.rules import parameters
from scoring.rules.parameters import EDITION, in_force
from scoring.rules.values import CourseHandicap, PlayingHandicap

Exact = int | Decimal | Fraction

_SLOPE = in_force(parameters.SLOPE_OF_STANDARD_DIFFICULTY, EDITION.effective).value


def round_half_up(value: Fraction) -> int:
    """The nearest whole number, a half towards plus infinity (-1.5 becomes -1).

    Source: Rules of Handicapping, Rules 5.1c and 6.1, Appendix C.

    >>> round_half_up(Fraction(5, 2)), round_half_up(Fraction(-3, 2))
    (3, -1)
    """
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def tenth(value: Fraction) -> Decimal:
    """The nearest tenth, a half towards plus infinity.

    >>> tenth(Fraction("4.35")), tenth(Fraction("-0.25")), tenth(Fraction("-0.05"))
    (Decimal('4.4'), Decimal('-0.2'), Decimal('0.0'))
    """
    return Decimal(round_half_up(value * 10)).scaleb(-1)


def course_handicap(
    *, index: Exact, slope: int, rating: Exact, par: int, holes: int = 18
) -> CourseHandicap:
    """The unrounded Course Handicap: index x Slope / 113 + (Course Rating - par).

    For nine holes half the index is rounded to a tenth first; slope, rating and par are those
    of the nine holes. Source: Rules of Handicapping, Rules 6.1a and 6.1b.
    """
    exact = Fraction(index) if holes == 18 else Fraction(tenth(Fraction(index) / 2))
    return CourseHandicap(exact * slope / _SLOPE + Fraction(rating) - par)


def playing_handicap(
    course: Exact, *, allowance: Exact, maximum: int | None = None, extra: int = 0
) -> PlayingHandicap:
    """The Playing Handicap: allowance (percent) of the unrounded Course Handicap, rounded once.

    Then the maximum of the terms (Rule 7.2a), then the extra strokes of Rule 6.2b, which come
    on top of it. Source: Rules of Handicapping, Rule 6.2 and Appendix C.
    """
    rounded = round_half_up(Fraction(course) * Fraction(allowance) / 100)
    limited = rounded if maximum is None else min(rounded, maximum)
    return PlayingHandicap(limited + extra)


def side_playing_handicap(
    courses: Sequence[Exact],
    *,
    shares: Sequence[Exact],
    maximum: int | None = None,
    extra: int = 0,
) -> PlayingHandicap:
    """The Playing Handicap of a side that plays one ball: shares in percent, lowest first.

    The unrounded shares are added and rounded once. Source: Rules of Handicapping, Appendix C.

    >>> side_playing_handicap([18, 12], shares=[60, 40])
    14
    """
    lowest_first = sorted(Fraction(course) for course in courses)
    added = sum(
        (course * Fraction(share) for course, share in zip(lowest_first, shares, strict=True)),
        start=Fraction(0),
    )
    return playing_handicap(added, allowance=1, maximum=maximum, extra=extra)


def strokes_received(playing: int, stroke_index: Sequence[int]) -> tuple[int, ...]:
    """Strokes on each hole by stroke index; a plus player gives back from the highest index.

    Over nine holes the nine indexes are ranked and 9 stands in place of 18.
    Source: Rules of Handicapping, Appendix E, and Appendix C for plus players.
    """
    holes = len(stroke_index)
    everywhere, further = divmod(abs(playing), holes)
    rank = {index: place for place, index in enumerate(sorted(stroke_index), start=1)}
    if playing >= 0:
        return tuple(everywhere + (rank[index] <= further) for index in stroke_index)
    return tuple(-everywhere - (rank[index] > holes - further) for index in stroke_index)
