"""How a figure worked out from cards came about: its sum in words, and the working of a score.

Rules of Handicapping 2024: Rule 3.1 (the most a hole counts), 5.1 (differential), 5.2a (table),
5.3 (54.0), 5.4 (a figure changes overnight), 5.7 (Low Index), 5.8 (caps), 5.9 (exceptional
scores), 6.1 (Course Handicap), 7.1a (adjustment by a committee). Everything is told of what
`scoring.rules.record.history` worked out; nothing is decided here.

The first index of Interpretation 5.2a/2, six differentials:

>>> from society.handicaps.rules.own import own_history
>>> six = [Kept(str(day), "", date(2026, 3, day), 18, f'{{"differential":"{text}"}}', "")
...     for day, text in enumerate("40.7 42.4 36.1 45.9 43.6 45.0".split(), start=1)]
>>> for line in sum_of(own_history(six, ())):
...     print(f"{line.title}: {line.sum} = {line.exact or line.result}")
Average: (40.7 + 36.1) ÷ 2 = 38.4
Table: 38.4 − 1 = 37.4
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from scoring.rules import parameters
from scoring.rules.handicap import course_handicap, round_half_up, strokes_received, tenth
from scoring.rules.parameters import EDITION, in_force
from scoring.rules.record.differentials import (
    adjusted_gross,
    most_on_a_hole,
    nine_hole_differential,
    score_differential,
)
from scoring.rules.record.index import LATEST, low_window
from scoring.rules.record.values import ByHole, Cap, Move, Ratings, Ready, Row, Score, WorkedOut
from scoring.rules.working import plain, shown
from society.handicaps.rules.own import Kept, Own, low_began
from society.handicaps.rules.scores import NINE, read_said
from society.web.rules import day_words

_HIGHEST = in_force(parameters.HIGHEST_INDEX, EDITION.effective).value
_SOFT = in_force(parameters.SOFT_CAP_ABOVE_LOW, EDITION.effective).value
_HARD = in_force(parameters.HARD_CAP_ABOVE_LOW, EDITION.effective).value
_SLOPE = in_force(parameters.SLOPE_OF_STANDARD_DIFFICULTY, EDITION.effective).value
_SMALL = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_MOST_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sum.

    `sum`: the arithmetic with its numbers; `exact`: what it gives before it is rounded, empty where
    that is the result; `rule`: of the Rules of Handicapping 2024.
    """

    title: str
    result: str
    sum: str = ""
    exact: str = ""
    words: str = ""
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Stood:
    """A score as it stands in the record now.

    `number`: 1 is the oldest. `now`: its differential after every reduction and adjustment;
    `latest`: among the 20 that are looked at; `counts`: among those that make the figure. `of`: the
    round it was made of, or the two nines.
    """

    row: Row
    number: int
    now: Decimal
    latest: bool
    counts: bool
    of: tuple[Kept, ...]

    @property
    def moved(self) -> bool:
        """Whether the differential is another now than when it was made."""
        return self.now != self.row.differential


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole of a score: what was written, the most that may count, and what counts.

    `number`: its place among the holes played. `shots`: None while there is no figure yet.
    """

    number: int
    par: int
    index: int
    shots: int | None
    written: int | None
    most: int
    counts: int

    @property
    def held(self) -> bool:
        """Whether something else counts than was written."""
        return self.written != self.counts


@dataclass(frozen=True, slots=True)
class Part:
    """A round, or one of two nines: from what was written to its differential.

    `before`: the figure in force on the day. `holes`: none where only a total or a differential is
    kept.
    """

    kept: Kept
    before: Decimal | None
    exact: Fraction
    lines: tuple[Line, ...]
    holes: tuple[Hole, ...]


# the record as it stands ----------------------------------------------------------------------


def stood(own: Own) -> tuple[Stood, ...]:
    """Every score as it stands after the last change, in the order of the history.

    Source: Rules of Handicapping, Rules 5.9 and 7.1a: what moves the latest differentials.
    """
    found, now = own.found, list[Decimal]()
    moves = list(found.moves)
    for row in found.rows:
        while moves and moves[0].rows == len(now):
            _move(now, moves.pop(0).shots)
        now.append(row.differential)
        _move(now, row.exceptional)
    for move in moves:
        _move(now, move.shots)
    reckoned = _last(found).reckoned if found.rows else None
    counted = () if reckoned is None else reckoned.counted
    return tuple(
        Stood(
            row=row,
            number=at + 1,
            now=now[at],
            latest=at >= len(now) - LATEST,
            counts=at in counted,
            of=own.made_of(row),
        )
        for at, row in enumerate(found.rows)
    )


def _move(now: list[Decimal], shots: Decimal) -> None:
    now[-LATEST:] = [each + shots for each in now[-LATEST:]]


def _last(found: WorkedOut) -> Row | Move:
    """The last score, or what a committee moved after it."""
    moves = found.moves
    return moves[-1] if moves and moves[-1].rows == len(found.rows) else found.rows[-1]


def figure_before(found: WorkedOut, day: date) -> Decimal | None:
    """The figure in force on a day: that of the last earlier day which changed it. Rule 5.4."""
    return next((figure for on, figure in reversed(found.figures) if on < day), None)


# the sum of a figure --------------------------------------------------------------------------


def sum_of(own: Own) -> list[Line]:
    """The figure of a record in words, from the differentials that count to the last limit.

    Nothing where there are too few scores for one.
    """
    if not own.found.rows:
        return []
    last = _last(own.found)
    reckoned = last.reckoned
    if reckoned is None:
        return []
    lines = [_average(stood(own), reckoned.average)]
    if reckoned.adjustment:
        lines.append(_table(reckoned.average, reckoned.adjustment, len(own.found.rows)))
    if last.low is not None:
        lines += _caps(own.found, last, reckoned.average, last.low)
    return lines + _limit(last, reckoned.average + reckoned.adjustment)


def _average(record: Sequence[Stood], average: Decimal) -> Line:
    counted = [score for score in record if score.counts]
    latest = sum(score.latest for score in record)
    total = sum((Fraction(score.now) for score in counted), start=Fraction(0))
    many = f" {len(counted)}" if len(counted) > 1 else ""
    moved = ", as they now stand" if any(score.moved for score in counted) else ""
    line = Line(
        "Average",
        _figure(average),
        f"({' + '.join(_number(score.now) for score in counted)}) ÷ {len(counted)}" if many else "",
        words=f"The lowest{many} of the latest {latest} differentials{moved}.",
        rule="Rule 5.2a",
    )
    return _rounded(line, total / len(counted), average)


def _rounded(line: Line, exact: Fraction, rounded: Decimal, *, plus: bool = True) -> Line:
    """The line with the figure before the rounding, where the rounding changed it.

    `plus`: it is a handicap, so below zero it is written with a plus, as the result is.
    """
    if exact == rounded:
        return line
    said = _exactly(exact)
    return replace(line, exact=said.replace("−", "+") if plus else said)


def _table(average: Decimal, adjustment: Decimal, scores: int) -> Line:
    count = _SMALL[scores] if scores < len(_SMALL) else str(scores)
    off = plain(Fraction(adjustment))
    return Line(
        "Table",
        _figure(average + adjustment),
        f"{_number(average)} − {off}",
        words=f"With {count} scores the table takes {off} off.",
        rule="Rule 5.2a",
    )


def _caps(found: WorkedOut, last: Row | Move, average: Decimal, low: Decimal) -> list[Line]:
    day = low_day(found)
    worked = f", worked out on {day_words(day)}" if day else ""
    began = low_began(found, _day_of(last))
    anew = f" It began anew on {day_words(began)}, by the committee." if began else ""
    floor, most = plain(Fraction(_SOFT)), plain(Fraction(_HARD))
    lines = [
        Line(
            "Low index",
            _figure(low),
            words=f"The lowest of the 365 days before the latest score{worked}. Up to {floor} "
            f"above it nothing is held back.{anew}",
            rule="Rule 5.7",
        )
    ]
    if isinstance(last, Move) and last.resets_low:
        return lines + _raised(last, low)
    if last.cap is Cap.NONE:
        return lines
    exact = Fraction(low + _SOFT) + Fraction(average - low - _SOFT) / 2
    soft = Line(
        "Soft cap",
        _figure(tenth(exact)),
        f"{_number(low)} + {floor} + ({_number(average)} − {_number(low)} − {floor}) ÷ 2",
        words=f"Of what is more than {floor} above the low index, half counts.",
        rule="Rule 5.8",
    )
    lines.append(_rounded(soft, exact, tenth(exact)))
    if last.cap is Cap.HARD:
        lines.append(
            Line(
                "Hard cap",
                _figure(low + _HARD),
                f"{_number(low)} + {most}",
                words=f"No figure goes up more than {most} above the low index.",
                rule="Rule 5.8",
            )
        )
    return lines


def _raised(move: Move, low: Decimal) -> list[Line]:
    """A committee's rise after which the low begins anew: how far it may go."""
    words = "The committee raised the figure, and the low index begins anew: no cap is in the way."
    if move.cap is not Cap.HARD or move.index is None:
        return [Line("Raised by the committee", "–", words=words, rule="Rule 7.1a")]
    most = plain(Fraction(_HARD))
    return [
        Line(
            "Raised by the committee",
            _figure(move.index),
            f"{_number(low)} + {most}",
            words=f"A committee raises a figure at most {most} above the low index.",
            rule="Rule 7.1a",
        )
    ]


def _limit(last: Row | Move, before: Decimal) -> list[Line]:
    if last.index != _HIGHEST or before <= _HIGHEST:
        return []
    words = f"Nobody has more than {_HIGHEST}."
    return [Line("Limit", _figure(last.index), words=words, rule="Rule 5.3")]


def _day_of(last: Row | Move) -> date:
    return last.on if isinstance(last, Move) else last.played


def low_day(found: WorkedOut) -> date | None:
    """The latest day on which the low was worked out that the last change was held against.

    None where there is none. Source: Rules of Handicapping, Rule 5.7.
    """
    if not found.rows or _last(found).low is None:
        return None
    last = _last(found)
    on = _day_of(last)
    opens, _ = low_window(max(row.played for row in found.rows if row.played < on))
    opens = max(opens, low_began(found, on) or date.min)
    days = (day for day, figure in found.figures if opens <= day < on and figure == last.low)
    return max(days, default=None)


# the working of one score ---------------------------------------------------------------------


def part_of(own: Own, kept: Kept) -> Part:
    """A round or nine holes from what was written to its differential."""
    before = figure_before(own.found, kept.played)
    score = read_said(kept.said, played=kept.played, holes=kept.holes)
    if isinstance(score, Ready):
        words = "Worked out elsewhere and entered as it is."
        line = Line("Differential", _signed(score.differential), words=words)
        return Part(kept, before, Fraction(score.differential), (line,), ())
    nine = kept.holes == NINE
    gross = adjusted_gross(score, before) if isinstance(score, ByHole) else score.adjusted_gross
    exact = (nine_hole_differential if nine else score_differential)(gross, score.ratings)
    holes = _holes(score, before)
    lines = [*_to_gross(score, gross, before, holes), _made(gross, score.ratings, exact, nine)]
    return Part(kept, before, exact, tuple(lines), holes)


def _holes(score: Score, before: Decimal | None) -> tuple[Hole, ...]:
    """What each hole may count. Source: Rules of Handicapping, Rules 3.1a and 3.1b."""
    if not isinstance(score, ByHole):
        return ()
    shots: Sequence[int | None] = (None,) * len(score.par)
    if before is not None:
        shots = strokes_received(round_half_up(_course(score, before)), score.stroke_index)
    found = []
    each = zip(score.par, score.stroke_index, shots, score.scores, strict=True)
    for number, (par, index, received, written) in enumerate(each, start=1):
        most = most_on_a_hole(par=par, strokes=received)
        counts = most if written is None else min(written, most)
        found.append(Hole(number, par, index, received, written, most, counts))
    return tuple(found)


def _course(score: ByHole, before: Decimal) -> Fraction:
    return course_handicap(
        index=before,
        slope=score.ratings.slope,
        rating=score.ratings.course,
        par=sum(score.par),
        holes=len(score.par),
    )


def _to_gross(
    score: Score, gross: int, before: Decimal | None, holes: Sequence[Hole]
) -> list[Line]:
    if not isinstance(score, ByHole):
        words = "Entered as a total; the holes are not kept."
        return [Line("Adjusted gross", str(gross), words=words, rule="Rule 3.1")]
    lines = [] if before is None else _to_course(score, before)
    most = "net double bogey, never more than par + 5" if lines else "par + 5, with no figure yet"
    held = sum(hole.held for hole in holes)
    words = f"A hole counts at most {most}. {_held(held)}"
    return [*lines, Line("Adjusted gross", str(gross), words=words, rule="Rule 3.1")]


def _to_course(score: ByHole, before: Decimal) -> list[Line]:
    words = "What the record said before that day."
    lines = [Line("Figure on the day", _figure(before), words=words, rule="Rule 5.4")]
    used, rule = before, "Rule 6.1a"
    if len(score.par) == NINE:
        used, rule = tenth(Fraction(before) / 2), "Rule 6.1b"
        half = Line("Half of it", _figure(used), f"{_number(before)} ÷ 2", rule=rule)
        lines.append(_rounded(half, Fraction(before) / 2, used))
    course = _course(score, before)
    rounded = round_half_up(course)
    line = Line(
        "Course handicap",
        f"+{-rounded}" if rounded < 0 else str(rounded),
        f"{_number(used)} × {score.ratings.slope} ÷ {_SLOPE} + "
        f"({plain(score.ratings.course)} − {sum(score.par)})",
        "" if course == rounded else shown(course).replace("-", "+"),
        "Figure × slope ÷ 113 + (course rating − par), rounded for the shots.",
        rule,
    )
    return [*lines, line]


def _held(holes: int) -> str:
    if not holes:
        return "Every hole counts as written."
    return f"{'One hole counts' if holes == 1 else f'{holes} holes count'} otherwise than written."


def _made(gross: int, ratings: Ratings, exact: Fraction, nine: bool) -> Line:
    pcc = ""
    if ratings.pcc:
        half = "0.5 × " if nine else ""
        pcc = f" {'−' if ratings.pcc > 0 else '+'} {half}{abs(ratings.pcc)}"
    day = " The last figure is for the conditions of the day." if ratings.pcc else ""
    said = f"113 ÷ slope × (adjusted gross − course rating).{day}"
    line = Line(
        "Differential of nine holes" if nine else "Differential",
        _exactly(exact) if nine else _signed(tenth(exact)),
        f"{_SLOPE} ÷ {ratings.slope} × ({gross} − {plain(ratings.course)}{pcc})",
        words=f"{said} Not rounded before it is joined." if nine else said,
        rule="Rule 5.1b" if nine else "Rule 5.1a",
    )
    return line if nine else _rounded(line, exact, tenth(exact), plus=False)


def after_parts(one: Stood, parts: Sequence[Part]) -> list[Line]:
    """What follows the parts of a score: two nines joined, and what it took off the others."""
    lines = []
    exact = sum((part.exact for part in parts), start=Fraction(0))
    if len(parts) > 1:
        line = Line(
            "Differential",
            _signed(one.row.differential),
            _added([part.exact for part in parts], one.row.differential),
            words="Two nines of this society’s record joined, rounded once: the 2020 edition’s "
            "way, since the formula of 2024 is not published.",
            rule="Rule 5.1b",
        )
        lines.append(_rounded(line, exact, one.row.differential, plus=False))
    if one.row.exceptional:
        lines.append(_exceptional(one.row.exceptional, parts[-1].before, exact))
    return lines


def _added(parts: Sequence[Fraction], result: Decimal) -> str:
    """Parts in a sum, to as many decimals as it takes to come to the result."""
    said: list[str] = []
    for places in range(2, _MOST_DECIMALS + 1):
        said = [_to_places(part, places) for part in parts]
        if tenth(sum((Fraction(each) for each in said), start=Fraction(0))) == result:
            break
    return " + ".join(f"(−{each[1:]})" if each.startswith("-") else each for each in said)


def _exceptional(reduction: Decimal, before: Decimal | None, exact: Fraction) -> Line:
    assert before is not None  # noqa: S101 - only a figure can be bettered
    return Line(
        "Exceptional score",
        _signed(reduction),
        words=f"It is {_exactly(Fraction(before) - exact)} better than {_figure(before)}, the "
        f"figure on the day, so {plain(Fraction(reduction))} comes off each of the latest "
        f"{LATEST} differentials, this one among them.",
        rule="Rule 5.9",
    )


# how figures are written ----------------------------------------------------------------------


def _figure(value: Decimal) -> str:
    """A figure as people write a handicap, with its tenth: +1.2 for a plus."""
    return f"{'+' if value < 0 else ''}{abs(value):.1f}"


def _number(value: Decimal) -> str:
    """A figure in a sum: below zero in brackets, with a true minus sign."""
    return f"(−{-value:.1f})" if value < 0 else f"{abs(value):.1f}"


def _signed(value: Decimal) -> str:
    """A differential, or what is taken off: below zero with a true minus sign."""
    return f"{'−' if value < 0 else ''}{abs(value):.1f}"


def _exactly(value: Fraction) -> str:
    """To two decimals, to more where fewer would round to another tenth; a true minus sign.

    >>> _exactly(Fraction("14.1375")), _exactly(Fraction("14.0499")), _exactly(Fraction("-2"))
    ('14.14', '14.0499', '−2.0')
    """
    if value == tenth(value):
        return _signed(tenth(value))
    said = ""
    for places in range(2, _MOST_DECIMALS + 1):
        said = _to_places(value, places)
        if tenth(Fraction(said)) == tenth(value):
            break
    return said.replace("-", "−")


def _to_places(value: Fraction, places: int) -> str:
    whole, rest = divmod(abs(round_half_up(value * 10**places)), 10**places)
    return f"{'-' if value < 0 else ''}{whole}.{rest:0{places}d}"
