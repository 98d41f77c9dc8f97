"""From a final result and a society's rules to what each player's handicap becomes.

>>> from society.handicaps.rules.cuts.presets import PRESETS
>>> best = Placed("a", 1, 41, Decimal(16))
>>> [(p.new, p.because) for p in propose(PRESETS[0].rules, [best], played=date(2026, 5, 9))]
[(Decimal('12'), 'first with 41 points (3 off); 40 points or more (1 more off)')]
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from society.handicaps.rules.cuts.rounding import played_off, rounded
from society.handicaps.rules.cuts.steps import day_after, steps_of
from society.handicaps.rules.cuts.values import (
    CutRules,
    MarkOf,
    Placed,
    PointsCut,
    PointsRise,
    Proposed,
    Whom,
)
from society.handicaps.rules.cuts.words import figure_words, off_words, ordinal, points_words

_BEHIND = 1000  # behind every place that rules can name


@dataclass(slots=True)
class _Change:
    """A change on its way: its size so far, and what led to it, each part with its own size.

    A part without a size is a limit that came upon the others.
    """

    shots: Fraction = Fraction(0)
    parts: list[tuple[str, str]] = field(default_factory=list)

    @property
    def because(self) -> str:
        """The sentence; the only part is as large as the change, so its size is not said."""
        if len(self.parts) == 1:
            return self.parts[0][0]
        return "; ".join(f"{why} ({size})" if size else why for why, size in self.parts)


def propose(
    rules: CutRules,
    placed: Iterable[Placed],
    *,
    played: date,
    season_ends: date | None = None,
    valid_from: date | None = None,
) -> list[Proposed]:
    """What becomes of everybody whom the rules touch, the best place first.

    Whoever is touched and stays where they are (the maximum, an end before the beginning) is
    listed without steps. `valid_from`: the day after play if left out. The order in which the
    players come makes no difference.
    """
    everybody = sorted(placed, key=lambda one: (one.place, one.player))
    starts = valid_from or day_after(played)
    may = [one for one in everybody if _may_change(rules, one)]
    ranks = _ranks(may, everybody, among=rules.among_members)
    mark = mark_of(rules, everybody)
    low = _lowest(rules, everybody)
    found = []
    for one in may:
        cut = _cut(rules, one, ranks[one.player], mark)
        change = cut if cut.shots else _rise(rules, one, mark, low, len(everybody))
        if change.parts:
            found.append(_proposed(rules, one, change, starts, season_ends))
    return found


def mark_of(rules: CutRules, everybody: Sequence[Placed]) -> Fraction | None:
    """The score of the day that the others are held against; None where there are too few."""
    if rules.mark.of is MarkOf.POINTS:
        return Fraction(rules.mark.points)
    scores = sorted(
        one.points for one in everybody if one.points is not None and one.points >= rules.mark.least
    )
    kept = scores[rules.mark.drop : len(scores) - rules.mark.drop]
    return Fraction(sum(kept), len(kept)) * Fraction(rules.mark.factor) if kept else None


def _may_change(rules: CutRules, one: Placed) -> bool:
    return (rules.guests or not one.guest) and (rules.newcomers or not one.newcomer)


def _ranks(may: Sequence[Placed], everybody: Sequence[Placed], *, among: bool) -> dict[str, int]:
    """The place each is cut for: as in the result, or `among` those who may change.

    Whoever is too new to win is passed over, and comes behind every place that is cut.
    """
    found: dict[str, int] = {}
    for one in may:
        if one.newcomer:
            found[one.player] = _BEHIND
        elif among:
            better = sum(other.place < one.place for other in may if not other.newcomer)
            found[one.player] = 1 + better
        else:
            passed = sum(other.place < one.place for other in everybody if other.newcomer)
            found[one.player] = one.place - passed
    return found


def _lowest(rules: CutRules, everybody: Sequence[Placed]) -> frozenset[str]:
    """The lowest of the day; whoever shares the place of the last of them is one of them too."""
    if rules.lowest is None:
        return frozenset()
    size = len(everybody)
    counts = rules.lowest.counts
    wanted = next((count for up_to, count in counts if up_to is None or size <= up_to), 0)
    line = [one for one in everybody if _may_change(rules, one)] if rules.pass_on else everybody
    if not wanted or not line:
        return frozenset()
    edge = line[-min(wanted, len(line))].place
    return frozenset(one.player for one in line if one.place >= edge)


# cuts ---------------------------------------------------------------------------------------


def _cut(rules: CutRules, one: Placed, rank: int, mark: Fraction | None) -> _Change:
    """The shots that come off, as a size above zero."""
    if rules.floor is not None and one.points is not None and one.points < rules.floor:
        return _Change()
    band = rules.band_of(one.figure)
    change = _by_place(rules, one, rank, band)
    lines = [(line, _size_of(line, one, rank, band, mark)) for line in rules.points]
    added = max(((s, line) for line, s in lines if line.added and s), key=_size, default=None)
    if added:
        size, line = added
        more = " more" if change.parts else ""
        change.parts.append((_cut_words(line, one, mark, change), f"{off_words(size)}{more} off"))
        change.shots += size
    larger = max(((s, line) for line, s in lines if not line.added), key=_size, default=None)
    if larger and larger[0] > change.shots:
        size, line = larger
        change = _Change(size, [])
        change.parts.append((_cut_words(line, one, mark, change), f"{off_words(size)} off"))
    _hold_back(rules, one, band, change)
    return change if change.shots > 0 else _Change()


def _size(pair: tuple[Fraction, PointsCut]) -> Fraction:
    return pair[0]


def _by_place(rules: CutRules, one: Placed, rank: int, band: int) -> _Change:
    shots = Fraction(rules.places[rank - 1][band]) if rank <= len(rules.places) else Fraction(0)
    if not shots:
        return _Change()
    score = f"with {points_words(one.points)}" if one.points is not None else "place"
    return _Change(shots, [(f"{ordinal(rank)} {score}", f"{off_words(shots)} off")])


def _size_of(line: PointsCut, one: Placed, rank: int, band: int, mark: Fraction | None) -> Fraction:
    """How many shots one line takes off; zero where it does not hold."""
    wrong_one = line.whom is not Whom.ANYBODY and (line.whom is Whom.WINNER) != (rank == 1)
    if wrong_one or one.points is None or (line.over_mark and mark is None):
        return Fraction(0)
    above = one.points - (mark if line.over_mark and mark is not None else 0) - Fraction(line.at)
    if line.over_mark and one.points <= (mark or 0):
        return Fraction(0)
    return _sized(line.shots[band], above, each=line.each, most=line.most)


def _sized(shots: Decimal, past: Fraction, *, each: bool, most: Decimal | None) -> Fraction:
    """`past`: how far the score is past what the line asks for."""
    if past < 0:
        return Fraction(0)
    size = Fraction(shots) * (past if each else 1)
    return size if most is None else min(size, Fraction(most))


def _cut_words(line: PointsCut, one: Placed, mark: Fraction | None, before: _Change) -> str:
    if line.over_mark and mark is not None and one.points is not None:
        over = figure_words(one.points - mark)
        return f"{points_words(one.points)}, {over} over the mark of {figure_words(mark)}"
    asked = f"{figure_words(line.at)} points or more"
    if line.each:
        asked = f"each point over {figure_words(line.at)}"
    if before.parts:
        return asked
    first = "first with " if line.whom is Whom.WINNER else ""
    return f"{first}{points_words(one.points or 0)}, {asked}"


def _hold_back(rules: CutRules, one: Placed, band: int, change: _Change) -> None:
    """The limits of a cut."""
    if rules.over is not None and one.points is not None:
        allowed = Fraction(max(0, one.points - rules.over))
        if change.shots > allowed:
            change.shots = allowed
            over = f"no more than the points over {rules.over}"
            change.parts.append((over, off_words(allowed)))
    most = rules.most[band] if rules.most else None
    if most is not None and change.shots > most:
        change.shots = Fraction(most)
        change.parts.append((f"{off_words(Fraction(most))} at most with this handicap", ""))


# rises --------------------------------------------------------------------------------------


def _rise(
    rules: CutRules, one: Placed, mark: Fraction | None, low: frozenset[str], size: int
) -> _Change:
    """The shots that come back, as a size below zero: the larger of what the rules give."""
    band = rules.band_of(one.figure)
    found: list[tuple[Fraction, str, str]] = []
    for line in rules.rises:
        back = _back(line, one, band, mark)
        if back:
            size_words = f"{figure_words(rounded(back))} back"
            found.append((back, _rise_words(line, one, mark), size_words))
    if rules.lowest is not None and one.player in low:
        shots = Fraction(rules.lowest.shots)
        score = f" with {points_words(one.points)}" if one.points is not None else ""
        place = "last" if len(low) == 1 else "among the lowest"
        size_words = f"{figure_words(rounded(shots))} back"
        found.append((shots, f"{place} of {size}{score}", size_words))
    if not found:
        return _Change()
    back, words, size_words = max(found, key=lambda each: each[0])
    return _Change(-back, [(words, size_words)])


def _back(line: PointsRise, one: Placed, band: int, mark: Fraction | None) -> Fraction:
    if one.points is None or (line.under_mark and mark is None):
        return Fraction(0)
    if line.under_mark and mark is not None:
        below = mark - one.points - Fraction(line.at)
        if one.points >= mark:
            return Fraction(0)
    else:
        below = Fraction(line.at) - one.points
    return _sized(line.shots[band], below, each=line.each, most=line.most)


def _rise_words(line: PointsRise, one: Placed, mark: Fraction | None) -> str:
    score = points_words(one.points or 0)
    if line.under_mark and mark is not None:
        under = figure_words(mark - (one.points or 0))
        return f"{score}, {under} under the mark of {figure_words(mark)}"
    at = figure_words(line.at)
    return f"{score}, each point under {at}" if line.each else f"{score} ({at} or fewer)"


# the end of it ------------------------------------------------------------------------------


def _proposed(
    rules: CutRules, one: Placed, change: _Change, starts: date, season_ends: date | None
) -> Proposed:
    shots = rounded(-change.shots)
    highest = min((m for m in (rules.maximum, one.maximum) if m is not None), default=None)
    if shots > 0 and highest is not None and one.figure + shots > highest:
        shots = max(Decimal(0), highest - one.figure)
        change.parts.append((f"{highest} is the most", ""))
    steps = steps_of(rules, shots, starts, season_ends)
    if shots and not steps:
        shots = Decimal(0)
        change.parts.append(("it ends with the season, which is over", ""))
    new = one.figure + shots
    if rules.halves_up and steps and new != new.to_integral_value():
        change.parts.append((f"half a shot rounds up, so {played_off(new)} is played", ""))
    return Proposed(one.player, one.figure, new, starts, steps, change.because)
