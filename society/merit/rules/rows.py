"""One line of a season table: its cells, its total, its place and what parted it."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Cell:
    """One fixture of one player: what it earned, whether it counts, and the place in it.

    `extra`: how much of the points is for turning up and bonuses.
    """

    points: Fraction
    counts: bool
    place: int
    extra: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Parted:
    """What separated a row from the one below that has the same total.

    `better` is the comparison in words ("best score"), `level` those that were level before it.
    `decided`: it was no comparison but a decision, so there are no figures to show.
    """

    below: tuple[str, ...]
    better: str
    own: Fraction
    other: Fraction | None
    level: tuple[str, ...]
    decided: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the table; `cells` has one entry for each fixture, None where not played.

    `place` is None for who is `short` of the minimum, and where `unranked` says why: "guest",
    "new" (joined this season), "late" (joined too late) or "unpaid". `level_with` are those who
    share the place. `start`: points the player began the season on, in the total; `given`: what
    the committee gave or took, in the total too.
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
    start: Fraction = Fraction(0)
    unranked: str = ""
    given: Fraction = Fraction(0)

    @property
    def events(self) -> int:
        """How many fixtures were played."""
        return sum(cell is not None for cell in self.cells)

    @property
    def scores(self) -> list[Fraction]:
        """All scores, best first."""
        return sorted((cell.points for cell in self.cells if cell), reverse=True)


def shown(points: Fraction) -> str:
    """Points for people: whole, or rounded half up to one decimal.

    >>> [shown(Fraction(n, 6)) for n in (150, 99, 116)]
    ['25', '16.5', '19.3']
    """
    if points.denominator == 1:
        return str(points.numerator)
    tenths = (points * 10 + Fraction(1, 2)) // 1
    whole, tenth = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole}.{tenth}"
