"""The words the rules speak in: enums, distinct number types and the parts of an event.

Plain frozen values. They carry no rules; the readers in `terms`, `event` and `rulings` make
sure that only possible values are built, and say where a document is wrong.

>>> HoleRange("10-18", 10, 18).holes
9
>>> Format.STABLEFORD.value
'stableford'
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from typing import NewType

HoleNumber = NewType("HoleNumber", int)
StrokeIndex = NewType("StrokeIndex", int)
Gross = NewType("Gross", int)
Net = NewType("Net", int)
Points = NewType("Points", int)
HandicapIndex = NewType("HandicapIndex", Fraction)
CourseHandicap = NewType("CourseHandicap", Fraction)
PlayingHandicap = NewType("PlayingHandicap", int)
Card = tuple[Gross | None, ...]


class Format(StrEnum):
    """Every format the event document can name; the first five are individual."""

    STABLEFORD = "stableford"
    MODIFIED_STABLEFORD = "modified_stableford"
    MEDAL = "medal"
    PAR = "par"
    MAXIMUM_SCORE = "maximum_score"
    FOUR_BALL = "four_ball"
    BEST_OF = "best_of"
    AGGREGATE = "aggregate"
    FOURSOMES = "foursomes"
    GREENSOMES = "greensomes"
    CHAPMAN = "chapman"
    SCRAMBLE = "scramble"


INDIVIDUAL = (
    Format.STABLEFORD,
    Format.MODIFIED_STABLEFORD,
    Format.MEDAL,
    Format.PAR,
    Format.MAXIMUM_SCORE,
)
OWN_BALL = (Format.FOUR_BALL, Format.BEST_OF, Format.AGGREGATE)
ONE_BALL = (Format.FOURSOMES, Format.GREENSOMES, Format.CHAPMAN, Format.SCRAMBLE)
STROKE_TOTALS = (Format.MEDAL, Format.MAXIMUM_SCORE)


class Basis(StrEnum):
    """Net: handicap strokes count. Gross: no handicap is worked out."""

    NET = "net"
    GROSS = "gross"


class Category(StrEnum):
    """The category a Course Rating and a Slope Rating are made for."""

    MEN = "men"
    WOMEN = "women"


class HandicapKind(StrEnum):
    """What a player brings: to be converted, to be given the allowance, or ready."""

    INDEX = "index"
    COURSE = "course"
    PLAYING = "playing"


class Share(StrEnum):
    """How a handicap taken off a total is shared out to a range of holes."""

    EXACT = "exact"
    ROUNDED = "rounded"
    BY_STROKE_INDEX = "by_stroke_index"


class CountbackHoles(StrEnum):
    """What the numbers of a range mean: holes of the card, or holes in the order played."""

    CARD = "card"
    PLAYED = "played"


class AfterCountback(StrEnum):
    """What happens when every range is level."""

    SHARE = "share"
    LOWER_HANDICAP = "lower_handicap"


class MaximumKind(StrEnum):
    """How the maximum of a hole is set in maximum score."""

    NET_DOUBLE_BOGEY = "net_double_bogey"
    OVER_PAR = "over_par"
    FIXED = "fixed"
    TIMES_PAR = "times_par"


class RulingKind(StrEnum):
    """What a committee decided."""

    PENALTY = "penalty"
    POINTS_OFF = "points_off"
    DISQUALIFIED = "disqualified"
    WITHDRAWN = "withdrawn"
    NO_RETURN = "no_return"
    ORDER = "order"


STATUS_KINDS = (RulingKind.DISQUALIFIED, RulingKind.WITHDRAWN, RulingKind.NO_RETURN)


@dataclass(frozen=True, slots=True)
class HoleRange:
    """One countback range, first and last hole included, as written in the terms."""

    label: str
    first: int
    last: int

    @property
    def holes(self) -> int:
        """How many holes the range has."""
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class HoleMaximum:
    """The maximum of a hole; `number` is strokes, or times, and 0 for net double bogey."""

    kind: MaximumKind
    number: int


@dataclass(frozen=True, slots=True)
class PointsTable:
    """Points by net score less par from `low` upwards, and for no score."""

    low: int
    points: tuple[int, ...]
    none: int


@dataclass(frozen=True, slots=True)
class Terms:
    """The terms of one competition, defaults filled in.

    `scoring` is how a hole is scored, for individual formats the format itself. `allowance` is
    percent, and 100 where nothing goes by it: one-ball sides have `shares`, lowest handicap
    first (None: the recommended ones by size of the side), and a best-of that leaves it out
    (`allowance_open`) gets the one that suits its sides. `best` has a count for each hole,
    best-of only.
    """

    format: Format
    scoring: Format
    basis: Basis
    allowance: Fraction
    allowance_open: bool
    shares: tuple[Fraction, ...] | None
    best: tuple[int, ...] | None
    one_best: bool
    maximum_playing_handicap: int | None
    maximum_hole_score: HoleMaximum | None
    points: PointsTable | None
    countback: tuple[HoleRange, ...]
    countback_holes: CountbackHoles
    handicap_share: Share
    after_countback: AfterCountback
    different_par: bool
    reference_par: int | None

    @property
    def net(self) -> bool:
        """Whether handicap strokes count."""
        return self.basis is Basis.NET

    @property
    def stroke_total(self) -> bool:
        """Whether strokes are totalled: fewest win, and Rule 6.2b applies."""
        return self.scoring in STROKE_TOTALS

    @property
    def off_the_total(self) -> bool:
        """Whether the handicap comes off the total; own-ball sides have it on the holes."""
        return self.net and self.stroke_total and self.format not in OWN_BALL


@dataclass(frozen=True, slots=True)
class Tee:
    """Par and stroke index by hole, and the ratings of these holes where there are any."""

    key: str
    par: tuple[int, ...]
    stroke_index: tuple[int, ...]
    course_rating: Fraction | None
    slope_rating: int | None
    total_par: int


@dataclass(frozen=True, slots=True)
class Handicap:
    """What a player brings."""

    kind: HandicapKind
    value: Fraction


@dataclass(frozen=True, slots=True)
class Player:
    """One player of an event."""

    key: str
    name: str
    tee: Tee
    handicap: Handicap | None
    divisions: frozenset[str]
    first_hole: int


@dataclass(frozen=True, slots=True)
class Side:
    """Players who are scored together, in the order they are named."""

    key: str
    members: tuple[Player, ...]


@dataclass(frozen=True, slots=True)
class Ruling:
    """One ruling; the fields its kind does not use are empty. `at` is its place in the list."""

    at: int
    kind: RulingKind
    player: str = ""
    side: str = ""
    hole: HoleNumber = HoleNumber(0)
    strokes: int = 0
    points: int = 0
    order: tuple[str, ...] = ()
    rule: str | None = None
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """A whole event document, read and checked. Cards hold None for a hole without a score."""

    name: str
    on: date
    holes: int
    terms: Terms
    tees: Mapping[str, Tee]
    players: Mapping[str, Player]
    sides: Mapping[str, Side]
    cards: Mapping[str, Card]
    rulings: tuple[Ruling, ...]
