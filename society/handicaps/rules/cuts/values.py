"""The words of a society's cut rules: what lowers a handicap after a result, and what raises it.

No rule book sets any of this; every society chooses, and the page says what it chose (common
practice, no source). Shots are kept as plain sizes: how many come off, or how many come back.

>>> CutRules(bands=(9, 18)).band_of(Decimal("9.9")), CutRules(bands=(9, 18)).band_of(Decimal(19))
(0, 2)
"""

from bisect import bisect_left
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_FLOOR, Decimal
from enum import StrEnum

Shots = tuple[Decimal, ...]  # one for each band of handicaps


class Whom(StrEnum):
    """Whom a cut by points is for."""

    ANYBODY = "anybody"
    WINNER = "winner"
    OTHERS = "others"  # everybody but the winner


class MarkOf(StrEnum):
    """Where the mark comes from that scores are held against."""

    POINTS = "points"  # the same on every day
    FIELD = "field"  # the mean of the day's scores


class Expiry(StrEnum):
    """When a change ends."""

    NEVER = "never"
    SEASON = "season"  # with the last day of the season
    STEPS = "steps"  # it grows smaller in steps of months


@dataclass(frozen=True, slots=True)
class Mark:
    """The score others are held against.

    Fixed: `points`. From the field: the mean of the day's scores of `least` points or more,
    without the `drop` best and the `drop` worst, times `factor`.
    """

    of: MarkOf = MarkOf.POINTS
    points: int = 36
    least: int = 0
    drop: int = 0
    factor: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True)
class PointsCut:
    """A cut by points: at `at` points or more, or with `over_mark` at `at` or more over the mark.

    `each`: the shots are taken for each point above that. `most`: no more than these by this
    line. `added`: on top of the cut by place; without it only the larger of the two is taken. Of
    several lines that hold, the largest counts.
    """

    whom: Whom
    at: Decimal
    shots: Shots
    over_mark: bool = False
    each: bool = False
    most: Decimal | None = None
    added: bool = False


@dataclass(frozen=True, slots=True)
class PointsRise:
    """Shots back: at `at` points or fewer, or with `under_mark` `at` or more below the mark.

    `each`: for each point below that. `most`: no more than these by this line.
    """

    at: Decimal
    shots: Shots
    under_mark: bool = False
    each: bool = False
    most: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Lowest:
    """Shots back for the lowest of the day: how many of them in a field of how many.

    `counts`: (field up to, how many rise); the last one's limit is None.
    """

    counts: tuple[tuple[int | None, int], ...]
    shots: Decimal


@dataclass(frozen=True, slots=True)
class CutRules:
    """All that a society's cuts are worked out by.

    `bands`: the highest whole handicap of each band but the last; a band up to 9 holds all that
    is under 10. Every list of shots has one for each band. `places`: the cut of the first, the
    second, and so on. `floor`: nobody under so many points is cut. `over`: no cut is larger than
    the points over this. `most`: the largest cut by band, None for no limit. `lowest`, `rises`:
    the larger of them counts; who is cut does not rise. `maximum`: no rise goes past it.
    `months`, `fade`: the length of each step, and by how many shots the next one is smaller.
    `halves_up`: the handicap that is played is whole, and half a shot rounds up.
    `guests`, `newcomers`: whether they change too. `among_members`: places and the winner are
    counted among those who may change. `pass_on`: the rise of one who may not change goes to the
    next lowest.
    """

    bands: tuple[int, ...] = ()
    places: tuple[Shots, ...] = ()
    mark: Mark = Mark()
    points: tuple[PointsCut, ...] = ()
    floor: int | None = None
    over: int | None = None
    most: tuple[Decimal | None, ...] = ()
    lowest: Lowest | None = None
    rises: tuple[PointsRise, ...] = ()
    maximum: int | None = None
    expiry: Expiry = Expiry.NEVER
    months: tuple[int, ...] = ()
    fade: Decimal = Decimal(1)
    halves_up: bool = False
    guests: bool = False
    newcomers: bool = True
    among_members: bool = False
    pass_on: bool = False

    @property
    def changes_anything(self) -> bool:
        """Whether any size stands in them.

        >>> CutRules(places=((Decimal(0),),)).changes_anything
        False
        """
        sizes = [*self.places, *(cut.shots for cut in self.points)]
        sizes += [rise.shots for rise in self.rises]
        return self.lowest is not None or any(any(shots) for shots in sizes)

    def band_of(self, figure: Decimal) -> int:
        """The number of the band a handicap is in, the first is 0."""
        return bisect_left(self.bands, int(figure.to_integral_value(ROUND_FLOOR)))


@dataclass(frozen=True, slots=True)
class Placed:
    """One player with a place in a final result.

    `points`: the Stableford total, None in another game. `figure`: the handicap that would
    change. `newcomer`: too new to win, so not cut for a place. `maximum`: the highest figure
    this player may have, None for none.
    """

    player: str
    place: int
    points: int | None
    figure: Decimal
    guest: bool = False
    newcomer: bool = False
    maximum: int | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """A part of a change: so many shots, below zero a cut, up to and without `until`, if any."""

    shots: Decimal
    until: date | None


@dataclass(frozen=True, slots=True)
class Proposed:
    """What the rules make of one result for one player; no `steps`: the figure stays.

    `because`: the sentence that explains it, without a name.
    """

    player: str
    old: Decimal
    new: Decimal
    valid_from: date
    steps: tuple[Step, ...]
    because: str

    @property
    def shots(self) -> Decimal:
        """The change at the beginning: below zero a cut."""
        return self.new - self.old
