"""The words of an order of merit: how a fixture earns points, what counts, how ties end.

Nothing here is set by a rule book; every society chooses, and the page says what it chose
(common practice, no source).

>>> MeritRules().best is None
True
"""

from dataclasses import dataclass
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


class SeasonTie(StrEnum):
    """One way of parting those level at the end; a table has them in an order of its own."""

    NEXT_BEST = "next best"  # the best score that did not count, then the next, if all have one
    BEST_SCORE = "best score"
    BEST_SCORES = "best scores"  # best, then second best, and so on
    MOST_WINS = "most wins"
    MOST_EVENTS = "most events"
    LAST_EVENT = "last event"


@dataclass(frozen=True, slots=True)
class MeritRules:
    """All that a table is worked out by.

    `table`: points of the first place, the second, and so on; `beyond`: of every later one.
    `best`: how many scores count, None for all; `best_follows`: a cancelled fixture lowers it.
    `minimum`: fixtures that must be played to have a place. Whoever is level after
    `season_ties` shares the place.
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


@dataclass(frozen=True, slots=True)
class Finish:
    """One player in one final result: the place after countback, and the day's total."""

    player: str
    member: bool
    place: int
    total: int


@dataclass(frozen=True, slots=True)
class Event:
    """One final result as far as a season needs it; those without a place are left out."""

    key: str
    finishes: tuple[Finish, ...]
    stableford: bool = True


@dataclass(frozen=True, slots=True)
class Earned:
    """What one finish is worth: points, and the place it was given them for."""

    points: Fraction
    place: int
