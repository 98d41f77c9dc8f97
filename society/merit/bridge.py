"""From sealed results to the events of a season, as the rules of merit take them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from scoring.rules.strict_json import read_json
from society.merit.rules.values import Event, Finish


@dataclass(frozen=True, slots=True)
class Standin:
    """Who stands behind an entry key in one fixture: the player, and whether as a member."""

    player: str
    name: str
    member: bool


@lru_cache(maxsize=64)
def sealed_places(outputs: str) -> tuple[tuple[str, int, int], ...]:
    """Key, place and total of everyone with a place in a sealed answer.

    Kept by the text itself: a sealed version never changes, and reading it is the dear part.
    """
    answer = read_json(outputs)
    if not isinstance(answer, dict):
        raise TypeError("the outputs of a seal are an object")
    return tuple((row["player"], row["place"], row["total"]) for row in answer["standings"])


def event_of(key: str, outputs: str, people: Mapping[str, Standin], *, stableford: bool) -> Event:
    """One final result as an event of the season; keys nobody stands behind are left out."""
    return Event(
        key=key,
        finishes=tuple(
            Finish(people[entry].player, people[entry].member, place, total)
            for entry, place, total in sealed_places(outputs)
            if entry in people
        ),
        stableford=stableford,
    )
