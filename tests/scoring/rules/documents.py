"""Good event documents for the tests to use and to spoil."""

from collections.abc import Sequence
from copy import deepcopy
from decimal import Decimal
from typing import Any

PAR = [4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 5, 4, 4, 3, 4, 5]
INDEX = [7, 3, 15, 11, 1, 17, 5, 13, 9, 8, 16, 2, 12, 6, 10, 18, 4, 14]


def event(
    *players: dict[str, Any],
    cards: Sequence[Sequence[object] | None] = (),
    rulings: Sequence[dict[str, Any]] = (),
    holes: int = 18,
    tees: dict[str, Any] | None = None,
    **terms: object,
) -> dict[str, Any]:
    """A document; players are p1, p2 ... on the tee "white" unless they say otherwise."""
    terms.setdefault("format", "stableford")
    keys = [f"p{number}" for number in range(1, len(players) + 1)]
    index = INDEX if holes == 18 else [5, 11, 13, 17, 1, 9, 7, 15, 3]
    document = {
        "document": "golf-event",
        "version": 1,
        "event": {"name": "Monthly", "date": "2026-04-18"},
        "terms": dict(terms),
        "tees": tees or {"white": {"par": PAR[:holes], "stroke_index": index}},
        "players": {
            key: {"name": f"Player {key}", "tee": "white", **player}
            for key, player in zip(keys, players, strict=True)
        },
        "cards": {
            key: list(card) for key, card in zip(keys, cards, strict=False) if card is not None
        },
        "rulings": list(rulings),
    }
    return deepcopy(document)


def off(playing: int, **more: object) -> dict[str, Any]:
    """A player off this Playing Handicap."""
    return {"playing_handicap": playing, **more}


def good(**terms: object) -> dict[str, Any]:
    """Three players, two of them level to the end, with every optional key somewhere."""
    document = event(
        {"handicap_index": Decimal("12.3"), "divisions": ["Seniors"], "first_hole": 1},
        off(10),
        off(10, divisions=[]),
        cards=[PAR, PAR, PAR],
        rulings=[
            {"kind": "penalty", "player": "p1", "hole": 2, "strokes": 2, "rule": "14.7a"},
            {"kind": "order", "players": ["p3", "p2"], "reason": "drawn by lot"},
        ],
        **terms,
    )
    document["tees"]["white"] |= {"course_rating": Decimal("70.1"), "slope_rating": 120}
    return document
