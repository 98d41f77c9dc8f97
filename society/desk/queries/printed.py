"""Which cards were printed, and which no longer say what stands on the paper."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from scoring.rules.strict_json import read_json
from society.desk.queries.scorecards import (
    CardPaper,
    chosen_cards,
    scorecards,
    tees_in_use,
)
from society.entries.queries import last_prints
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round

# Facts whose figures may be told; of the others only that they changed.
_TOLD = ("plays off", "course handicap", "index", "tee", "time", "group")


@dataclass(frozen=True, slots=True)
class CardRow:
    """A card of the tick list. `printed_at`: when last, None for never. `changes`: in words."""

    card: CardPaper
    printed_at: dt.datetime | None
    shape: str
    changes: tuple[str, ...]

    @property
    def wanted(self) -> bool:
        """Whether it has to be printed, for the first time or again."""
        return self.printed_at is None or bool(self.changes)


@dataclass(frozen=True, slots=True)
class CardsToPrint:
    """The tick list, and the tees that spare cards can be printed for."""

    rows: tuple[CardRow, ...]
    tees: tuple[tuple[str, str], ...]
    groups: tuple[int, ...]

    @property
    def never(self) -> int:
        """How many were never printed."""
        return sum(row.printed_at is None for row in self.rows)

    @property
    def changed(self) -> int:
        """How many say something else now than the paper."""
        return sum(bool(row.changes) for row in self.rows)


def cards_to_print(fixture: Fixture) -> CardsToPrint:
    """Every card with what became of it. A constant number of queries."""
    last = last_prints(the_round(fixture))
    rows = []
    for card in scorecards(fixture, chosen_cards(fixture)):
        found = last.get(card.card_id)
        rows.append(
            CardRow(
                card=card,
                printed_at=found.at if found else None,
                shape=found.shape if found else "",
                changes=differences(read_json(found.said), card.said) if found else (),
            )
        )
    return CardsToPrint(
        rows=tuple(rows),
        tees=tuple((key, name) for key, (name, _) in tees_in_use(fixture).items()),
        groups=tuple(sorted({row.card.group for row in rows if row.card.group})),
    )


def differences(was: object, now: Mapping[str, str]) -> tuple[str, ...]:
    """What a card says otherwise than its paper, in words.

    >>> differences({"plays off": "15", "marker": "a"}, {"plays off": "14", "marker": "b"})
    ('plays off 14, was 15', 'marker')
    """
    before = was if isinstance(was, dict) else {}
    changed = [name for name, value in now.items() if before.get(name, "") != value]
    return tuple(_told(name, str(before.get(name, "")), now[name]) for name in changed)


def _told(name: str, was: str, now: str) -> str:
    if name not in _TOLD:
        return name
    return f"{name} {now or 'none'}, was {was or 'none'}"
