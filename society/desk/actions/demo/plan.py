"""What is known of a fixture beforehand, and who comes to it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import time

from society.entries.actions.competing import Contest
from society.entries.rules.draw import DrawMethod
from society.fixtures.rules import GuestPlaces, StartKind


@dataclass(frozen=True, slots=True)
class Guest:
    """Someone a member brings: stated handicap and all."""

    name: str
    category: str
    value: str
    host: str


@dataclass(frozen=True, slots=True)
class Prize:
    """A side contest on a hole, and who wins it."""

    kind: str  # pin or drive
    hole: int
    winner: str
    distance: str = ""
    category: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is known of a fixture beforehand. `days`: before (below zero) or after today.

    `misread`: whose paper card is typed with a wrong figure, found out three days later.
    `bands`: the highest handicap of each division but the last. `also`: further competitions.
    `in_twos`: who is in them; nobody named: two of three, by chance. `stake` in minor units.
    """

    name: str
    course: str
    days: int
    terms: str  # the key of a preset
    tees: Mapping[str, str]
    players: int
    places: int = 28
    guests: Sequence[Guest] = ()
    withdraws: Sequence[str] = ()
    leaves_late: str = ""
    absent: str = ""
    no_card: str = ""
    misread: str = ""
    always: Sequence[str] = ()
    stays_out: Sequence[str] = ()
    about: str = ""
    swaps_for: str = ""
    # what is asked of whoever enters, and how places are given out
    asks: Sequence[str] = ()
    meals: Sequence[str] = ()
    guest_places: GuestPlaces = GuestPlaces.ALIKE
    offer_until: time | None = None
    free_days: int = 0  # before the day; 0: until entries close
    late_words: str = ""
    # the draw
    method: DrawMethod = DrawMethod.RANDOM
    back: int = 0
    first: str = ""
    start: StartKind | None = None
    # what is played for
    bands: Sequence[int] = ()
    also: Sequence[Contest] = ()
    stake: int | None = None
    in_twos: Sequence[str] = ()
    prizes: Sequence[Prize] = ()

    @property
    def seed(self) -> str:
        """What chance goes by: the fixture of that name has another one next year."""
        return self.name if self.days > -200 else f"{self.name}, last year"

    @property
    def named(self) -> set[str]:
        """Everybody the story cannot do without."""
        one_by_one = {self.leaves_late, self.absent, self.no_card, self.misread, self.first}
        winners = {prize.winner for prize in self.prizes}
        hosts = {guest.host for guest in self.guests}
        several = {*self.always, *self.withdraws, *self.in_twos}
        return (one_by_one | winners | hosts | several) - {""}
