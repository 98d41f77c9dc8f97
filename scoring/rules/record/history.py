"""The history of a handicap: score by score, day by day, what each one made of the index.

Handicap record document, section 2. The index and the Low Index change overnight (Rules of
Handicapping 2024, Rule 5.4): all that happens on one day is judged by the index in force that
day, and of several figures only the day's last one is ever in force. What a committee moves on a
day is moved after the scores of that day.

>>> from scoring.rules.record.document import read_record
>>> rows = history(read_record({"document": "handicap-record", "version": 1, "scores": [
...     {"played": f"2026-03-0{day}", "differential": tens}
...     for day, tens in enumerate((Decimal("15.3"), Decimal("15.2"), Decimal("16.6")), start=1)]}))
>>> [row.index for row in rows], rows[-1].reckoned.counted
([None, None, Decimal('13.2')], (1,))

A committee lowers the record by a shot; it holds from the next day.

>>> three = [Ready(row.played, row.differential) for row in rows]
>>> found = work_out(three, [Adjustment(date(2026, 3, 9), Decimal("-1.0"))])
>>> found.figures
((datetime.date(2026, 3, 3), Decimal('13.2')), (datetime.date(2026, 3, 9), Decimal('12.2')))
"""

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import groupby

from scoring.rules.handicap import tenth
from scoring.rules.record import differentials, index
from scoring.rules.record.index import LATEST
from scoring.rules.record.values import (
    Adjustment,
    ByHole,
    Cap,
    Entry,
    Move,
    Nine,
    Ready,
    Row,
    Score,
    WorkedOut,
)


def history(
    scores: Sequence[Score | Nine], adjustments: Iterable[Adjustment] = ()
) -> tuple[Row, ...]:
    """A row for each score, in order of the day played; those of one day as they are given.

    Two nines make one row, dated the later day. Raises ValueError for an adjustment that no
    committee may make (`work_out`).
    """
    return work_out(scores, adjustments).rows


def work_out(scores: Sequence[Score | Nine], adjustments: Iterable[Adjustment] = ()) -> WorkedOut:
    """The rows, what a committee moved, the figure of each day, and the nine that waits.

    Nines are joined in the order they were played, as the 2020 edition has it; since 2024 this
    is a society's own way (`differentials.joined`). Raises ValueError for an adjustment of less
    than 1.0, and for a Low Index that is to begin anew after a fall. Source: Rules of
    Handicapping, Rules 5.1b, 5.4 and 7.1a.
    """
    record = _Record()
    for on, of_day in groupby(sorted(_entries(scores, adjustments), key=_day), key=_day):
        record.add_day(on, of_day)
    return record.worked_out()


def one_more(
    scores: Sequence[Score | Nine], adjustments: Iterable[Adjustment], on: date
) -> Callable[[Score], tuple[Row, Decimal | None]]:
    """What one more score of this day would make: its row, and the index when the day is over.

    Whatever is later than the day is left out; the score is the last of its day, and what a
    committee moves that day comes after it. The record before the day is worked out once.
    """
    before = _Record()
    days = groupby(sorted(_entries(scores, adjustments), key=_day), key=_day)
    of_day: list[tuple[date, int, Entry]] = []
    for day, entries in days:
        if day < on:
            before.add_day(day, entries)
        elif day == on:
            of_day = list(entries)
    played = [entry for entry in of_day if not isinstance(entry[2], Adjustment)]
    moved = of_day[len(played) :]

    def work(score: Score) -> tuple[Row, Decimal | None]:
        record = before.copy()
        record.add_day(on, [*played, (on, len(scores), score), *moved])
        return record.rows[-1], record.in_force

    return work


def _entries(
    scores: Sequence[Score | Nine], adjustments: Iterable[Adjustment]
) -> list[tuple[date, int, Entry]]:
    """All that happened, scores before adjustments; a sort by day keeps it so within a day."""
    return [
        *((score.played, position, score) for position, score in enumerate(scores)),
        *((each.on, position, each) for position, each in enumerate(adjustments)),
    ]


def _day(entry: tuple[date, int, Entry]) -> date:
    return entry[0]


@dataclass(frozen=True, slots=True)
class _Made:
    """A score or a nine made into figures: its day, its places, its gross, its differential."""

    played: date
    places: tuple[int, ...]
    gross: int | None
    exact: Fraction


@dataclass(slots=True)
class _Record:
    """A record as it grows, day by day."""

    rows: list[Row] = field(default_factory=list)
    moves: list[Move] = field(default_factory=list)
    figures: list[tuple[date, Decimal]] = field(default_factory=list)
    latest: deque[Decimal] = field(default_factory=lambda: deque(maxlen=LATEST))
    standing: list[tuple[date, Decimal]] = field(default_factory=list)
    in_force: Decimal | None = None
    waiting: _Made | None = None
    lapsed: list[int] = field(default_factory=list)

    def copy(self) -> "_Record":
        """One that can go its own way; all it holds is frozen."""
        return _Record(
            rows=self.rows.copy(),
            moves=self.moves.copy(),
            figures=self.figures.copy(),
            latest=self.latest.copy(),
            standing=self.standing.copy(),
            in_force=self.in_force,
            waiting=self.waiting,
            lapsed=self.lapsed.copy(),
        )

    def add_day(self, on: date, entries: Iterable[tuple[date, int, Entry]]) -> None:
        """All that was played and moved on a day; its figure is in force from the next."""
        low = None
        if len(self.rows) >= LATEST:
            low = index.low_index(self.standing, self.rows[-1].played)
        after, moved = self.in_force, False
        for _, position, entry in entries:
            if isinstance(entry, Adjustment):
                after, moved = self._move(entry, after, low), True
                continue
            made = _made(entry, position, self.in_force)
            whole = self._joined(made) if isinstance(entry, Nine) else made
            if whole is not None:
                row = _row(whole, self.in_force, low, self.latest, len(self.rows))
                self.rows.append(row)
                after, moved = row.index, True
        self.in_force = after
        if moved and after is not None:  # a nine that only waits works nothing out
            self.standing.append((on, after))
            self.figures.append((on, after))

    def _joined(self, made: _Made) -> _Made | None:
        """This nine with the one that waits, or None: then this one waits."""
        first = self._still_waiting()
        if first is None:
            self.waiting = made
            return None
        self.waiting = None
        both = None if first.gross is None or made.gross is None else first.gross + made.gross
        return _Made(made.played, first.places + made.places, both, first.exact + made.exact)

    def _still_waiting(self) -> _Made | None:
        """The nine that waits; one that waited too long is dropped first."""
        first, days = self.waiting, [row.played for row in self.rows[-LATEST:]]
        if first is not None and not differentials.still_waiting(first.played, days):
            self.lapsed += first.places
            self.waiting = None
        return self.waiting

    def _move(
        self, adjustment: Adjustment, before: Decimal | None, low: Decimal | None
    ) -> Decimal | None:
        """The committee moves the latest differentials; the index after it."""
        if adjustment.resets_low and adjustment.shots < 0:
            raise ValueError("the Low Index begins anew after a rise only")
        moved = index.committee_adjustment(self.latest, adjustment.shots)
        self.latest.clear()
        self.latest.extend(moved)
        rows = len(self.rows)
        reckoned = index.reckon(self.latest, first=rows - len(self.latest))
        after, cap = None, Cap.NONE
        if reckoned is not None:
            after, cap = index.moved_index(
                reckoned, scores=rows, low=low, resets_low=adjustment.resets_low
            )
        if adjustment.resets_low:
            self.standing.clear()
        self.moves.append(
            Move(
                on=adjustment.on,
                shots=adjustment.shots,
                resets_low=adjustment.resets_low,
                first=rows - len(self.latest),
                rows=rows,
                before=before,
                index=after,
                reckoned=reckoned,
                low=low,
                cap=cap,
            )
        )
        return after

    def worked_out(self) -> WorkedOut:
        waiting = self._still_waiting()
        return WorkedOut(
            rows=tuple(self.rows),
            moves=tuple(self.moves),
            figures=tuple(self.figures),
            waiting=None if waiting is None else waiting.places[0],
            lapsed=tuple(self.lapsed),
        )


def _row(
    made: _Made,
    in_force: Decimal | None,
    low: Decimal | None,
    latest: deque[Decimal],
    position: int,
) -> Row:
    """The row of a score; the differentials as they stand after it are left in `latest`."""
    differential = tenth(made.exact)
    reduction = index.exceptional_reduction(in_force, made.exact)
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
        played=made.played,
        adjusted_gross=made.gross,
        differential=differential,
        exceptional=reduction,
        index=after,
        reckoned=reckoned,
        low=low,
        cap=cap,
        made_of=made.places,
    )


def _made(score: Score | Nine, position: int, in_force: Decimal | None) -> _Made:
    """Adjusted gross and unrounded differential; a ready one has no gross and is all there is."""
    rated = differentials.score_differential
    if isinstance(score, Nine):
        score, rated = score.of, differentials.nine_hole_differential
    if isinstance(score, Ready):
        return _Made(score.played, (position,), None, Fraction(score.differential))
    gross = (
        differentials.adjusted_gross(score, in_force)
        if isinstance(score, ByHole)
        else score.adjusted_gross
    )
    return _Made(score.played, (position,), gross, rated(gross, score.ratings))
