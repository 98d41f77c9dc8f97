"""Groups of least cost, found by exchanging players two at a time; no golf in it.

Players are numbers from 0. `home[p]` is the group of a player. A cost is a whole number made of
costs of pairs in one group, of players in a group, and of how far the groups' loads lie apart.
Chance is the digest of a seed: the same call gives the same groups on any machine.
"""

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

Matrix = list[list[int]]

_KICK = 3  # exchanges by chance when no exchange is for the better
_SLACK = 3  # how much worse than the best the search may wander, in units of `step`
_RETURN = 30  # after so many kicks it goes back to the best
_ENOUGH = 200  # after so many kicks without anything better it ends


@dataclass(frozen=True, slots=True)
class Costs:
    """What groups cost.

    `pair[p][q]`: of two in one group, may be below nought. `place[p][g]`: of a player in a group.
    `load[p]` and `due[g]`: squares of the differences between the sums of load and what is due.
    `base`: added to all of it. Nought is never undercut, so the search ends there.
    """

    pair: Matrix
    place: Matrix | None = None
    load: Sequence[int] | None = None
    due: Sequence[int] = ()
    base: int = 0
    step: int = 1

    def of(self, home: Sequence[int]) -> int:
        """The whole cost, reckoned plainly."""
        people = range(len(home))
        cost = self.base + sum(
            self.pair[p][q] for p in people for q in range(p) if home[p] == home[q]
        )
        if self.place is not None:
            cost += sum(self.place[p][home[p]] for p in people)
        if self.load is not None:
            sums = list(self.due)
            for p in people:
                sums[home[p]] -= self.load[p]
            cost += sum(gap * gap for gap in sums)
        return cost


def chances(seed: str) -> Iterator[int]:
    """Whole numbers by chance: each digest of seed, slash and a count gives eight."""
    count = 0
    while True:
        digest = hashlib.sha256(f"{seed}/{count}".encode()).digest()
        count += 1
        for at in range(0, 32, 4):
            yield int.from_bytes(digest[at : at + 4], "big")


def settled(costs: Costs, home: Sequence[int], *, groups: int, seed: str, budget: int) -> list[int]:
    """Homes of least cost that were found from `home`, which keeps the sizes of the groups.

    `budget`: how many exchanges are looked at, about. Where nothing is for the better at once the
    homes come back as they were.
    """
    return _Search(costs, list(home), groups).run(chances(seed), budget)


@dataclass(slots=True)
class _Search:
    costs: Costs
    home: list[int]
    groups: int
    with_group: Matrix = field(init=False)  # what a player's pairs with all of a group cost
    gaps: list[int] = field(init=False)
    looked_at: int = field(init=False, default=0)
    never_below: bool = field(init=False)

    def __post_init__(self) -> None:
        self.never_below = all(min(row) >= 0 for row in self.costs.pair)
        self._reckon()

    def _reckon(self) -> None:
        people = range(len(self.home))
        self.with_group = [[0] * self.groups for _ in people]
        for p in people:
            row, pairs = self.with_group[p], self.costs.pair[p]
            for q in people:
                row[self.home[q]] += pairs[q]
        self.gaps = list(self.costs.due)
        if self.costs.load is not None:
            for p in people:
                self.gaps[self.home[p]] -= self.costs.load[p]

    def run(self, chance: Iterator[int], budget: int) -> list[int]:
        cost = self._descend(self.costs.of(self.home))
        best, best_home, kicks, since = cost, list(self.home), 0, 0
        people = len(self.home)
        slack = _SLACK * self.costs.step
        while best > 0 and self.looked_at < budget and since < _ENOUGH:
            kicks += 1
            since += 1
            self.looked_at += _KICK
            for _ in range(_KICK):
                p, q = next(chance) % people, next(chance) % people
                if self.home[p] != self.home[q]:
                    cost += self._gain(p, q)
                    self._exchange(p, q)
            cost = self._descend(cost)
            if cost < best:
                best, best_home, since = cost, list(self.home), 0
            elif cost > best + slack or kicks % _RETURN == 0:
                self.home[:] = best_home
                self._reckon()
                cost = best
        return best_home

    def _descend(self, cost: int) -> int:
        """Take for each player in turn the exchange that saves most, until none saves."""
        plain = self.costs.place is None and self.costs.load is None
        look: Callable[[int], tuple[int, int]] = self._best_of_pairs if plain else self._best
        better = True
        while better and cost > 0:
            better = False
            for p in range(len(self.home)):
                saved, q = look(p)
                if saved < 0:
                    self._exchange(p, q)
                    cost += saved
                    better = True
        return cost

    def _best_of_pairs(self, p: int) -> tuple[int, int]:
        """`_best` where only pairs cost: the quick way, since most of the time is spent here."""
        home, with_group = self.home, self.with_group
        mine, here, pairs = with_group[p], home[p], self.costs.pair[p]
        own = mine[here]
        found, best = -1, 0
        if own == 0 and self.never_below:
            return best, found  # costs nothing where it is: an exchange is for others to find
        for q, there in enumerate(home):
            if there != here:
                theirs = with_group[q]
                gain = mine[there] - own + theirs[here] - theirs[there] - 2 * pairs[q]
                if gain < best:
                    found, best = q, gain
        self.looked_at += len(home)
        return best, found

    def _best(self, p: int) -> tuple[int, int]:
        found, best = -1, 0
        here = self.home[p]
        for q, there in enumerate(self.home):
            if there != here and (gain := self._gain(p, q)) < best:
                found, best = q, gain
        self.looked_at += len(self.home)
        return best, found

    def _gain(self, p: int, q: int) -> int:
        """What the exchange of two in different groups adds to the cost."""
        here, there = self.home[p], self.home[q]
        mine, theirs = self.with_group[p], self.with_group[q]
        gain = mine[there] - mine[here] + theirs[here] - theirs[there] - 2 * self.costs.pair[p][q]
        place, load = self.costs.place, self.costs.load
        if place is not None:
            gain += place[p][there] - place[p][here] + place[q][here] - place[q][there]
        if load is not None:
            moved = load[p] - load[q]
            gain += 2 * moved * (moved + self.gaps[here] - self.gaps[there])
        return gain

    def _exchange(self, p: int, q: int) -> None:
        here, there = self.home[p], self.home[q]
        self.home[p], self.home[q] = there, here
        for row, one, other in zip(
            self.with_group, self.costs.pair[p], self.costs.pair[q], strict=True
        ):
            if one != other:
                row[here] += other - one
                row[there] += one - other
        if self.costs.load is not None:
            moved = self.costs.load[p] - self.costs.load[q]
            self.gaps[here] += moved
            self.gaps[there] -= moved
