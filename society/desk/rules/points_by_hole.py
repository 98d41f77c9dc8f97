"""Where a player loses points: points by hole and by par over several rounds.

Every card is counted as Stableford, whatever was played, so that rounds can be laid side by side;
net par on every hole is 2 points (Rules of Golf 2023, Rule 21.1b; the points are the engine's).

>>> rounds = [[HolePlayed(1, 4, 2), HolePlayed(2, 3, 0)], [HolePlayed(1, 5, 3)]]
>>> [(tally.label, tally.rounds, tally.points) for tally in by_hole(rounds)]
[('1', 2, 5), ('2', 1, 0)]
>>> by_par(rounds)[0].words
'0 points on 1 hole'
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from scoring.rules.formats.stableford import value
from scoring.rules.terms import read_terms

LEVEL = 2  # net par
_STABLEFORD = read_terms({"format": "stableford"}, 18)


@dataclass(frozen=True, slots=True)
class HolePlayed:
    """One hole of one round: its number on the card, its par, and the points it brought."""

    number: int
    par: int
    points: int


@dataclass(frozen=True, slots=True)
class Tally:
    """The holes of one number, or of one par: how often played, and the points in all."""

    label: str
    rounds: int
    points: int

    @property
    def average(self) -> Fraction:
        """Points a time."""
        return Fraction(self.points, self.rounds)

    @property
    def lost(self) -> int:
        """Points under net par in all; below zero where more were earned."""
        return LEVEL * self.rounds - self.points

    @property
    def words(self) -> str:
        """The points and on how many holes."""
        points = f"{self.points} {'point' if self.points == 1 else 'points'}"
        return f"{points} on {self.rounds} {'hole' if self.rounds == 1 else 'holes'}"


def points_of_round(
    numbers: Sequence[int],
    par: Sequence[int],
    shots: Sequence[int],
    card: Sequence[int | None],
) -> list[HolePlayed]:
    """The Stableford points of a card, hole by hole; `shots` are those received on each."""
    return [
        HolePlayed(number, of_hole, int(value(_STABLEFORD, of_hole, received, gross)))
        for number, of_hole, received, gross in zip(numbers, par, shots, card, strict=True)
    ]


def by_hole(rounds: Iterable[Sequence[HolePlayed]]) -> list[Tally]:
    """A tally for each number of a hole, in order."""
    return _tallies((hole.number, hole.points) for played in rounds for hole in played)


def by_par(rounds: Iterable[Sequence[HolePlayed]]) -> list[Tally]:
    """A tally for the par threes, fours and fives, in order."""
    return _tallies((hole.par, hole.points) for played in rounds for hole in played)


def _tallies(holes: Iterable[tuple[int, int]]) -> list[Tally]:
    found: dict[int, list[int]] = {}
    for key, points in holes:
        found.setdefault(key, []).append(points)
    return [Tally(str(key), len(points), sum(points)) for key, points in sorted(found.items())]


def most_lost(tallies: Sequence[Tally]) -> list[Tally]:
    """Those with the lowest points a time, all that are level; none where nothing is lost."""
    losing = [tally for tally in tallies if tally.lost > 0]
    if not losing:
        return []
    lowest = min(tally.average for tally in losing)
    return [tally for tally in losing if tally.average == lowest]
