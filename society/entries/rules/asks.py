"""What is asked of a draw besides its method, and whether it was met.

Officers say who starts in the first group, who plays together and who apart; guests play with their
hosts and those who share a buggy in one group; entries wish for a partner, or to start earlier or
later.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from society.entries.rules.groups import Groups, group_of
from society.entries.rules.starts import Opening


class AskKind(StrEnum):
    """What is asked. The order is that in which a draw gives way: the last ones first."""

    FIRST = "first"  # in the first group
    TOGETHER = "together"  # said by an officer
    APART = "apart"  # said by an officer
    HOST = "host"  # a guest with the host
    BUGGY = "buggy"  # two who share one
    PARTNER = "partner"  # wished for on an entry
    EARLIER = "earlier"
    LATER = "later"


WEIGHTS = {
    AskKind.FIRST: 40,
    AskKind.TOGETHER: 40,
    AskKind.APART: 40,
    AskKind.HOST: 12,
    AskKind.BUGGY: 12,
    AskKind.PARTNER: 3,
    AskKind.EARLIER: 1,
    AskKind.LATER: 1,
}
OF_ONE = frozenset({AskKind.FIRST, AskKind.EARLIER, AskKind.LATER})
OF_THE_HOUR = frozenset({AskKind.EARLIER, AskKind.LATER})


@dataclass(frozen=True, slots=True, order=True)
class Ask:
    """One thing asked for: of one entry, or of two (`one` is the guest, or whoever wished)."""

    kind: AskKind
    one: str
    other: str = ""

    def __post_init__(self) -> None:
        if not self.one or bool(self.other) is (self.kind in OF_ONE) or self.one == self.other:
            raise ValueError("draw: this asks of the wrong number of players")

    def as_plain(self) -> list[str]:
        """For canonical JSON."""
        return [self.kind.value, self.one, *([self.other] if self.other else [])]


def ask_from(value: Sequence[Any]) -> Ask:
    """An ask as it was kept."""
    return Ask(AskKind(value[0]), *value[1:])


def is_met(ask: Ask, groups: Groups, opening: Opening) -> bool | None:
    """Whether the groups do what was asked; None where it asks of nobody, or of no hour.

    Earlier is the first half of the start times, later the second; where all begin at one time
    there is no earlier and no later. None too once one of the two is in no group.
    """
    one = group_of(groups, ask.one)
    if one is None:
        return None
    if ask.kind is AskKind.FIRST:
        return one == 1
    if ask.kind in OF_THE_HOUR:
        return in_its_half(ask.kind, opening.waves(len(groups)), one - 1)
    other = group_of(groups, ask.other)
    if other is None:
        return None
    return (one == other) is (ask.kind is not AskKind.APART)


def in_its_half(kind: AskKind, waves: Sequence[int], at: int) -> bool | None:
    """Whether the group at this place starts early, or late, enough; None with one start time.

    >>> [in_its_half(AskKind.EARLIER, (0, 1, 2), at) for at in range(3)]
    [True, True, False]
    >>> [in_its_half(AskKind.LATER, (0, 0, 1, 1), at) for at in range(4)]
    [False, False, True, True]
    """
    count = waves[-1] + 1
    if count == 1:
        return None
    early = kind is AskKind.EARLIER
    return 2 * waves[at] < count if early else 2 * (waves[at] + 1) > count


def judged(asks: Iterable[Ask], groups: Groups, opening: Opening) -> list[tuple[Ask, bool | None]]:
    """Each ask with whether it is met."""
    return [(ask, is_met(ask, groups, opening)) for ask in asks]
