"""Two ways of working out one season side by side: who would move, and why."""

from dataclasses import dataclass

from society.merit.queries import MeritStanding
from society.merit.rules.rows import Row, shown
from society.merit.rules.words import UNRANKED, in_words, joined
from society.web.templatetags.look import count_of, ordinal


@dataclass(frozen=True, slots=True)
class Move:
    """One player under both rules. `moves`: the place differs; `up`: to a better one."""

    name: str
    before: str
    before_total: str
    after: str
    after_total: str
    moves: bool
    up: bool
    why: str


@dataclass(frozen=True, slots=True)
class Trial:
    """Everyone in the order of the other rules, and how many would move."""

    moves: tuple[Move, ...]
    moved: int
    leaders: str


def trial_of(before: MeritStanding, after: MeritStanding) -> Trial:
    """Lay two standings of one season side by side."""
    old = {row.player: row for row in before.rows}
    players = [row.player for row in after.rows]
    players += [row.player for row in before.rows if row.player not in set(players)]
    new = {row.player: row for row in after.rows}
    moves = tuple(_move(before, after, old.get(p), new.get(p)) for p in players)
    return Trial(moves, sum(m.moves for m in moves), _leaders(before, after))


def _leaders(before: MeritStanding, after: MeritStanding) -> str:
    """Who leads now and who would, as a sentence."""
    old, new = (
        [standing.name_of(row.player) for row in standing.rows if row.place == 1]
        for standing in (before, after)
    )
    if old == new:
        return f"{joined(new)} {'leads' if len(new) == 1 else 'lead'} either way." if new else ""
    would = f"{joined(new)} would lead" if new else "Nobody would have a place"
    return f"{would}; now it is {joined(old) or 'nobody'}."


def _move(before: MeritStanding, after: MeritStanding, old: Row | None, new: Row | None) -> Move:
    row = new or old
    if row is None:
        raise ValueError("A player is in one of the two tables.")
    place, other = old.place if old else None, new.place if new else None
    return Move(
        name=after.name_of(row.player) if new else before.name_of(row.player),
        before=_place(old),
        before_total=shown(old.total) if old else "–",
        after=_place(new),
        after_total=shown(new.total) if new else "–",
        moves=place != other,
        up=other is not None and (place is None or other < place),
        why=_why(before, after, old, new),
    )


def _place(row: Row | None) -> str:
    if row is None:
        return "not in it"
    if row.place is not None:
        return f"{'joint ' if row.level_with else ''}{ordinal(row.place)}"
    if row.short:
        return f"{count_of(row.short, 'fixture,fixtures')} short"
    return UNRANKED.get(row.unranked, "no place")


def _why(before: MeritStanding, after: MeritStanding, old: Row | None, new: Row | None) -> str:
    """What makes the difference, in the player's own figures."""
    if old is None or new is None:
        return "nothing counts any more" if new is None else "counts now"
    said = _scores(before, after, old, new)
    if old.start != new.start:
        said.append(f"begins on {shown(new.start)}")
    if old.total == new.total and old.place != new.place:
        words = after.why(new) or before.why(old)
        said.append(words[:1].lower() + words[1:] if words else "others move")
    return "; ".join(said)


def _scores(before: MeritStanding, after: MeritStanding, old: Row, new: Row) -> list[str]:
    """Scores that are worth something else, and those that count or drop now."""
    was = {f.key: old.cells[f.event] for f in before.results.fixtures if f.event is not None}
    now = {f.key: new.cells[f.event] for f in after.results.fixtures if f.event is not None}
    gained = [shown(c.points) for k, c in now.items() if c and c.counts and not _counts(was.get(k))]
    lost = [shown(c.points) for k, c in was.items() if c and c.counts and not _counts(now.get(k))]
    names = {f.key: f.name for f in after.results.fixtures}
    other = [
        f"{names[k]} {shown(c.points)}, was {shown(w.points)}"
        for k, c in now.items()
        if c and (w := was.get(k)) and c.points != w.points and c.counts and w.counts
    ]
    said = []
    if other:
        if len(other) > 3:
            other = [f"{in_words(len(other))} scores are worth something else"]
        said += other
    if gained:
        said.append(f"counts now: {joined(gained)}")
    if lost:
        said.append(f"no longer counts: {joined(lost)}")
    return said


def _counts(cell: object) -> bool:
    return bool(getattr(cell, "counts", False))
