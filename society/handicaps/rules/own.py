"""The society's own figure: worked out from the scores that count, and where the record differs.

A score, and an adjustment by the committee, change the figure overnight (Rules of Handicapping
2024, Rule 5.4): what is worked out from a day is valid from the day after it. The record keeps
lines, each valid from a day until the next; it is only ever added to.

>>> cards = [Kept(str(at), "", date(2026, 4, at), 18, '{"differential":"%s"}' % tens, "")
...          for at, tens in enumerate(("15.3", "15.2", "16.6"), start=1)]
>>> wanted = steps(own_history(cards, ()))
>>> [(step.day.isoformat(), str(step.value)) for step in wanted]
[('2026-04-04', '13.2')]
>>> differing([Line(date(2026, 4, 4), Decimal("13.2"))], wanted)
[]
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from scoring.rules.record.history import work_out
from scoring.rules.record.index import LATEST, highest_by_committee, low_window
from scoring.rules.record.values import Adjustment, Cap, Nine, Row, Score, WorkedOut
from scoring.rules.recount_index import recount_record
from scoring.rules.strict_json import canonical
from scoring.rules.values import HandicapKind
from society.handicaps.rules.figures import spoken_of
from society.handicaps.rules.scores import NINE, plainly, read_said

# The cause of a figure that a committee moved on a day without a score.
ADJUSTED = canonical({"kind": "adjustment", "words": "adjustment by the committee"})

_MUCH = Decimal("5.0")  # strokes of one adjustment


@dataclass(frozen=True, slots=True)
class Kept:
    """A score that counts. `said` is the canonical JSON of the score, `cause` of its event."""

    id: str
    origin: str
    played: date
    holes: int
    said: str
    cause: str


@dataclass(frozen=True, slots=True)
class Move:
    """A committee's adjustment: each of the latest 20 differentials moved. Rule 7.1a.

    `resets_low`: the low index begins anew, from the figure of this day on; after a rise alone.
    """

    id: str
    on: date
    shots: Decimal
    resets_low: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the record: the figure from a day on, None where there is none any more."""

    day: date
    value: Decimal | None


@dataclass(frozen=True, slots=True)
class Step:
    """The figure from a day on, and the cause of it: canonical JSON of the event, or empty."""

    day: date
    value: Decimal | None
    cause: str


@dataclass(frozen=True, slots=True)
class Own:
    """A player's own history: what the scores and the committee's adjustments come to.

    `kept` are the scores in the order they were taken; the rows of `found` say by position which
    of them they were made of.
    """

    kept: tuple[Kept, ...]
    moves: tuple[Move, ...]
    found: WorkedOut

    @property
    def figure(self) -> Decimal | None:
        """The latest figure, whatever the day."""
        return self.found.index

    @property
    def waiting(self) -> Kept | None:
        """The nine holes that wait for another nine."""
        return None if self.found.waiting is None else self.kept[self.found.waiting]

    @property
    def lapsed(self) -> tuple[Kept, ...]:
        """Nine holes that waited too long and make no score."""
        return tuple(self.kept[at] for at in self.found.lapsed)

    def made_of(self, row: Row) -> tuple[Kept, ...]:
        """The round a row was made of, or its two nines."""
        return tuple(self.kept[at] for at in row.made_of)


def own_history(kept: Sequence[Kept], moves: Sequence[Move]) -> Own:
    """The history of scores that are in order played and, of one day, as first written.

    Raises Refused for a score that cannot be read, ValueError for a move of less than 1.0, or for
    a low that is to begin anew after a fall.
    """
    return Own(tuple(kept), tuple(moves), work_out([_read(one) for one in kept], _moved(moves)))


def read_otherwise(own: Own) -> bool:
    """Whether the plain second reading of the same scores comes to another figure on some day."""
    again = recount_record(
        {
            "scores": [plainly(one.said, played=one.played, holes=one.holes) for one in own.kept],
            "moves": [
                {"on": move.on.isoformat(), "shots": move.shots, "anew": move.resets_low}
                for move in own.moves
            ],
        }
    )
    figures = {day.isoformat(): str(figure) for day, figure in own.found.figures}
    return bool(figures != again["figures"])


def _read(one: Kept) -> Score | Nine:
    score = read_said(one.said, played=one.played, holes=one.holes)
    return Nine(score) if one.holes == NINE else score


def _moved(moves: Sequence[Move]) -> list[Adjustment]:
    return [Adjustment(move.on, move.shots, move.resets_low) for move in moves]


def steps(own: Own) -> list[Step]:
    """The days from which the figure is another one, in order, each with what made it so."""
    causes = {move.on: ADJUSTED for move in own.moves}
    causes |= {row.played: own.made_of(row)[-1].cause for row in own.found.rows}
    found: list[Step] = []
    for day, figure in own.found.figures:
        if not found or figure != found[-1].value:
            found.append(Step(day_after(day), figure, causes[day]))
    return found


def day_after(day: date) -> date:
    """From when what happened on a day counts. Source: Rules of Handicapping 2024, Rule 5.4."""
    return date.fromordinal(day.toordinal() + 1)


def standing_on(lines: Sequence[Line | Step], day: date) -> Decimal | None:
    """The figure of a record, or of what is worked out, on a day; of one day the later line."""
    valid = [line for line in lines if line.day <= day]
    if not valid:
        return None
    return max(enumerate(valid), key=lambda pair: (pair[1].day, pair[0]))[1].value


def differing(standing: Sequence[Line], wanted: Sequence[Step]) -> list[Step]:
    """The lines to be added so that the record says what is worked out, on every day.

    `standing` is in the order written. A line is added only where the two differ. Its cause is
    that of the figure that is worked out for its day; empty where there is none any more.
    """
    stands = {line.day: line.value for line in standing}  # of one day the later written
    worked = {step.day: step for step in wanted}
    found: list[Step] = []
    now: Decimal | None = None
    step = Step(date.min, None, "")
    for day in sorted({*stands, *worked}):
        now = stands.get(day, now)
        step = worked.get(day, step)
        if now != step.value:
            found.append(Step(day, step.value, step.cause))
            now = step.value
    return found


def low_began(found: WorkedOut, before: date = date.max) -> date | None:
    """The day on which a committee last let the low begin anew, before a day; None for never."""
    days = (move.on for move in found.moves if move.resets_low and move.on < before)
    return max(days, default=None)


def lowest_in_a_year(own: Own, day: date) -> Decimal | None:
    """The lowest figure worked out in the 365 days up to a day, else the latest; None for none.

    Where the low began anew, none from before that day. What a committee's rise is held against,
    also while there are too few scores for a Low Index (that it is held against this figure then
    is our reading). Source: Rules of Handicapping, Rules 5.7 and 7.1a.
    """
    opens = max(low_window(day)[0], low_began(own.found) or date.min)
    within = [figure for on, figure in own.found.figures if on >= opens]
    return min(within) if within else own.figure


def too_high(own: Own, after: Own, day: date) -> str:
    """Why a committee's rise goes further than it may without an exceptional reason; or empty.

    Source: Rules of Handicapping 2024, Rule 7.1a.
    """
    low, figure = lowest_in_a_year(own, day), after.figure
    if low is None or figure is None or figure <= highest_by_committee(low):
        return ""
    return (
        f"That makes {spoken_of(HandicapKind.INDEX, figure)}, more than 5.0 above "
        f"{spoken_of(HandicapKind.INDEX, low)}, the lowest of the year. A committee goes so far "
        "only for an exceptional reason: say which."
    )


def cautions(own: Own, after: Own, move: Move) -> list[str]:
    """What a committee is told before it keeps an adjustment; it refuses nothing.

    `after`: the record with the adjustment as its last. Source: Rules of Handicapping 2024, Rule
    7.1a (a rise to at most 5.0 above the low, save in exceptional cases); that a single adjustment
    of more than 5.0 is looked at once more is common practice, no source.
    """
    found = []
    if abs(move.shots) > _MUCH:
        found.append(
            f"{abs(move.shots)} strokes at once is a great deal: look at the figure before and "
            "after once more."
        )
    low, figure = lowest_in_a_year(own, move.on), after.figure
    if too_high(own, after, move.on) and low is not None and figure is not None:
        found.append(
            f"{_tenth(figure)} is more than 5.0 above {_tenth(low)}, the lowest of the year. Rule "
            "7.1a has a committee go so far only in an exceptional case."
        )
    return found


def said_of_low(after: Own, move: Move) -> str:
    """What an adjustment comes to beside the low index; empty where the low holds nothing.

    `after`: the record with the adjustment as its last. Source: Rules of Handicapping 2024, Rules
    5.7, 5.8 and 7.1a.
    """
    worked = after.found.moves[-1]
    held = "" if worked.cap is Cap.NONE or worked.low is None else _tenth(worked.low)
    if move.resets_low:
        few = "" if worked.rows >= LATEST else f" The caps begin with {LATEST} scores."
        limit = f" This rise stops at 5.0 above {held}, the low index so far." if held else ""
        return f"The low index starts anew: no figure from before this day counts.{few}{limit}"
    if not held or worked.low is None or move.shots < 0:
        return ""
    most = _tenth(highest_by_committee(worked.low))
    return (
        f"The cap holds the rise back, because the low index is {held}. Where the low index starts "
        f"anew, a rise goes to {most} at most, and later figures are held against the new one."
    )


def _tenth(value: Decimal) -> str:
    """A figure in words, always with its tenth."""
    return f"plus {-value}" if value < 0 else str(value)
