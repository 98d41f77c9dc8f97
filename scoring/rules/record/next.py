"""What the next score must be to move a figure down or up, found by the engine itself.

No formula of its own: one more score is put into the record, and the turning points are looked
for by halving. That is sound because one next score that is worse never makes a lower index: the
record before it and the Low Index it is held against are the same for every next score, the mean
of the lowest and both caps only go up with it, and a reduction only goes away (Rules of
Handicapping 2024, Rules 5.2, 5.8 and 5.9).

Twenty scores of 10.0: the average of eight falls by a tenth with 9.5, since 0.5 over 8 is more
than half of a tenth; nothing raises it, as twelve more scores of 10.0 stand by.

>>> level = [Ready(date(2026, 3, day), Decimal("10.0")) for day in range(1, 21)]
>>> found = next_score(level, (), date(2026, 4, 1))
>>> found.now, found.turns.lowers, found.turns.raises
(Decimal('10.0'), Decimal('9.5'), None)
>>> found.turns.exceptional
((Decimal('3.0'), Decimal('-1.0')), (Decimal('0.0'), Decimal('-2.0')))
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Generic, TypeVar, cast

from scoring.rules.handicap import tenth
from scoring.rules.record.differentials import score_differential
from scoring.rules.record.document import EIGHTEEN
from scoring.rules.record.history import one_more, work_out
from scoring.rules.record.index import NOTHING, REDUCTIONS, TABLE
from scoring.rules.record.values import Adjustment, Nine, Ratings, Ready, Row, Score, Total

Unit = TypeVar("Unit", Decimal, int)
Made = Callable[[int], tuple[Row, Decimal | None]]


@dataclass(frozen=True, slots=True)
class Turns(Generic[Unit]):
    """Where the figure turns, in differentials (tenths) or in strokes of adjusted gross.

    `lowers`: the highest that lowers the figure. `raises`: the lowest that raises it. Between
    the two it stays. None: nothing within the limits of a score does, or there is no figure yet.
    `exceptional`: the highest that counts as exceptional, with the reduction, the smaller first.
    """

    lowers: Unit | None
    raises: Unit | None
    exceptional: tuple[tuple[Unit, Decimal], ...]


@dataclass(frozen=True, slots=True)
class NextScore:
    """What one more score of 18 holes can do to a figure.

    `now` is the figure without it, `missing` how many scores are still needed for a first one.
    `lowest` and `highest` are what the figure can come to with it, None if still none.
    """

    now: Decimal | None
    missing: int
    lowest: Decimal | None
    highest: Decimal | None
    turns: Turns[Decimal]


def next_score(
    scores: Sequence[Score | Nine], adjustments: Iterable[Adjustment], on: date
) -> NextScore:
    """What a score of this day must be, as a differential; what is later than the day is left out.

    Differentials reach as far as a handicap record document allows. Source: handicap record
    document, section 2.
    """
    upto, moves = _until(scores, adjustments, on)
    before = work_out(upto, moves)
    work = one_more(upto, moves, on)
    lowest, highest = EIGHTEEN.differential
    made = cache(lambda tenths: work(Ready(on, _of_tenths(tenths))))
    turns = _turns(made, range(lowest * 10, highest * 10 + 1), before.index)
    return NextScore(
        now=before.index,
        missing=max(0, min(TABLE) - len(before.rows)),
        lowest=made(lowest * 10)[1],
        highest=made(highest * 10)[1],
        turns=Turns(
            lowers=None if turns.lowers is None else _of_tenths(turns.lowers),
            raises=None if turns.raises is None else _of_tenths(turns.raises),
            exceptional=tuple((_of_tenths(tenths), off) for tenths, off in turns.exceptional),
        ),
    )


def strokes_on(
    scores: Sequence[Score | Nine], adjustments: Iterable[Adjustment], on: date, ratings: Ratings
) -> Turns[int]:
    """The same in strokes on a tee: an adjusted gross, so no hole above net double bogey.

    Worked out on the tee and not from rounded differentials, since an exceptional score is judged
    by the unrounded one. Source: as `next_score`; Rule 5.9.
    """
    upto, moves = _until(scores, adjustments, on)
    work = one_more(upto, moves, on)
    lowest, highest = EIGHTEEN.gross
    made = cache(lambda strokes: work(Total(on, strokes, ratings)))
    return _turns(made, range(lowest, highest + 1), work_out(upto, moves).index)


def index_after(
    scores: Sequence[Score | Nine],
    adjustments: Iterable[Adjustment],
    on: date,
    differential: Decimal,
) -> Decimal | None:
    """The figure when the day is over, if a score of this differential is played on it."""
    return one_more(*_until(scores, adjustments, on), on)(Ready(on, differential))[1]


def most_strokes(differential: Decimal, ratings: Ratings) -> int | None:
    """The highest adjusted gross on a tee whose differential is at most this one.

    None where even the lowest score of the document is above it. Source: Rules of Handicapping,
    Rules 5.1a and 5.1c.

    >>> from fractions import Fraction
    >>> tee = Ratings(Fraction("70.1"), 120, 0)
    >>> most_strokes(Decimal("23.4"), tee), most_strokes(Decimal("23.3"), tee)
    (95, 94)
    """
    lowest, highest = EIGHTEEN.gross
    all_scores = range(lowest, highest + 1)
    above = bisect_right(
        all_scores, differential, key=lambda gross: tenth(score_differential(gross, ratings))
    )
    return all_scores[above - 1] if above else None


def _of_tenths(tenths: int) -> Decimal:
    return Decimal(tenths).scaleb(-1)


def _until(
    scores: Sequence[Score | Nine], adjustments: Iterable[Adjustment], on: date
) -> tuple[list[Score | Nine], list[Adjustment]]:
    return (
        [score for score in scores if score.played <= on],
        [each for each in adjustments if each.on <= on],
    )


def _turns(made: Made, all_scores: range, now: Decimal | None) -> Turns[int]:
    """The turning points among so many next scores, the best first."""

    def index(score: int) -> Decimal:
        # Who has a figure has one after another score.
        return cast(Decimal, made(score)[1])

    lowers = raises = None
    if now is not None:
        below = bisect_left(all_scores, now, key=index)
        lowers = all_scores[below - 1] if below else None
        upto = bisect_right(all_scores, now, key=index)
        raises = all_scores[upto] if upto < len(all_scores) else None
    exceptional = []
    for off in sorted((off for _, off in REDUCTIONS), reverse=True):
        reach = bisect_right(all_scores, off, key=lambda score: made(score)[0].exceptional)
        if reach and off < NOTHING:
            exceptional.append((all_scores[reach - 1], off))
    return Turns(lowers, raises, tuple(exceptional))
