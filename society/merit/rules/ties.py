"""Who is ahead at the end where the totals are the same, by a table's own list of comparisons.

Every way here is one that societies use; none stands in a rule book (common practice, no source).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby

from society.merit.rules.rows import Parted, Row, shown
from society.merit.rules.values import Decision, MeritRules, SeasonTie

_WORDS = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
    "eleventh", "twelfth",
)  # fmt: skip
_LAST = ("", "the last score that counts", "the last two scores that count",
         "the last three scores that count")  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Comparison:
    better: str
    level: str
    figure: Callable[[Row], Fraction | None]
    only_if_all_have_it: bool = False
    decisions: tuple[Decision, ...] = ()  # instead of a figure: one that names just this group


@dataclass(slots=True)
class _Group:
    rows: list[Row]
    parted: Parted | None = None


def ranked(
    rows: Sequence[Row],
    rules: MeritRules,
    best: int | None,
    decisions: Sequence[Decision] = (),
) -> list[Row]:
    """The rows in order, each with its place, what parted it from the next, and who shares it."""
    comparisons = _comparisons(rules, best, rows, decisions)
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
    figures = _figures(rows, first)
    if figures is None:
        yield from _split(rows, rest, level)
        return
    parts: list[list[_Group]] = []
    ordered = sorted(rows, key=lambda row: (_falling(figures[row.player]), row.player))
    for _, part in groupby(ordered, key=lambda row: figures[row.player]):
        parts.append(list(_split(list(part), rest, (*level, first.level))))
    for upper, lower in zip(parts, parts[1:], strict=False):
        own, other = figures[upper[-1].rows[0].player], figures[lower[0].rows[0].player]
        below = tuple(row.player for row in lower[0].rows)
        upper[-1].parted = Parted(
            below, first.better, own or Fraction(0), other, level, bool(first.decisions)
        )
    for part_groups in parts:
        yield from part_groups


def _figures(rows: Sequence[Row], by: _Comparison) -> dict[str, Fraction | None] | None:
    """The figure of each row; None where this way does not speak of them."""
    if by.decisions:
        group = {row.player for row in rows}
        said = [decision for decision in by.decisions if set(decision.players) == group]
        if not said:
            return None
        return {player: Fraction(-at) for at, player in enumerate(said[-1].players)}
    figures = {row.player: by.figure(row) for row in rows}
    return None if by.only_if_all_have_it and None in figures.values() else figures


def _falling(figure: Fraction | None) -> tuple[bool, Fraction]:
    return (figure is None, -(figure or Fraction(0)))


# the comparisons ---------------------------------------------------------------------------


def _comparisons(
    rules: MeritRules, best: int | None, rows: Sequence[Row], decisions: Sequence[Decision]
) -> list[_Comparison]:
    most = max((row.events for row in rows), default=0)
    made: list[_Comparison] = []
    for tie in rules.season_ties:
        if tie is SeasonTie.NEXT_BEST:
            made += [_score(at, only_if_all=True) for at in range(best or most, most)]
        elif tie is SeasonTie.BEST_SCORES:
            made += [_score(at) for at in range(best or most)]
        elif tie is SeasonTie.HIGH_POINTS:
            found = {score for row in rows for score in row.scores}
            made += [_of_worth(points) for points in sorted(found, reverse=True)]
        elif tie is SeasonTie.BEST_PLACES:
            places = {cell.place for row in rows for cell in row.cells if cell and cell.place}
            made += [_of_place(place) for place in sorted(places)]
        elif tie is SeasonTie.LAST_SCORES:
            made += [_last_scores(number) for number in (3, 2, 1)]
        elif tie in (SeasonTie.COMMITTEE, SeasonTie.LOTS):
            own = tuple(decision for decision in decisions if decision.way is tie)
            words = "by lot" if tie is SeasonTie.LOTS else "by decision of the committee"
            made += [_Comparison(words, "", _played, decisions=own)] if own else []
        else:
            made.append(_PLAIN[tie])
    return made


def _score(at: int, *, only_if_all: bool = False) -> _Comparison:
    name = _WORDS[at] if at < len(_WORDS) else f"number {at + 1}"
    words = (
        ("better best score", "the best") if at == 0 else (f"better {name} score", f"the {name}")
    )
    return _Comparison(*words, lambda row: _nth(row.scores, at), only_if_all)


def _nth(scores: Sequence[Fraction], at: int) -> Fraction | None:
    return scores[at] if at < len(scores) else None


def _of_worth(points: Fraction) -> _Comparison:
    what = f"scores of {shown(points)}"
    return _Comparison(
        f"more {what}",
        what,
        lambda row: Fraction(sum(score == points for score in row.scores)),
    )


def _of_place(place: int) -> _Comparison:
    what = _PLACES.get(place, f"finishes in place {place}")
    return _Comparison(f"more {what}", what, lambda row: _at_place(row, place, place))


_PLACES = {1: "wins", 2: "second places", 3: "third places"}


def _at_place(row: Row, first: int, last: int) -> Fraction:
    return Fraction(sum(first <= cell.place <= last for cell in row.cells if cell))


def _last_scores(number: int) -> _Comparison:
    def figure(row: Row) -> Fraction:
        counted = [cell.points for cell in row.cells if cell and cell.counts]
        return sum(counted[-number:], Fraction(0))

    return _Comparison(f"better on {_LAST[number]}", _LAST[number], figure)


def _wins(row: Row) -> Fraction:
    return _at_place(row, 1, 1)


def _seconds(row: Row) -> Fraction:
    return _at_place(row, 2, 2)


def _top_three(row: Row) -> Fraction:
    return _at_place(row, 1, 3)


def _played(row: Row) -> Fraction:
    return Fraction(row.events)


def _last(row: Row) -> Fraction | None:
    return _from_the_end(row, 1)


def _last_but_one(row: Row) -> Fraction | None:
    return _from_the_end(row, 2)


def _from_the_end(row: Row, number: int) -> Fraction | None:
    cell = row.cells[-number] if len(row.cells) >= number else None
    return cell.points if cell else None


_PLAIN = {
    SeasonTie.BEST_SCORE: _score(0),
    SeasonTie.MOST_WINS: _Comparison("more wins", "wins", _wins),
    SeasonTie.MOST_SECONDS: _Comparison("more second places", "second places", _seconds),
    SeasonTie.TOP_THREE: _Comparison(
        "more finishes in the first three", "finishes in the first three", _top_three
    ),
    SeasonTie.MOST_EVENTS: _Comparison("more fixtures played", "fixtures played", _played),
    SeasonTie.LAST_EVENT: _Comparison("better in the last fixture", "the last fixture", _last),
    SeasonTie.LAST_BUT_ONE: _Comparison(
        "better in the last fixture but one", "the last fixture but one", _last_but_one
    ),
}
