"""The draw: a pure function of the entries, what is asked, who played with whom, and a seed.

Chance is an order by digest: anyone with the seed and the keys of the entries can repeat a draw
years later with any tool that knows SHA-256. Here stands what a draw is made from; `dealing` makes
the groups, `report` says what they are like.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cached_property
from itertools import combinations
from typing import Any, Self

from society.entries.rules.asks import Ask, ask_from
from society.entries.rules.groups import group_sizes
from society.entries.rules.starts import EIGHTEEN, Opening
from society.fixtures.rules import StartKind

DRAW_VERSION = 2  # of the methods below; a change of a single rule makes it 3
OLDEST_VERSION = 1  # random and by handicap, nothing asked: the groups are the same in version 2


class DrawMethod(StrEnum):
    """How groups are made."""

    MIXED = "mixed"  # by lot, and with whom one has not played of late
    RANDOM = "random"
    BALANCED = "balanced"  # one from each part of the field in each group, sums alike
    SNAKE = "snake"  # teams of equal totals, to and fro through the handicaps
    HANDICAP = "handicap"  # lowest first
    LEADERS = "leaders"  # leaders of a standing last


BY_FIGURE = frozenset({DrawMethod.BALANCED, DrawMethod.SNAKE, DrawMethod.HANDICAP})
LOOKS_BACK = frozenset({DrawMethod.MIXED, DrawMethod.BALANCED})
IN_ORDER = frozenset({DrawMethod.HANDICAP, DrawMethod.LEADERS})
EVEN = frozenset({DrawMethod.BALANCED, DrawMethod.SNAKE})

PastEvent = tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class DrawInputs:
    """Everything a draw is made from.

    `figures`: what each entry plays off, by entry key (None: not known, comes last by handicap;
    only looked at by methods that go by handicap). `opening`: how the round begins. `asks`: what
    was asked. `past`: earlier fixtures, the latest first, each the groups of those who play now.
    `standing`: places in the standing that the leaders are leaders of, by entry key; who has none
    goes out first. Raises ValueError for what cannot be drawn.
    """

    method: DrawMethod
    seed: str
    group_size: int
    figures: Mapping[str, Decimal | None]
    opening: Opening = Opening()
    asks: tuple[Ask, ...] = ()
    past: tuple[PastEvent, ...] = ()
    standing: Mapping[str, int] | None = None
    version: int = DRAW_VERSION

    def __post_init__(self) -> None:
        if not OLDEST_VERSION <= self.version <= DRAW_VERSION:
            raise ValueError(f"draw: version {self.version} is not known here")
        if not 2 <= self.group_size <= 4:
            raise ValueError("draw: groups are of two, three or four")
        if not self.seed:
            raise ValueError("draw: a seed is needed")
        if not self.figures:
            raise ValueError("draw: nobody to draw")
        if any(not {ask.one, ask.other} - {""} <= set(self.figures) for ask in self.asks):
            raise ValueError("draw: something is asked of somebody who is not in the field")
        if self.version == 1 and (self.asks or self.past or self.standing):
            raise ValueError("draw: version 1 asked for nothing")

    @cached_property
    def sizes(self) -> list[int]:
        """How many play in each group."""
        return group_sizes(len(self.figures), self.group_size)

    @cached_property
    def met(self) -> dict[frozenset[str], tuple[int, ...]]:
        """Pairs that were in one group: in which of the past fixtures, 0 for the latest."""
        found: dict[frozenset[str], tuple[int, ...]] = {}
        for ago, event in enumerate(self.past):
            for group in event:
                for pair in combinations(group, 2):
                    key = frozenset(pair)
                    found[key] = (*found.get(key, ()), ago)
        return found

    def as_plain(self) -> dict[str, object]:
        """Plain values for canonical JSON, entries in order of their keys."""
        plain: dict[str, object] = {
            "entries": [
                {"key": key, "plays_off": self.figures[key]} for key in sorted(self.figures)
            ],
            "first_minute": self.opening.first_minute,
            "group_size": self.group_size,
            "interval": self.opening.interval,
            "method": self.method.value,
            "seed": self.seed,
            "version": self.version,
        }
        if self.version > 1:
            plain |= {
                "asks": [ask.as_plain() for ask in sorted(self.asks)],
                "holes": list(self.opening.holes),
                "past": [sorted(sorted(group) for group in event) for event in self.past],
                "standing": dict(sorted((self.standing or {}).items())),
                "start": self.opening.kind.value,
            }
        return plain

    @classmethod
    def from_plain(cls, value: Mapping[str, Any]) -> Self:
        """The inputs as they were kept. KeyError or ValueError if something is not as written."""
        figures = {
            entry["key"]: None if entry["plays_off"] is None else Decimal(entry["plays_off"])
            for entry in value["entries"]
        }
        old = value["version"] == 1
        return cls(
            method=DrawMethod(value["method"]),
            seed=value["seed"],
            group_size=value["group_size"],
            figures=figures,
            opening=Opening(
                kind=StartKind.ONE_TEE if old else StartKind(value["start"]),
                first_minute=value["first_minute"],
                interval=value["interval"],
                holes=EIGHTEEN if old else tuple(value["holes"]),
            ),
            asks=() if old else tuple(ask_from(ask) for ask in value["asks"]),
            past=()
            if old
            else tuple(tuple(tuple(group) for group in event) for event in value["past"]),
            standing=None if old else value["standing"] or None,
            version=value["version"],
        )


def lot(seed: str, key: str) -> str:
    """The lot an entry draws: SHA-256, in hexadecimal, of seed, slash and entry key.

    >>> lot("41207", "abc")[:8]
    'e833a2fb'
    """
    return hashlib.sha256(f"{seed}/{key}".encode()).hexdigest()
