"""What the reader needs at the next fixture, in words."""

from dataclasses import dataclass
from datetime import date

from society.merit.queries import MeritStanding
from society.merit.rules.needs import MOST_TOTAL
from society.web.templatetags.look import ordinal

FEW = 4  # as many of those above as are shown at once; the rest unfolds


@dataclass(frozen=True, slots=True)
class Need:
    """A figure (points or a place; empty where nothing is enough), and what it takes one to."""

    figure: str
    words: str


@dataclass(frozen=True, slots=True)
class NeedsShown:
    """All of it: at which fixture, first what gains, then those above from the nearest up."""

    fixture: str
    day: date
    by_place: bool
    lines: tuple[Need, ...]
    above: tuple[Need, ...]
    further: tuple[Need, ...]


def needs_shown(standing: MeritStanding, player: str) -> NeedsShown | None:
    """What a player needs next; None where nothing can be said."""
    found = standing.needs_of(player)
    if found is None:
        return None
    fixture, said = found
    never = "" if said.by_place else f" (it would take more than {MOST_TOTAL})"

    def need(figure: int | None, words: str, cannot: str) -> Need:
        if figure is None:
            return Need("", f"{cannot}{never}")
        if figure == said.worst:
            return Need("any", f"{words}: any card with a place on the day is enough")
        if said.by_place:
            return Need(ordinal(figure), words)
        return Need(str(figure), words)

    lines = []
    if said.enter is not None:
        lines.append(Need("", "any card with a place on the day brings a place in the table"))
    lines.append(need(said.gain, "to gain at all", "nothing gains at the next fixture"))
    row = standing.row_of(player)
    if row is not None and row.place is not None and row.place > 1:
        lines.append(
            need(said.climb, "to gain a place", "no place can be gained at the next fixture")
        )
    above = tuple(
        need(
            ahead.figure,
            f"to pass {standing.name_of(ahead.player)}",
            f"{standing.name_of(ahead.player)} cannot be passed at the next fixture",
        )
        for ahead in said.above
    )
    return NeedsShown(
        fixture.name, fixture.day, said.by_place, tuple(lines), above[:FEW], above[FEW:]
    )
