"""Places: total, then countback range by range, then what the terms say after that.

Committee Procedures 5A(6) (last nine, six, three, eighteenth hole, then the same of the first
nine), with the ranges of the terms in their order; event document, section 1.3. A list of steps
of one shape is folded over those still level, and every row keeps what it was compared on. A tie
no step breaks is a value: the place is shared (1, 2, 2, 4), unless an `order` ruling parts them.

Worked example (society rules on countback, decimals kept): handicap 15, last nine of eighteen,
is 7.5 strokes.

>>> share_of(15, 9, 18, Share.EXACT), share_of(15, 9, 18, Share.ROUNDED)
(Fraction(15, 2), 8)
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scoring.rules.games import GAMES
from scoring.rules.handicap import round_half_up
from scoring.rules.lines import Line
from scoring.rules.strict_json import Refused
from scoring.rules.values import (
    AfterCountback,
    CountbackHoles,
    Event,
    HoleRange,
    Ruling,
    RulingKind,
    Share,
    Terms,
)

Amount = Fraction | int


@dataclass(frozen=True, slots=True)
class Step:
    """One comparison of those still level. `label` is the range, or empty for the handicap."""

    label: str
    figure: Callable[[Line], Amount]
    more_is_better: bool


@dataclass(frozen=True, slots=True)
class Compared:
    """What a row was compared on: its own figure and the figures of those it was level with."""

    label: str
    own: Amount
    others: tuple[Amount, ...]
    more_is_better: bool


@dataclass(frozen=True, slots=True)
class Level:
    """Those nothing has separated, with what they were compared on, the same for all of them."""

    lines: tuple[Line, ...]
    compared: tuple[Compared, ...]
    alone_on_total: bool


@dataclass(frozen=True, slots=True)
class Ranked:
    """A line with its place; `ordered` is the ruling that ended a tie, if one did."""

    place: int
    tied: bool
    line: Line
    level: Level
    ordered: Ruling | None


def steps_of(event: Event) -> list[Step]:
    """The comparisons of an event after the total, in their order."""
    terms = event.terms
    more = GAMES[terms.scoring].MORE_IS_BETTER
    steps = [
        Step(entry.label, _range_figure(terms, entry, event.holes), more)
        for entry in terms.countback
    ]
    if terms.after_countback is AfterCountback.LOWER_HANDICAP:
        steps.append(Step("", _playing_handicap, False))
    return steps


def _playing_handicap(line: Line) -> Amount:
    return line.compared


def holes_of(entry: HoleRange, first_hole: int, holes: int, counted: CountbackHoles) -> list[int]:
    """Positions in the arrays (from 0) that a range means for who began on `first_hole`.

    >>> ten_on = HoleRange("10-18", 10, 18)
    >>> [position + 1 for position in holes_of(ten_on, 14, 18, CountbackHoles.PLAYED)]
    [5, 6, 7, 8, 9, 10, 11, 12, 13]
    """
    begin = first_hole - 1 if counted is CountbackHoles.PLAYED else 0
    return [(begin + place - 1) % holes for place in range(entry.first, entry.last + 1)]


def share_of(playing: int, part: int, holes: int, share: Share) -> Amount:
    """The share of a handicap for `part` of `holes`, exact or rounded half up.

    Both are published conventions (fractions kept; a half or more counts as a stroke).
    """
    exact = Fraction(playing * part, holes)
    return exact if share is Share.EXACT else round_half_up(exact)


def _range_figure(terms: Terms, entry: HoleRange, holes: int) -> Callable[[Line], Amount]:
    by_first_hole = [
        holes_of(entry, first_hole, holes, terms.countback_holes)
        for first_hole in range(1, holes + 1)
    ]

    def figure(line: Line) -> Amount:
        counted = by_first_hole[line.who.first_hole - 1]
        total = sum([line.values[hole] for hole in counted])
        if not terms.off_the_total or line.playing is None or line.strokes is None:
            return total
        if terms.handicap_share is Share.BY_STROKE_INDEX:
            return total - sum(line.strokes[hole] for hole in counted)
        return total - share_of(line.playing, entry.holes, holes, terms.handicap_share)

    return figure


def part(
    lines: Sequence[Line], steps: Sequence[Step], compared: tuple[Compared, ...] = ()
) -> list[Level]:
    """Those level on total, parted step by step; each part in order, the best first."""
    at = len(compared)
    if len(lines) == 1 or at == len(steps):
        return [Level(tuple(lines), compared, alone_on_total=len(lines) == 1 and at == 0)]
    step = steps[at]
    by_figure: dict[Amount, list[Line]] = defaultdict(list)
    for line in lines:
        by_figure[step.figure(line)].append(line)
    order = sorted(by_figure, reverse=step.more_is_better)
    levels: list[Level] = []
    for own in order:
        others = tuple(figure for figure in order if figure != own)
        entry = Compared(step.label, own, others, step.more_is_better)
        levels += part(by_figure[own], steps, (*compared, entry))
    return levels


def rank(
    lines: Iterable[Line], steps: Sequence[Step], more_is_better: bool, orders: Sequence[Ruling]
) -> list[Ranked]:
    """All lines with their places; those who share one are in order of key."""
    by_total: dict[int, list[Line]] = defaultdict(list)
    for line in lines:
        by_total[line.total].append(line)
    ranked: list[Ranked] = []
    for total in sorted(by_total, reverse=more_is_better):
        for level in part(by_total[total], steps):
            ranked += _placed(level, len(ranked) + 1, orders)
    return ranked


def _placed(level: Level, place: int, orders: Sequence[Ruling]) -> list[Ranked]:
    if len(level.lines) == 1:
        return [Ranked(place, False, level.lines[0], level, None)]
    by_key = {line.who.key: line for line in level.lines}
    for order in orders:
        if by_key.keys() <= set(order.order):
            named = [key for key in order.order if key in by_key]
            return [
                Ranked(place + ahead, False, by_key[key], level, order)
                for ahead, key in enumerate(named)
            ]
    return [Ranked(place, True, by_key[key], level, None) for key in sorted(by_key)]


def orders_of(rulings: Iterable[Ruling]) -> list[Ruling]:
    """The rulings that say how a tie ended outside the cards."""
    return [ruling for ruling in rulings if ruling.kind is RulingKind.ORDER]


def check_orders(ranked: Iterable[Ranked], orders: Iterable[Ruling], *, sides: bool) -> None:
    """Refuse an order that does not name one whole group still level, or names it again.

    `ranked` is the overall standing without any order. Event document, section 1.4.
    """
    groups: Mapping[int, set[str]] = defaultdict(set)
    for row in ranked:
        if row.tied:
            groups[row.place].add(row.line.who.key)
    open_groups = list(groups.values())
    for order in orders:
        if set(order.order) not in open_groups:
            named = "sides" if sides else "players"
            raise Refused(
                f"rulings[{order.at}].{named}", "are not one whole group that is still level"
            )
        open_groups.remove(set(order.order))
