"""The draw: a pure function of the entries and a seed.

Chance is an order by digest: anyone with the seed and the keys of the entries can repeat a draw
years later with any tool that knows SHA-256.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from itertools import islice
from typing import Any, Self

from society.entries.rules.groups import Groups, group_sizes

DRAW_VERSION = 1  # of the method below; a change of a single rule makes it 2


class DrawMethod(StrEnum):
    """How groups are made."""

    RANDOM = "random"
    HANDICAP = "handicap"


@dataclass(frozen=True, slots=True)
class DrawInputs:
    """Everything a draw is made from.

    `figures`: what each entry plays off, by entry key (None: not known, comes last by handicap;
    not looked at when drawn at random). `first_minute`: minutes after midnight, None without tee
    times. `interval`: minutes between groups. Raises ValueError for what cannot be drawn.
    """

    method: DrawMethod
    seed: str
    group_size: int
    figures: Mapping[str, Decimal | None]
    first_minute: int | None = None
    interval: int = 0
    version: int = DRAW_VERSION

    def __post_init__(self) -> None:
        if self.version != DRAW_VERSION:
            raise ValueError(f"draw: version {self.version} is not known here")
        if not 2 <= self.group_size <= 4:
            raise ValueError("draw: groups are of two, three or four")
        if not self.seed:
            raise ValueError("draw: a seed is needed")
        if not self.figures:
            raise ValueError("draw: nobody to draw")

    def as_plain(self) -> dict[str, object]:
        """Plain values for canonical JSON, entries in order of their keys."""
        return {
            "entries": [
                {"key": key, "plays_off": self.figures[key]} for key in sorted(self.figures)
            ],
            "first_minute": self.first_minute,
            "group_size": self.group_size,
            "interval": self.interval,
            "method": self.method.value,
            "seed": self.seed,
            "version": self.version,
        }

    @classmethod
    def from_plain(cls, value: Mapping[str, Any]) -> Self:
        """The inputs as they were kept. KeyError or ValueError if something is not as written."""
        figures = {
            entry["key"]: None if entry["plays_off"] is None else Decimal(entry["plays_off"])
            for entry in value["entries"]
        }
        return cls(
            method=DrawMethod(value["method"]),
            seed=value["seed"],
            group_size=value["group_size"],
            figures=figures,
            first_minute=value["first_minute"],
            interval=value["interval"],
            version=value["version"],
        )


def lot(seed: str, key: str) -> str:
    """The lot an entry draws: SHA-256, in hexadecimal, of seed, slash and entry key.

    >>> lot("41207", "abc")[:8]
    'e833a2fb'
    """
    return hashlib.sha256(f"{seed}/{key}".encode()).hexdigest()


def draw_groups(inputs: DrawInputs) -> Groups:
    """The groups, by lot or from the lowest handicap up; equal handicaps stand by lot.

    The same inputs give the same groups, in whatever order the entries are given.
    """

    def order(key: str) -> tuple[bool, Decimal, str]:
        figure = inputs.figures[key] if inputs.method is DrawMethod.HANDICAP else None
        return (figure is None, figure or Decimal(0), lot(inputs.seed, key))

    queue = iter(sorted(inputs.figures, key=order))
    sizes = group_sizes(len(inputs.figures), inputs.group_size)
    return tuple(tuple(islice(queue, size)) for size in sizes)


def draw_warnings(inputs: DrawInputs) -> list[str]:
    """What the organiser should know before publishing, in sentences.

    Intervals: common advice of the trade (ten minutes and more for threes and fours); no rule.
    """
    sizes = group_sizes(len(inputs.figures), inputs.group_size)
    said = []
    if 1 in sizes:
        said.append("One player alone has nobody to mark the card.")
    if inputs.group_size == 4 and 2 in sizes and len(sizes) > 1:
        said.append("Five players make a two and a three; a two may have to wait on the course.")
    if inputs.group_size == 2 and 3 in sizes:
        said.append("The number is odd, so one group is a three.")
    if inputs.first_minute is not None and max(sizes) > 2 and inputs.interval < 10:
        said.append(
            f"{inputs.interval} minutes is short for groups of {max(sizes)}; "
            "ten or more is the usual advice."
        )
    return said


def tee_minutes(inputs: DrawInputs, groups: int) -> list[int | None]:
    """Minutes after midnight at which each group starts, or None for each without tee times."""
    if inputs.first_minute is None:
        return [None] * groups
    return [inputs.first_minute + inputs.interval * number for number in range(groups)]
