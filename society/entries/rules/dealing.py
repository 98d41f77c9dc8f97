"""The groups of a draw, made from its inputs alone.

Every method begins with an order of the entries. What is asked, and who has played with whom, is
then reached by exchanging two players at a time (`search`), which takes its chance from digests of
the same seed.
"""

from collections.abc import Sequence
from decimal import Decimal
from itertools import combinations

from society.entries.rules.asks import OF_ONE, WEIGHTS, AskKind, in_its_half
from society.entries.rules.draw import BY_FIGURE, EVEN, IN_ORDER, DrawInputs, DrawMethod, lot
from society.entries.rules.groups import Groups
from society.entries.rules.search import Costs, Matrix, settled


def draw_groups(inputs: DrawInputs) -> Groups:
    """The groups. The same inputs give the same groups, in whatever order the entries are given."""
    queue = _queue(inputs, inputs.seed)
    if inputs.method is DrawMethod.MIXED and any(inputs.past):
        home = _mixed(inputs, queue)
    else:
        home = _home(inputs, queue)
        costs = _costs(inputs, queue, home)
        if costs is not None:
            home = settled(costs, home, groups=len(inputs.sizes), seed=inputs.seed, budget=_BUDGET)
    return _as_groups(queue, home, len(inputs.sizes))


def _as_groups(queue: Sequence[str], home: Sequence[int], groups: int) -> Groups:
    found: list[list[str]] = [[] for _ in range(groups)]
    for key, at in zip(queue, home, strict=True):
        found[at].append(key)
    return tuple(tuple(group) for group in found)


# where everybody begins --------------------------------------------------------------------


def _queue(inputs: DrawInputs, seed: str) -> list[str]:
    """The entries in the order they are dealt out: by lot, by figure, or the leaders last."""

    def order(key: str) -> tuple[bool, Decimal, str]:
        figure: Decimal | None = Decimal(0)
        if inputs.method in BY_FIGURE:
            figure = inputs.figures[key]
        elif inputs.method is DrawMethod.LEADERS:
            place = (inputs.standing or {}).get(key)
            figure = Decimal(-1_000_000) if place is None else Decimal(-place)
        return (figure is None, figure or Decimal(0), lot(seed, key))

    return sorted(inputs.figures, key=order)


def _home(inputs: DrawInputs, queue: Sequence[str]) -> list[int]:
    """The group of each of the queue before anything is exchanged."""
    if inputs.method is DrawMethod.SNAKE:
        return _snake(inputs.sizes)
    if inputs.method is DrawMethod.BALANCED:
        return _by_parts(inputs, queue)
    return [at for at, size in enumerate(inputs.sizes) for _ in range(size)]


def _snake(sizes: Sequence[int]) -> list[int]:
    """To and fro through the groups, those that are full left out.

    >>> _snake([2, 2, 2])
    [0, 1, 2, 2, 1, 0]
    >>> _snake([2, 3, 3])
    [0, 1, 2, 2, 1, 0, 1, 2]
    """
    home: list[int] = []
    for row in range(max(sizes)):
        open_ = [at for at, size in enumerate(sizes) if size > row]
        home += reversed(open_) if row % 2 else open_
    return home


def _parts(inputs: DrawInputs, queue: Sequence[str]) -> list[int]:
    """The part of the field each of the queue is in: the lowest handicaps are part 0."""
    ends = [sum(size > row for size in inputs.sizes) for row in range(max(inputs.sizes))]
    return [part for part, count in enumerate(ends) for _ in range(count)]


def _by_parts(inputs: DrawInputs, queue: Sequence[str]) -> list[int]:
    """One of each part in each group, by lot within the part."""
    parts = _parts(inputs, queue)
    home = [0] * len(queue)
    for part in range(max(inputs.sizes)):
        open_ = [at for at, size in enumerate(inputs.sizes) if size > part]
        members = [n for n, found in enumerate(parts) if found == part]
        members.sort(key=lambda n: lot(inputs.seed, queue[n]))
        for n, at in zip(members, open_, strict=True):
            home[n] = at
    return home


# what groups cost --------------------------------------------------------------------------

_ASKED = 10**7  # one ask of weight 1 left unmet, against whatever else is costed
_PART = 10**5  # two of one part in one group, in a balanced draw
_MET = 4  # one meeting; the latest fixture costs one more, so that it goes first
_BUDGET = 150_000  # exchanges looked at; about a fifth of a second for twenty-four


def _meetings(inputs: DrawInputs, queue: Sequence[str]) -> Matrix:
    at = {key: n for n, key in enumerate(queue)}
    pair = [[0] * len(queue) for _ in queue]
    for both, when in inputs.met.items():
        one, other = (at[key] for key in both)
        pair[one][other] = pair[other][one] = _MET * len(when) + (0 in when)
    return pair


def _add_asks(inputs: DrawInputs, queue: Sequence[str], pair: Matrix, unit: int) -> int:
    """Put what is asked of two into the costs of pairs; what is to be added to the whole."""
    at = {key: n for n, key in enumerate(queue)}
    base = 0
    for ask in inputs.asks:
        if ask.kind in OF_ONE:
            continue
        cost = WEIGHTS[ask.kind] * unit
        if ask.kind is not AskKind.APART:
            base, cost = base + cost, -cost
        one, other = at[ask.one], at[ask.other]
        pair[one][other] += cost
        pair[other][one] += cost
    return base


def _places(inputs: DrawInputs, queue: Sequence[str], home: Sequence[int]) -> Matrix | None:
    """What it costs to start in a group: asks of the hour, and the way from one's own place."""
    single = [ask for ask in inputs.asks if ask.kind in OF_ONE]
    in_order = inputs.method in IN_ORDER
    if not single and not in_order:
        return None
    groups = range(len(inputs.sizes))
    place = [[(g - own) ** 2 if in_order else 0 for g in groups] for own in home]
    at = {key: n for n, key in enumerate(queue)}
    waves = inputs.opening.waves(len(inputs.sizes))
    for ask in single:
        row, cost = place[at[ask.one]], WEIGHTS[ask.kind] * _ASKED
        for g in groups:
            if ask.kind is AskKind.FIRST:
                row[g] += cost if g else 0
            elif in_its_half(ask.kind, waves, g) is False:
                row[g] += cost
    return place


def _costs(inputs: DrawInputs, queue: Sequence[str], home: Sequence[int]) -> Costs | None:
    """What the groups of this draw cost; None where they stand as they were dealt."""
    even = inputs.method in EVEN
    people = len(queue)
    # the sum of a group is compared with its share: everything times the number of players
    unit = people * people if even else 1
    pair = (
        _meetings(inputs, queue)
        if inputs.method is DrawMethod.BALANCED
        else [[0] * people for _ in queue]
    )
    if even:
        parts = _parts(inputs, queue)
        pair = [[cost * unit for cost in row] for row in pair]
        for one, other in combinations(range(people), 2):
            if parts[one] == parts[other]:
                pair[one][other] += _PART * unit
                pair[other][one] += _PART * unit
    base = _add_asks(inputs, queue, pair, _ASKED * unit)
    place = _places(inputs, queue, home)
    if place is not None and unit > 1:
        place = [[cost * unit for cost in row] for row in place]
    if not even:
        return Costs(pair, place, base=base) if inputs.asks else None
    load, due = _loads(inputs, queue)
    costs = Costs(pair, place, load, due, base, step=unit)
    if inputs.method is DrawMethod.SNAKE and not inputs.asks:
        return None  # as it was dealt: that is what a snake is
    return costs


def _loads(inputs: DrawInputs, queue: Sequence[str]) -> tuple[list[int], list[int]]:
    """What each brings to a group's sum, and what is due to each group, times the players."""
    known = [figure for figure in inputs.figures.values() if figure is not None]
    middle = sum(known, Decimal(0)) / len(known) if known else Decimal(0)
    people = len(queue)
    load = []
    for key in queue:
        figure = inputs.figures[key]
        load.append(int(middle if figure is None else figure) * people)
    whole = sum(load) // people
    return load, [whole * size for size in inputs.sizes]


# mixing ------------------------------------------------------------------------------------
#
# A small field runs out of new partners, and how many meetings the coming fixtures must repeat
# depends on the groups of this one. So several draws are made, each is carried on for the next few
# fixtures as if everybody played again, and the one with the fewest repeats in all stands.

_TRIES = 10
_AHEAD = 3
_TRY_BUDGET = 100_000
_AHEAD_BUDGET = 30_000


def _mixed(inputs: DrawInputs, queue: Sequence[str]) -> list[int]:
    """The homes with the fewest repeats, now first, then in the fixtures to come."""
    meetings = _meetings(inputs, queue)
    pair = [list(row) for row in meetings]
    base = _add_asks(inputs, queue, pair, _ASKED)
    dealt = _home(inputs, queue)
    now = Costs(pair, _places(inputs, queue, dealt), base=base, step=_MET)
    best: tuple[int, int] | None = None
    stands = dealt
    for number in range(_TRIES):
        seed = inputs.seed if number == 0 else f"{inputs.seed}#{number}"
        home = dealt if number == 0 else _dealt_anew(queue, dealt, seed)
        home = settled(now, home, groups=len(inputs.sizes), seed=seed, budget=_TRY_BUDGET)
        cost = now.of(home)
        if best is None or cost <= best[0]:
            limit = best[1] if best is not None and cost == best[0] else None
            found = (cost, _repeats_to_come(meetings, home, (queue, dealt, seed), limit))
            if best is None or found < best:
                best, stands = found, home
        if best[1] == 0:
            break
    return stands


def _repeats_to_come(
    meetings: Matrix,
    home: Sequence[int],
    deal: tuple[Sequence[str], Sequence[int], str],
    limit: int | None,
) -> int:
    """What the next fixtures cost after this one, if all play again; no further than the limit."""
    queue, dealt, seed = deal
    after = [list(row) for row in meetings]
    then = Costs(after, step=_MET)
    ahead = 0
    for coming in range(_AHEAD):
        for p, here in enumerate(home):
            for q, there in enumerate(home):
                if p != q and here == there:
                    after[p][q] += _MET
        lots = f"{seed}+{coming}"
        home = settled(
            then,
            _dealt_anew(queue, dealt, lots),
            groups=max(dealt) + 1,
            seed=lots,
            budget=_AHEAD_BUDGET,
        )
        ahead += then.of(home)
        if limit is not None and ahead >= limit:
            break
    return ahead


def _dealt_anew(queue: Sequence[str], dealt: Sequence[int], seed: str) -> list[int]:
    """The same homes, given to the entries by another lot."""
    order = sorted(range(len(queue)), key=lambda n: lot(seed, queue[n]))
    home = [0] * len(queue)
    for n, at in zip(order, dealt, strict=True):
        home[n] = at
    return home
