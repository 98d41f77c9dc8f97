"""The season's table: which scores count, which drop, who is ahead of whom and why.

The best N scores of each player are added. Those level on the sum are parted by the table's own
list, in its order; whoever is level after the last of it shares the place. Common practice, no
source.

>>> from society.merit.rules.values import Finish, PointsFrom
>>> days = [Event(str(n), (Finish("x", True, 1, x), Finish("y", True, 2, y)))
...     for n, (x, y) in enumerate([(36, 33), (30, 35)])]
>>> rules = MeritRules(points=PointsFrom.TOTAL, season_ties=(SeasonTie.BEST_SCORE,), best=1)
>>> [(row.place, row.player, str(row.total)) for row in standings(days, rules)]
[(1, 'x', '36'), (2, 'y', '35')]
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from society.merit.rules.points import earned_in
from society.merit.rules.values import Event, MeritRules, SeasonTie

_WORDS = (
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One fixture of one player: what it earned, whether it counts, and the place in it."""

    points: Fraction
    counts: bool
    place: int


@dataclass(frozen=True, slots=True)
class Parted:
    """What separated a row from the one below that has the same total.

    `better` is the comparison in words ("best score"), `level` those that were level before it.
    """

    below: tuple[str, ...]
    better: str
    own: Fraction
    other: Fraction | None
    level: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table; `cells` has one entry for each fixture, None where not played.

    `place` is None for a guest who is only shown, and for who is `short` of the minimum.
    `level_with` are those who share the place.
    """

    player: str
    member: bool
    total: Fraction
    cells: tuple[Cell | None, ...]
    short: int
    place: int | None = None
    behind: Fraction | None = None
    level_with: tuple[str, ...] = ()
    parted: Parted | None = None

    @property
    def events(self) -> int:
        """How many fixtures were played."""
        return sum(cell is not None for cell in self.cells)

    @property
    def scores(self) -> list[Fraction]:
        """All scores, best first."""
        return sorted((cell.points for cell in self.cells if cell), reverse=True)


@dataclass(frozen=True, slots=True)
class _Comparison:
    better: str
    level: str
    figure: Callable[[Row], Fraction | None]
    only_if_all_have_it: bool = False


@dataclass(slots=True)
class _Group:
    rows: list[Row]
    parted: Parted | None = None


def counting(rules: MeritRules, cancelled: int = 0) -> int | None:
    """How many scores count, None for all; a cancelled fixture lowers it where the rules say so."""
    if rules.best is None or not rules.best_follows:
        return rules.best
    return max(1, rules.best - cancelled)


def standings(events: Sequence[Event], rules: MeritRules, cancelled: int = 0) -> list[Row]:
    """The table: rows with a place first, shown guests where their total falls, the short last.

    `cancelled` is the number of the season's fixtures that were not played and will not be.
    """
    best = counting(rules, cancelled)
    earned = [earned_in(event, rules) for event in events]
    members = {f.player for event in events for f in event.finishes if f.member}
    guest_days = [{f.player for f in event.finishes if not f.member} for event in events]
    rows = []
    for player in {player for day in earned for player in day}:
        member = player in members
        found = [
            None if player not in day or (member and player in guests) else day[player]
            for day, guests in zip(earned, guest_days, strict=True)
        ]
        played = [at for at, entry in enumerate(found) if entry]
        by_worth = sorted(played, key=lambda at: (-found[at].points, at))  # type: ignore[union-attr]
        counted = set(by_worth[:best])
        cells = tuple(
            Cell(entry.points, at in counted, entry.place) if entry else None
            for at, entry in enumerate(found)
        )
        total = sum((c.points for c in cells if c and c.counts), Fraction(0))
        rows.append(Row(player, member, total, cells, max(0, rules.minimum - len(played))))
    ranked = _ranked([row for row in rows if row.member and not row.short], rules, best)
    lead = ranked[0].total if ranked else None
    full = ranked + [row for row in rows if not row.member and not row.short]
    full.sort(key=lambda row: -row.total)  # stable: the order of the ranked stays
    short = sorted((row for row in rows if row.short), key=lambda row: (-row.total, row.player))
    return [replace(row, behind=None if lead is None else lead - row.total) for row in full + short]


def moved(before: Sequence[Row], after: Sequence[Row]) -> list[tuple[str, int | None, int | None]]:
    """Whose place differs between two tables: player, place before, place after."""
    old = {row.player: row.place for row in before}
    return [
        (row.player, old.get(row.player), row.place)
        for row in after
        if old.get(row.player) != row.place
    ]


def race(
    events: Sequence[Event], rules: MeritRules, cancelled: int = 0
) -> dict[str, tuple[int | None, ...]]:
    """The place of each player after each fixture, whatever the minimum; None before the first."""
    free = replace(rules, minimum=0)
    after = [standings(events[: at + 1], free, cancelled) for at in range(len(events))]
    places = [{row.player: row.place for row in rows} for rows in after]
    players = [row.player for row in after[-1]] if after else []
    return {player: tuple(day.get(player) for day in places) for player in players}


def needed(row: Row, target: Fraction, best: int | None) -> Fraction:
    """What the next score must be above, so that the row's total passes `target`.

    With all scores that count already made, the lowest of them falls out.

    >>> cells = tuple(Cell(Fraction(points), True, 1) for points in (34, 28))
    >>> row = Row("x", True, Fraction(62), cells, 0)
    >>> str(needed(row, Fraction(64), best=2)), str(needed(row, Fraction(64), best=None))
    ('30', '2')
    """
    counted = [cell.points for cell in row.cells if cell and cell.counts]
    falls_out = min(counted) if best is not None and len(counted) >= best else Fraction(0)
    return target - row.total + falls_out


def _ranked(rows: Sequence[Row], rules: MeritRules, best: int | None) -> list[Row]:
    comparisons = _comparisons(rules, best, max((row.events for row in rows), default=0))
    placed: list[Row] = []
    ordered = sorted(rows, key=lambda row: (-row.total, row.player))
    for _, group in groupby(ordered, key=lambda row: row.total):
        for level in _split(list(group), comparisons, ()):
            names = tuple(row.player for row in level.rows)
            place = len(placed) + 1
            placed += [
                replace(
                    row,
                    place=place,
                    parted=level.parted,
                    level_with=tuple(name for name in names if name != row.player),
                )
                for row in level.rows
            ]
    return placed


def _split(
    rows: list[Row], comparisons: Sequence[_Comparison], level: tuple[str, ...]
) -> Iterator[_Group]:
    if len(rows) == 1 or not comparisons:
        yield _Group(rows)
        return
    first, rest = comparisons[0], comparisons[1:]
    figures = {row.player: first.figure(row) for row in rows}
    if first.only_if_all_have_it and None in figures.values():
        yield from _split(rows, rest, level)
        return
    parts: list[list[_Group]] = []
    ordered = sorted(rows, key=lambda row: (_falling(figures[row.player]), row.player))
    for _, part in groupby(ordered, key=lambda row: figures[row.player]):
        parts.append(list(_split(list(part), rest, (*level, first.level))))
    for upper, lower in zip(parts, parts[1:], strict=False):
        own, other = figures[upper[-1].rows[0].player], figures[lower[0].rows[0].player]
        below = tuple(row.player for row in lower[0].rows)
        upper[-1].parted = Parted(below, first.better, own or Fraction(0), other, level)
    for part_groups in parts:
        yield from part_groups


def _falling(figure: Fraction | None) -> tuple[bool, Fraction]:
    return (figure is None, -(figure or Fraction(0)))


def _comparisons(rules: MeritRules, best: int | None, most: int) -> list[_Comparison]:
    made = []
    for tie in rules.season_ties:
        if tie is SeasonTie.NEXT_BEST:
            made += [_score(at, only_if_all=True) for at in range(best or most, most)]
        elif tie is SeasonTie.BEST_SCORE:
            made.append(_score(0))
        elif tie is SeasonTie.BEST_SCORES:
            made += [_score(at) for at in range(best or most)]
        elif tie is SeasonTie.MOST_WINS:
            made.append(_Comparison("more wins", "wins", _wins))
        elif tie is SeasonTie.MOST_EVENTS:
            made.append(_Comparison("more fixtures played", "fixtures played", _played))
        else:
            made.append(_Comparison("better in the last fixture", "the last fixture", _last))
    return made


def _score(at: int, *, only_if_all: bool = False) -> _Comparison:
    name = _WORDS[at] if at < len(_WORDS) else f"number {at + 1}"
    words = (
        ("better best score", "the best") if at == 0 else (f"better {name} score", f"the {name}")
    )
    return _Comparison(*words, lambda row: _nth(row.scores, at), only_if_all)


def _nth(scores: Sequence[Fraction], at: int) -> Fraction | None:
    return scores[at] if at < len(scores) else None


def _wins(row: Row) -> Fraction:
    return Fraction(sum(cell.place == 1 for cell in row.cells if cell))


def _played(row: Row) -> Fraction:
    return Fraction(row.events)


def _last(row: Row) -> Fraction | None:
    cell = row.cells[-1] if row.cells else None
    return cell.points if cell else None
