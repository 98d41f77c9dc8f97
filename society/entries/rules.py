"""The plain words of entries, and the draw: a pure function of the entries and a seed."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from itertools import islice
from typing import Any, Self

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
    """

    meal: str = ""
    diet: str = ""
    buggy: bool = False
    buggy_with: tuple[int, ...] = ()
    partners: tuple[int, ...] = ()
    earlier_or_later: str = ""


class DrawMethod(StrEnum):
    """How groups are made."""

    RANDOM = "random"
    HANDICAP = "handicap"


class DrawDeed(StrEnum):
    """What was done with a draw run after it was made."""

    PUBLISHED = "published"
    SWAPPED = "swapped"
    MOVED = "moved"
    UNDONE = "undone"
    WITHDRAWN = "withdrawn"


class FrozenReason(StrEnum):
    """Why a figure was frozen, or frozen anew: the reason class of a Frozen row."""

    TAKEN = "taken"
    LATE = "late entry"
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


# the draw ----------------------------------------------------------------------------------
#
# Chance is an order by digest: anyone with the seed and the keys of the entries can repeat a
# draw years later with any tool that knows SHA-256. Groups are tuples of entry keys; the number
# of a group is its place in the list, from 1, and stays when the group is emptied.

Group = tuple[str, ...]
Groups = tuple[Group, ...]

MOST_IN_A_GROUP = 4
DRAW_VERSION = 1  # of the method below; a change of a single rule makes it 2


@dataclass(frozen=True, slots=True)
class DrawInputs:
    """Everything a draw is made from.

    `figures`: what each entry plays off, by entry key (None: not known, comes last by handicap;
    not looked at when drawn at random). `first_minute`: minutes after midnight, None without tee
    times. `interval`: minutes between groups. Raises ValueError for what cannot be drawn.
    """

    method: DrawMethod
    seed: str
    group_size: int
    figures: Mapping[str, Decimal | None]
    first_minute: int | None = None
    interval: int = 0
    version: int = DRAW_VERSION

    def __post_init__(self) -> None:
        if self.version != DRAW_VERSION:
            raise ValueError(f"draw: version {self.version} is not known here")
        if not 2 <= self.group_size <= 4:
            raise ValueError("draw: groups are of two, three or four")
        if not self.seed:
            raise ValueError("draw: a seed is needed")
        if not self.figures:
            raise ValueError("draw: nobody to draw")

    def as_plain(self) -> dict[str, object]:
        """Plain values for canonical JSON, entries in order of their keys."""
        return {
            "entries": [
                {"key": key, "plays_off": self.figures[key]} for key in sorted(self.figures)
            ],
            "first_minute": self.first_minute,
            "group_size": self.group_size,
            "interval": self.interval,
            "method": self.method.value,
            "seed": self.seed,
            "version": self.version,
        }

    @classmethod
    def from_plain(cls, value: Mapping[str, Any]) -> Self:
        """The inputs as they were kept. KeyError or ValueError if something is not as written."""
        figures = {
            entry["key"]: None if entry["plays_off"] is None else Decimal(entry["plays_off"])
            for entry in value["entries"]
        }
        return cls(
            method=DrawMethod(value["method"]),
            seed=value["seed"],
            group_size=value["group_size"],
            figures=figures,
            first_minute=value["first_minute"],
            interval=value["interval"],
            version=value["version"],
        )


def lot(seed: str, key: str) -> str:
    """The lot an entry draws: SHA-256, in hexadecimal, of seed, slash and entry key.

    >>> lot("41207", "abc")[:8]
    'e833a2fb'
    """
    return hashlib.sha256(f"{seed}/{key}".encode()).hexdigest()


def group_sizes(players: int, group_size: int) -> list[int]:
    """How many play in each group: the smaller groups first, and nobody alone if two can play.

    Common practice, no source: threes go out before fours, since they play quicker; five who
    would play in fours go as a two and a three; the odd one of a draw in twos makes a three.

    >>> group_sizes(23, 4), group_sizes(21, 4), group_sizes(5, 4), group_sizes(7, 2)
    ([3, 4, 4, 4, 4, 4], [3, 3, 3, 4, 4, 4], [2, 3], [2, 2, 3])
    """
    if players <= group_size:
        return [players] if players else []
    if group_size == 2:
        pairs, odd = divmod(players, 2)
        return [2] * (pairs - odd) + [3] * odd
    groups = -(-players // group_size)
    short = groups * group_size - players
    if short > groups:
        return [2, 3]  # five in fours: the one number that threes and fours cannot make
    return [group_size - 1] * short + [group_size] * (groups - short)


def draw_groups(inputs: DrawInputs) -> Groups:
    """The groups, by lot or from the lowest handicap up; equal handicaps stand by lot.

    The same inputs give the same groups, in whatever order the entries are given.
    """

    def order(key: str) -> tuple[bool, Decimal, str]:
        figure = inputs.figures[key] if inputs.method is DrawMethod.HANDICAP else None
        return (figure is None, figure or Decimal(0), lot(inputs.seed, key))

    queue = iter(sorted(inputs.figures, key=order))
    sizes = group_sizes(len(inputs.figures), inputs.group_size)
    return tuple(tuple(islice(queue, size)) for size in sizes)


def draw_warnings(inputs: DrawInputs) -> list[str]:
    """What the organiser should know before publishing, in sentences.

    Intervals: common advice of the trade (ten minutes and more for threes and fours); no rule.
    """
    sizes = group_sizes(len(inputs.figures), inputs.group_size)
    said = []
    if 1 in sizes:
        said.append("One player alone has nobody to mark the card.")
    if inputs.group_size == 4 and 2 in sizes and len(sizes) > 1:
        said.append("Five players make a two and a three; a two may have to wait on the course.")
    if inputs.group_size == 2 and 3 in sizes:
        said.append("The number is odd, so one group is a three.")
    if inputs.first_minute is not None and max(sizes) > 2 and inputs.interval < 10:
        said.append(
            f"{inputs.interval} minutes is short for groups of {max(sizes)}; "
            "ten or more is the usual advice."
        )
    return said


def tee_minutes(inputs: DrawInputs, groups: int) -> list[int | None]:
    """Minutes after midnight at which each group starts, or None for each without tee times."""
    if inputs.first_minute is None:
        return [None] * groups
    return [inputs.first_minute + inputs.interval * number for number in range(groups)]


def markers(group: Sequence[str]) -> dict[str, str]:
    """Who marks each player's card: `{player: marker}`, everyone once in each part.

    Twos and fours swap cards in pairs; in a three each marks the next, in a ring. Somebody
    alone has no marker.

    >>> markers(("a", "b", "c"))
    {'b': 'a', 'c': 'b', 'a': 'c'}
    >>> markers(("a", "b", "c", "d"))
    {'a': 'b', 'b': 'a', 'c': 'd', 'd': 'c'}
    """
    if len(group) < 2:
        return {}
    in_pairs = len(group) - 3 * (len(group) % 2)
    found: dict[str, str] = {}
    for at in range(0, in_pairs, 2):
        one, other = group[at : at + 2]
        found |= {one: other, other: one}
    ring = group[in_pairs:]
    found |= {ring[(at + 1) % 3]: ring[at] for at in range(len(ring))}
    return found


@dataclass(frozen=True, slots=True)
class Change:
    """A change by hand, numbered within its draw.

    `swapped`: two entries change places. `moved`: one goes to the end of the group `to` (one
    past the last makes a new group), perhaps from no group at all, or leaves the draw (`to` is
    None). `undone`: as if the change with the
    number `undoes` had never been.
    """

    number: int
    kind: DrawDeed
    entries: Group = ()
    to: int | None = None
    undoes: int | None = None


def group_of(groups: Groups, key: str) -> int | None:
    """The number of the group an entry is in, from 1."""
    return next((number for number, group in enumerate(groups, 1) if key in group), None)


def groups_after(groups: Groups, changes: Iterable[Change]) -> Groups:
    """The groups as they stand after all changes by hand. ValueError if one cannot be made."""
    listed = list(changes)
    undone = {change.undoes for change in listed if change.kind is DrawDeed.UNDONE}
    for change in listed:
        if change.number in undone:
            continue
        if change.kind is DrawDeed.SWAPPED:
            groups = _swapped(groups, *change.entries)
        elif change.kind is DrawDeed.MOVED:
            groups = _moved(groups, change.entries[0], change.to)
    return groups


def _swapped(groups: Groups, one: str, other: str) -> Groups:
    if one == other or None in (group_of(groups, one), group_of(groups, other)):
        raise ValueError("draw: a swap takes two players who are in it")
    exchange = {one: other, other: one}
    return tuple(tuple(exchange.get(key, key) for key in group) for group in groups)


def _moved(groups: Groups, key: str, to: int | None) -> Groups:
    if to is not None and not 1 <= to <= len(groups) + 1:
        raise ValueError("draw: there is no such group")
    without = [tuple(other for other in group if other != key) for group in groups]
    if to == len(groups) + 1:
        without.append(())
    if to is not None:
        without[to - 1] += (key,)
    return tuple(without)


def reprints(before: Groups, after: Groups) -> set[str]:
    """The entries whose card reads differently: another group, marker, or card to mark."""
    was, now = _on_the_card(before), _on_the_card(after)
    return {key for key in now if now[key] != was.get(key)}


def _on_the_card(groups: Groups) -> dict[str, tuple[int, str | None, str | None]]:
    said: dict[str, tuple[int, str | None, str | None]] = {}
    for number, group in enumerate(groups, 1):
        marked_by = markers(group)
        marks = {marker: player for player, marker in marked_by.items()}
        said |= {key: (number, marked_by.get(key), marks.get(key)) for key in group}
    return said
