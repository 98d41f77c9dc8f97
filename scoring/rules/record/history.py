"""The history of a handicap: score by score, day by day, what each one made of the index.

Handicap record document, section 2. The index and the Low Index change overnight (Rules of
Handicapping 2024, Rule 5.4): all scores of one day are judged by the index in force that day,
and of several only the last one's index is ever in force.

>>> from scoring.rules.record.document import read_record
>>> rows = history(read_record({"document": "handicap-record", "version": 1, "scores": [
...     {"played": f"2026-03-0{day}", "differential": tens}
...     for day, tens in enumerate((Decimal("15.3"), Decimal("15.2"), Decimal("16.6")), start=1)]}))
>>> [row.index for row in rows], rows[-1].reckoned.counted
([None, None, Decimal('13.2')], (1,))
"""

from collections import deque
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import groupby

from scoring.rules.handicap import tenth
from scoring.rules.record import differentials, index
from scoring.rules.record.index import LATEST
from scoring.rules.record.values import ByHole, Cap, Ready, Row, Score


def history(scores: Sequence[Score]) -> tuple[Row, ...]:
    """A row for each score, in order of the day played; those of one day as they are given."""
    rows: list[Row] = []
    latest: deque[Decimal] = deque(maxlen=LATEST)
    standing: list[tuple[date, Decimal]] = []
    in_force: Decimal | None = None
    for played, of_day in groupby(sorted(scores, key=_day), key=_day):
        low = index.low_index(standing) if len(rows) >= LATEST else None
        for score in of_day:
            rows.append(_row(score, in_force, low, latest, len(rows)))
        in_force = rows[-1].index
        if in_force is not None:
            standing.append((played, in_force))
    return tuple(rows)


def _day(score: Score) -> date:
    return score.played


def _row(
    score: Score,
    in_force: Decimal | None,
    low: Decimal | None,
    latest: deque[Decimal],
    position: int,
) -> Row:
    """The row of a score; the differentials as they stand after it are left in `latest`."""
    gross, exact = _made(score, in_force)
    differential = tenth(exact)
    reduction = index.exceptional_reduction(in_force, exact)
    latest.append(differential)
    if reduction:
        moved = [standing + reduction for standing in latest]
        latest.clear()
        latest.extend(moved)
    reckoned = index.reckon(latest, first=position + 1 - len(latest))
    after, cap = None, Cap.NONE
    if reckoned is not None:
        after, cap = index.index_of(reckoned, scores=position + 1, low=low)
    return Row(
        played=score.played,
        adjusted_gross=gross,
        differential=differential,
        exceptional=reduction,
        index=after,
        reckoned=reckoned,
        low=low,
        cap=cap,
    )


def _made(score: Score, in_force: Decimal | None) -> tuple[int | None, Fraction]:
    """Adjusted gross and unrounded differential; a ready one has no gross and is all there is."""
    if isinstance(score, Ready):
        return None, Fraction(score.differential)
    gross = (
        differentials.adjusted_gross(score, in_force)
        if isinstance(score, ByHole)
        else score.adjusted_gross
    )
    return gross, differentials.score_differential(gross, score.ratings)
