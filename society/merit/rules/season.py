"""The season's table: which scores count, which drop, who is ahead of whom and why.

The best N scores of each player are added. Those level on the sum are parted by the table's own
list, in its order; whoever is level after the last of it shares the place. Common practice, no
source.

>>> from society.merit.rules.values import Finish, PointsFrom, SeasonTie
>>> days = [Event(str(n), (Finish("x", True, 1, x), Finish("y", True, 2, y)))
...     for n, (x, y) in enumerate([(36, 33), (30, 35)])]
>>> rules = MeritRules(points=PointsFrom.TOTAL, season_ties=(SeasonTie.BEST_SCORE,), best=1)
>>> [(row.place, row.player, str(row.total)) for row in standings(days, rules)]
[(1, 'x', '36'), (2, 'y', '35')]
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from society.merit.rules.points import earned_in
from society.merit.rules.rows import Cell, Row
from society.merit.rules.ties import ranked
from society.merit.rules.values import (
    Earned,
    Event,
    Facts,
    MeritRules,
    NewMembers,
    Unpaid,
)

_NO_FACTS = Facts()


def counting(rules: MeritRules, cancelled: int = 0) -> int | None:
    """How many scores count, None for all; a cancelled fixture lowers it where the rules say so."""
    if rules.best is None or not rules.best_follows:
        return rules.best
    return max(1, rules.best - cancelled)


def standings(
    events: Sequence[Event], rules: MeritRules, cancelled: int = 0, facts: Facts = _NO_FACTS
) -> list[Row]:
    """The table: rows with a place first, the unranked where their total falls, the short last.

    `cancelled` is the number of the season's fixtures that were not played and will not be;
    `facts` says the same and what the rules ask about members.
    """
    if cancelled and not facts.cancelled:
        facts = replace(facts, cancelled=cancelled)
    rows = rows_of(events, rules, facts)
    best = counting(rules, facts.cancelled)
    placed = ranked(
        [row for row in rows if not row.unranked and not row.short], rules, best, facts.decisions
    )
    lead = placed[0].total if placed else None
    full = placed + [row for row in rows if row.unranked and not row.short]
    full.sort(key=lambda row: -row.total)  # stable: the order of the ranked stays
    short = sorted((row for row in rows if row.short), key=lambda row: (-row.total, row.player))
    return [replace(row, behind=None if lead is None else lead - row.total) for row in full + short]


def rows_of(events: Sequence[Event], rules: MeritRules, facts: Facts = _NO_FACTS) -> list[Row]:
    """A row for everyone who earned something or might have, without places, in any order."""
    best = counting(rules, facts.cancelled)
    earned = [earned_in(event, rules, facts) for event in events]
    members = {f.player for event in events for f in event.finishes if f.member}
    guest_days = [{f.player for f in event.finishes if not f.member} for event in events]
    rows = []
    for player in sorted({player for day in earned for player in day}):
        member = player in members
        found = [
            None if player not in day or (member and player in guests) else day[player]
            for day, guests in zip(earned, guest_days, strict=True)
        ]
        cells, total = cells_of(found, best)
        start = rules.new_start if member and facts.is_new(player) else Fraction(0)
        given = facts.given.get(player, Fraction(0))
        rows.append(
            Row(
                player=player,
                member=member,
                total=total + start + given,
                cells=cells,
                short=max(
                    0, least(player, rules, facts) - sum(entry is not None for entry in found)
                ),
                start=start,
                given=given,
                unranked=_unranked(player, rules, facts) if member else "guest",
            )
        )
    return rows


def cells_of(
    found: Sequence[Earned | None], best: int | None
) -> tuple[tuple[Cell | None, ...], Fraction]:
    """The cells of one player with what counts, and the sum of that; of equals the earlier."""
    played = [(at, entry) for at, entry in enumerate(found) if entry is not None]
    by_worth = sorted(played, key=lambda pair: (-pair[1].points, pair[0]))
    counted = {at for at, _ in by_worth[:best]}
    cells = tuple(
        Cell(entry.points, at in counted, entry.place, entry.extra) if entry else None
        for at, entry in enumerate(found)
    )
    return cells, sum((c.points for c in cells if c and c.counts), Fraction(0))


def least(player: str, rules: MeritRules, facts: Facts = _NO_FACTS) -> int:
    """How many fixtures a player needs for a place.

    Pro rata: of who joined during the season the share that was left to play, rounded up.

    >>> from datetime import date
    >>> from society.merit.rules.values import Person
    >>> days = tuple(date(2026, month, 1) for month in range(3, 12))
    >>> facts = Facts(starts_on=date(2026, 1, 1), days=days,
    ...     people={"x": Person(joined_on=date(2026, 7, 15))})
    >>> least("x", MeritRules(minimum=5, new_members=NewMembers.PRO_RATA), facts)  # 4 of 9 left
    3
    """
    if rules.new_members is not NewMembers.PRO_RATA or not facts.days or not facts.is_new(player):
        return rules.minimum
    joined = facts.person(player).joined_on
    left = sum(joined is not None and day >= joined for day in facts.days)
    return -(-rules.minimum * left // len(facts.days))


def _unranked(player: str, rules: MeritRules, facts: Facts) -> str:
    """Why a member has no place whatever the scores; empty for who may have one."""
    person = facts.person(player)
    if facts.is_new(player):
        if rules.new_members is NewMembers.UNRANKED:
            return "new"
        late = facts.days[-rules.join_before_last :] if rules.join_before_last else ()
        if late and person.joined_on is not None and person.joined_on >= late[0]:
            return "late"
    if rules.unpaid is Unpaid.UNRANKED and person.paid_on is None:
        return "unpaid"
    return ""


def moved(before: Sequence[Row], after: Sequence[Row]) -> list[tuple[str, int | None, int | None]]:
    """Whose place differs between two tables: player, place before, place after."""
    old = {row.player: row.place for row in before}
    return [
        (row.player, old.get(row.player), row.place)
        for row in after
        if old.get(row.player) != row.place
    ]


def race(
    events: Sequence[Event], rules: MeritRules, cancelled: int = 0, facts: Facts = _NO_FACTS
) -> dict[str, tuple[int | None, ...]]:
    """The place of each player after each fixture, whatever the minimum; None before the first."""
    free = replace(rules, minimum=0)
    after = [standings(events[: at + 1], free, cancelled, facts) for at in range(len(events))]
    places = [{row.player: row.place for row in rows} for rows in after]
    players = [row.player for row in after[-1]] if after else []
    return {player: tuple(day.get(player) for day in places) for player in players}
