"""What is said of a draw: sums, repeats, warnings, times, and what a change by hand breaks."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations, pairwise

from society.entries.rules.asks import Ask, is_met
from society.entries.rules.draw import IN_ORDER, DrawInputs
from society.entries.rules.groups import Groups
from society.fixtures.rules import StartKind


def totals(inputs: DrawInputs, groups: Iterable[Sequence[str]]) -> list[Decimal | None]:
    """The sum of what each group plays off; None where somebody's figure is not known."""
    found: list[Decimal | None] = []
    for group in groups:
        figures = [inputs.figures.get(key) for key in group]
        known = [figure for figure in figures if figure is not None]
        found.append(sum(known, Decimal(0)) if len(known) == len(figures) else None)
    return found


def repeats(inputs: DrawInputs, groups: Iterable[Sequence[str]]) -> dict[frozenset[str], int]:
    """Pairs in one group that played together in the past fixtures: how often."""
    found = {}
    for group in groups:
        for pair in combinations(group, 2):
            if when := inputs.met.get(frozenset(pair)):
                found[frozenset(pair)] = len(when)
    return found


def in_a_row(when: Sequence[int]) -> int:
    """How many of the latest fixtures without a break. `when` counts back from 0, ascending.

    >>> in_a_row((0, 1, 3)), in_a_row((1, 2)), in_a_row(())
    (2, 0, 0)
    """
    if not when or when[0] != 0:
        return 0
    return next((n for n, (a, b) in enumerate(pairwise(when), 1) if b != a + 1), len(when))


def draw_warnings(inputs: DrawInputs) -> list[str]:
    """What the organiser should know before publishing, in sentences.

    Intervals: common advice of the trade (ten minutes and more for threes and fours); no rule.
    """
    sizes, opening = inputs.sizes, inputs.opening
    said = []
    if 1 in sizes:
        said.append("One player alone has nobody to mark the card.")
    if inputs.group_size == 4 and 2 in sizes and len(sizes) > 1:
        said.append("Five players make a two and a three; a two may have to wait on the course.")
    if inputs.group_size == 2 and 3 in sizes:
        said.append("The number is odd, so one group is a three.")
    timed = opening.first_minute is not None and opening.kind is not StartKind.SHOTGUN
    if timed and max(sizes) > 2 and opening.interval < 10:
        said.append(
            f"{opening.interval} minutes is short for groups of {max(sizes)}; "
            "ten or more is the usual advice."
        )
    return said


def tee_minutes(inputs: DrawInputs, groups: int) -> list[int | None]:
    """Minutes after midnight at which each group starts, or None for each without tee times."""
    return [start.minute for start in inputs.opening.starts(groups)]


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two who would play together though they did before: fixtures ago, the latest is 0."""

    one: str
    other: str
    when: tuple[int, ...]

    @property
    def in_a_row(self) -> int:
        """The how-manieth time in a row it would be; 1 if they were apart the last time."""
        return in_a_row(self.when) + 1


@dataclass(frozen=True, slots=True)
class Broken:
    """What a change by hand breaks, and mends.

    `asks`: met before and no longer. `mended`: met only now. `meetings`: pairs that come together
    again. `totals`: (group, before, after) of every group whose sum changes. `order`: the groups
    are no longer in the order the method gives.
    """

    asks: tuple[Ask, ...]
    mended: tuple[Ask, ...]
    meetings: tuple[Meeting, ...]
    totals: tuple[tuple[int, Decimal | None, Decimal | None], ...]
    order: bool


def broken_by(inputs: DrawInputs, before: Groups, after: Groups) -> Broken:
    """What becomes of asks, meetings and sums from one set of groups to another."""
    longer = (*before, *((),) * (len(after) - len(before)))
    met = [
        (ask, is_met(ask, before, inputs.opening), is_met(ask, after, inputs.opening))
        for ask in sorted(inputs.asks)
    ]
    was = repeats(inputs, before)
    again = [pair for pair in repeats(inputs, after) if pair not in was]
    sums = zip(totals(inputs, longer), totals(inputs, after), strict=True)
    return Broken(
        asks=tuple(ask for ask, old, new in met if old and new is False),
        mended=tuple(ask for ask, old, new in met if old is False and new),
        meetings=tuple(
            sorted(
                (Meeting(min(pair), max(pair), inputs.met[pair]) for pair in again),
                key=lambda found: (-found.in_a_row, -len(found.when), found.one, found.other),
            )
        ),
        totals=tuple((number, old, new) for number, (old, new) in enumerate(sums, 1) if old != new),
        order=inputs.method in IN_ORDER and _crossed(longer, after),
    )


def _crossed(before: Groups, after: Groups) -> bool:
    """Whether anybody is in another group than before."""
    return any(set(old) != set(new) for old, new in zip(before, after, strict=True))
