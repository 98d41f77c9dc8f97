"""The groups of a draw: their sizes, who marks whom, and what a change by hand does to them.

Groups are tuples of entry keys; the number of a group is its place in the list, from 1, and stays
when the group is emptied.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

Group = tuple[str, ...]
Groups = tuple[Group, ...]

MOST_IN_A_GROUP = 4


class DrawDeed(StrEnum):
    """What was done with a draw run after it was made."""

    PUBLISHED = "published"
    SWAPPED = "swapped"
    MOVED = "moved"
    UNDONE = "undone"
    WITHDRAWN = "withdrawn"


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
