"""The twos pot: who shares it, what each two pays, what goes on to the next event.

A two is a hole done in two strokes gross, penalty strokes counted; a hole in one is one too. Each
two by a player who is in the pot is one share, and a pot that nobody shares goes on whole. Common
practice, no source. Money is whole minor units: what does not divide goes on as well.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scoring.rules.strict_json import canonical, read_json


@dataclass(frozen=True, slots=True)
class Share:
    """One player's twos: on which holes, and what they pay."""

    key: str
    holes: tuple[int, ...]
    amount: int


@dataclass(frozen=True, slots=True)
class Pot:
    """A pot as it is shared. All money in whole minor units.

    `brought`: what came over from the fixture `source` (empty: none). `each`: what one two pays.
    `onward`: what goes to the next event, the whole pot where there is no good two.
    """

    stake: int
    players: tuple[str, ...]
    brought: int
    source: str
    shares: tuple[Share, ...]
    ignored: tuple[Share, ...]

    @property
    def total(self) -> int:
        """Stakes and what was brought over."""
        return self.stake * len(self.players) + self.brought

    @property
    def count(self) -> int:
        """How many good twos there are."""
        return sum(len(share.holes) for share in self.shares)

    @property
    def each(self) -> int:
        """What one two pays; nothing where there is none."""
        return self.total // self.count if self.count else 0

    @property
    def onward(self) -> int:
        """What goes on to the next event."""
        return self.total - self.each * self.count


def is_two(strokes: int | None) -> bool:
    """Whether a hole done in so many strokes, penalties counted, is a two.

    >>> [is_two(strokes) for strokes in (1, 2, 3, None)]
    [True, True, False, False]
    """
    return strokes is not None and strokes <= 2


def share_pot(
    *,
    stake: int,
    players: Sequence[str],
    twos: Mapping[str, Sequence[int]],
    brought: int = 0,
    source: str = "",
) -> Pot:
    """Share a pot. `players`: who is in it; `twos`: the holes of each player's twos."""
    inside = set(players)
    pot = Pot(stake, tuple(sorted(inside)), brought, source, (), ())
    made = {key: tuple(sorted(holes)) for key, holes in sorted(twos.items()) if holes}
    count = sum(len(holes) for key, holes in made.items() if key in inside)
    each = pot.total // count if count else 0
    return Pot(
        stake=stake,
        players=pot.players,
        brought=brought,
        source=source,
        shares=tuple(Share(k, h, each * len(h)) for k, h in made.items() if k in inside),
        ignored=tuple(Share(k, h, 0) for k, h in made.items() if k not in inside),
    )


def pot_text(pot: Pot) -> str:
    """Canonical JSON of a pot: what it was made from and what came out."""
    return canonical(
        {
            "brought": pot.brought,
            "each": pot.each,
            "ignored": {share.key: list(share.holes) for share in pot.ignored},
            "onward": pot.onward,
            "players": list(pot.players),
            "source": pot.source,
            "stake": pot.stake,
            "total": pot.total,
            "twos": {share.key: list(share.holes) for share in pot.shares},
        }
    )


def pot_of(text: str) -> Pot:
    """The pot that a text says, shared again from what it was made from.

    Raises ValueError where the sums it carries are not those.
    """
    said = read_json(text)
    if not isinstance(said, dict):
        raise ValueError("a pot is an object")
    pot = share_pot(
        stake=said["stake"],
        players=said["players"],
        twos={**said["twos"], **said["ignored"]},
        brought=said["brought"],
        source=said["source"],
    )
    if pot_text(pot) != canonical(said):
        raise ValueError("the pot does not add up")
    return pot
