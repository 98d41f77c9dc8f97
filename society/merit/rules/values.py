"""The words of an order of merit: how a fixture earns points, what counts, how ties end.

Nothing here is set by a rule book; every society chooses, and the page says what it chose
(common practice, no source).

>>> MeritRules().best is None
True
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction


class PointsFrom(StrEnum):
    """Where season points come from."""

    PLACES = "places"  # by the place in the fixture
    TOTAL = "total"  # the Stableford total itself


class EventTies(StrEnum):
    """What those level on the day's total earn."""

    DIVIDE = "divide"  # add the points of their places and divide
    HIGHER = "higher"  # all get the higher points, and the next place is skipped
    NO_SKIP = "no skip"  # all get the higher points, and the next place is not skipped
    COUNTBACK = "countback"  # the countback of the day decides; who is level after it divides


class Guests(StrEnum):
    """What becomes of guests."""

    REMOVED = "removed"  # before points are given; members move up
    UNRANKED = "unranked"  # they keep what they made and stand in the table without a place


class Majors(StrEnum):
    """What makes a major worth more."""

    TIMES = "times"  # the points of the place, or the total, times a number
    OWN = "own table"  # points by place from a table of its own
    ADDED = "added table"  # points by place from a table of its own, on top of the usual ones


class NewMembers(StrEnum):
    """What becomes of who joined after the season began."""

    ALIKE = "alike"
    FROM_JOINING = "from joining"  # what they play from the day they joined
    PRO_RATA = "pro rata"  # the same, and the minimum falls with the fixtures left to them
    UNRANKED = "unranked"  # shown without a place in their first season


class Unpaid(StrEnum):
    """What becomes of members whose subscription of the season is neither paid nor excused."""

    COUNT = "count"  # nothing: they stand in the table as all do
    UNRANKED = "unranked"  # they keep what they made, and have no place until it is paid
    FROM_PAYMENT = "from payment"  # only what they play from the day it is paid
    LEFT_OUT = "left out"  # taken out before points are given, until it is paid


class SeasonTie(StrEnum):
    """One way of parting those level at the end; a table has them in an order of its own."""

    NEXT_BEST = "next best"  # the best score that did not count, then the next, if all have one
    BEST_SCORE = "best score"
    BEST_SCORES = "best scores"  # best, then second best, and so on
    HIGH_POINTS = "high points"  # most of the highest points of the season, then of the next
    MOST_WINS = "most wins"
    MOST_SECONDS = "most seconds"
    TOP_THREE = "top three"  # most finishes among the first three
    BEST_PLACES = "best places"  # most wins, then most seconds, and so on
    MOST_EVENTS = "most events"
    LAST_SCORES = "last scores"  # the last three scores that count, then two, then one
    LAST_BUT_ONE = "last but one"  # the last fixture but one
    LAST_EVENT = "last event"
    COMMITTEE = "committee"  # a decision on record
    LOTS = "lots"  # the order that was drawn, on record


DECIDED = (SeasonTie.COMMITTEE, SeasonTie.LOTS)


@dataclass(frozen=True, slots=True)
class MeritRules:
    """All that a table is worked out by.

    `table`: points of the first place, the second, and so on; `beyond`: of every later one.
    `last_place_full`: who ties for the last place that earns gets its points in full.
    `best`: how many scores count, None for all; `best_follows`: a cancelled fixture lowers it.
    `minimum`: fixtures that must be played to have a place. Whoever is level after
    `season_ties` shares the place.

    `weights`: what the points of a competition are multiplied by, by its public id; 1 for the
    rest. `majors`: those worth more, by `major_way`. `left_out`: those this table does not count.
    `turning_up` and the bonuses are added to the score of a day and not multiplied: `bonus_from`
    Stableford points or better earn `bonus_points`, each contest won `bonus_pin`, `bonus_drive`.
    `join_before_last`: who joins later than before the last so many fixtures has no place.
    `new_start`: points a new member starts on. `division`: only those in it, empty for all.
    """

    points: PointsFrom = PointsFrom.PLACES
    table: tuple[int, ...] = (25, 18, 15, 12, 10, 8, 6, 4, 2)
    beyond: int = 1
    event_ties: EventTies = EventTies.DIVIDE
    guests: Guests = Guests.REMOVED
    best: int | None = None
    best_follows: bool = False
    minimum: int = 0
    season_ties: tuple[SeasonTie, ...] = (
        SeasonTie.NEXT_BEST,
        SeasonTie.BEST_SCORE,
        SeasonTie.MOST_WINS,
        SeasonTie.LAST_EVENT,
    )
    last_place_full: bool = False
    weights: tuple[tuple[str, Fraction], ...] = ()
    majors: tuple[str, ...] = ()
    major_way: Majors = Majors.TIMES
    major_weight: Fraction = Fraction(2)
    major_table: tuple[int, ...] = ()
    left_out: tuple[str, ...] = ()
    turning_up: Fraction = Fraction(0)
    bonus_from: int | None = None
    bonus_points: Fraction = Fraction(0)
    bonus_pin: Fraction = Fraction(0)
    bonus_drive: Fraction = Fraction(0)
    new_members: NewMembers = NewMembers.ALIKE
    join_before_last: int = 0
    new_start: Fraction = Fraction(0)
    unpaid: Unpaid = Unpaid.COUNT
    division: str = ""

    def weight_of(self, key: str) -> Fraction:
        """What the points of a competition are multiplied by."""
        own = dict(self.weights).get(key, Fraction(1))
        if key in self.majors and self.major_way is Majors.TIMES:
            return own * self.major_weight
        return own


@dataclass(frozen=True, slots=True)
class Finish:
    """One player in one final result: the place after countback, and the day's total.

    `pins`, `drives`: side contests won that day. `divisions`: those the player stood in.
    """

    player: str
    member: bool
    place: int
    total: int
    pins: int = 0
    drives: int = 0
    divisions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Event:
    """One final result as far as a season needs it; those without a place are left out."""

    key: str
    finishes: tuple[Finish, ...]
    stableford: bool = True
    day: date = date.min


@dataclass(frozen=True, slots=True)
class Earned:
    """What one finish is worth: points, and the place it was given them for, 0 if not known.

    `extra`: how much of the points is for turning up and bonuses.
    """

    points: Fraction
    place: int
    extra: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Person:
    """What the rules ask about a member: `paid_on` None while the subscription is open."""

    joined_on: date | None = None
    paid_on: date | None = None


@dataclass(frozen=True, slots=True)
class Decision:
    """How those level at the end were parted outside their scores, first first."""

    way: SeasonTie
    players: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """What a season knows besides its results.

    `days`: of every fixture of the table that is not cancelled, played or to come, in order.
    `cancelled`: how many were lost. `people` by player; who is not in it joined long ago.
    `given`: what the committee gave or took in points, by player, all reasons together.
    """

    cancelled: int = 0
    starts_on: date = date.min
    days: tuple[date, ...] = ()
    people: Mapping[str, Person] = field(default_factory=dict)
    decisions: tuple[Decision, ...] = ()
    given: Mapping[str, Fraction] = field(default_factory=dict)

    def person(self, player: str) -> Person:
        """What is known of a player."""
        return self.people.get(player, Person())

    def is_new(self, player: str) -> bool:
        """Whether the player joined after the season began."""
        joined = self.person(player).joined_on
        return joined is not None and joined > self.starts_on
