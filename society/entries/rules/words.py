"""The plain words of entries: comings and goings, who gets a place, what was wished for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from society.fixtures.rules import GuestPlaces


class Step(StrEnum):
    """One coming or going of an entry."""

    ENTERED = "entered"  # has a place
    WAITING = "waiting"  # on the waiting list
    OFFERED = "offered"  # may take a place until an hour
    TAKEN = "taken"  # took the offered or freed place
    LAPSED = "lapsed"  # let an offer pass
    BUMPED = "bumped"  # gave a place up to a member
    WITHDRAWN = "withdrawn"
    ABSENT = "absent"  # did not turn up


IN = frozenset({Step.ENTERED, Step.TAKEN})
QUEUING = frozenset({Step.WAITING, Step.OFFERED, Step.BUMPED})
OUT = frozenset({Step.LAPSED, Step.WITHDRAWN, Step.ABSENT})


class Placing(StrEnum):
    """What becomes of whoever enters now."""

    PLACE = "place"
    BUMP = "bump"  # a place, and the guest who entered last waits instead
    WAIT = "wait"


@dataclass(frozen=True, slots=True)
class Crowd:
    """Who has the places of a fixture and who wants them, in numbers.

    `limit`: None for no limit. `held`: places taken, or kept for somebody who has an offer.
    """

    limit: int | None
    held: int
    guests_in: int
    members_waiting: int
    guests_waiting: int


def placing(
    crowd: Crowd, *, as_member: bool, guest_places: GuestPlaces, before_closing: bool
) -> Placing:
    """Whether a newcomer gets a place. Nobody passes those who wait, except members guests.

    >>> full = Crowd(limit=24, held=24, guests_in=3, members_waiting=0, guests_waiting=0)
    >>> placing(full, as_member=True, guest_places=GuestPlaces.BEHIND, before_closing=True).value
    'bump'
    >>> placing(full, as_member=True, guest_places=GuestPlaces.BEHIND, before_closing=False).value
    'wait'
    """
    first = before_closing and guest_places is not GuestPlaces.ALIKE
    if first and not as_member and guest_places is GuestPlaces.WAIT:
        return Placing.WAIT
    ahead = crowd.members_waiting + (0 if first and as_member else crowd.guests_waiting)
    if crowd.limit is None or crowd.held + ahead < crowd.limit:
        return Placing.PLACE
    bumps = first and as_member and guest_places is GuestPlaces.BEHIND
    return Placing.BUMP if bumps and crowd.guests_in and not ahead else Placing.WAIT


def in_line(
    are_members: Sequence[bool], *, guest_places: GuestPlaces, before_closing: bool
) -> list[int]:
    """Who is next, of those waiting in this order: their positions, the first one first.

    Where members come before guests a free place goes to the first waiting member, and only
    then to a guest; guests who wait until closing are not in line before.

    >>> in_line([False, True], guest_places=GuestPlaces.BEHIND, before_closing=True)
    [1, 0]
    """
    every = range(len(are_members))
    if guest_places is GuestPlaces.BEHIND:
        return sorted(every, key=lambda at: not are_members[at])
    if guest_places is GuestPlaces.WAIT and before_closing:
        return [at for at in every if are_members[at]]
    return list(every)


class PaperShape(StrEnum):
    """On what a player's card is printed."""

    CARD = "card"
    SLIP = "slip"
    LABEL = "label"


class TimeWish(StrEnum):
    """When someone would rather start."""

    EARLIER = "earlier"
    LATER = "later"


@dataclass(frozen=True, slots=True)
class Wishes:
    """What an entry asked for besides a place.

    `meal`: the dish, "yes" where there is no choice, empty for none. `buggy_with` and
    `partners`: ids of entries in the field; a shared buggy is named on both sides, a wish for a
    partner only on the side of whoever wished. `earlier_or_later`: "earlier", "later" or empty.
    `answered`: whether anybody was asked at all.
    """

    meal: str = ""
    diet: str = ""
    buggy: bool = False
    buggy_with: tuple[int, ...] = ()
    partners: tuple[int, ...] = ()
    earlier_or_later: str = ""
    answered: bool = False


class FrozenReason(StrEnum):
    """Why a figure was frozen, or frozen anew: the reason class of a Frozen row."""

    TAKEN = "taken"
    LATE = "late entry"
    BROUGHT_IN = "brought in"  # with a day that was scored elsewhere
    NONE_NEEDED = "none needed"  # gross play: no handicap, none asked for
    WRONG_HANDICAP = "wrong handicap"
    WRONG_TEE = "wrong tee"
    TEE_CHANGED = "tee changed"


CORRECTIONS = (FrozenReason.WRONG_HANDICAP, FrozenReason.WRONG_TEE, FrozenReason.TEE_CHANGED)


def listed(names: Iterable[str]) -> str:
    """Several names on one line.

    >>> listed(["Ida", "Lottie", "Wilf"])
    'Ida, Lottie and Wilf'
    """
    several = list(names)
    if len(several) < 2:
        return "".join(several)
    return f"{', '.join(several[:-1])} and {several[-1]}"
