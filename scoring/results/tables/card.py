"""One card of a standing in full: holes, handicap, what the countback compared, rulings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from scoring.results.queries.standings import Origin, Standing
from scoring.results.tables.board import (
    PENCIL,
    RANGE,
    RulingLine,
    format_of,
    ruling_lines,
    settled_words,
    status_words,
    total_head,
    total_words,
)
from scoring.rules.working import Working, working_in


@dataclass(frozen=True, slots=True)
class CardShown:
    """One card in full: how its figures came about, what a tie compared."""

    key: str
    name: str
    place: int | None
    joint: bool
    total: str
    total_head: str
    status: str
    working: Working
    compared: tuple[tuple[str, str], ...]
    settled: str
    rulings: tuple[RulingLine, ...]
    pencil: str


def card_of(standing: Standing, key: str, *, origin: Origin | None = None) -> CardShown | None:
    """The card behind a row; None where the key is not in the field.

    `origin`: where the handicap came from, if it is known.
    """
    event = standing.event
    if event is None or key not in event.players:
        return None
    row = _find(standing.answer["standings"], key)
    gone = _find(standing.answer["unplaced"], key)
    format_, net = format_of(standing.document)
    state = standing.state_of(key)
    known = origin or Origin()
    return CardShown(
        key=key,
        name=standing.name_of(key),
        place=row["place"] if row else None,
        joint=bool(row and row["tied"]),
        total=total_words(row["total"], format_) if row else "",
        total_head=total_head(format_, net),
        status=status_words(gone) if gone else "",
        working=working_in(
            event,
            key,
            numbers=standing.holes,
            source=known.source,
            since=known.since,
            before=known.before,
        ),
        compared=tuple((RANGE.sub("–", label), figure) for label, figure in row["trail"].items())
        if row
        else (),
        settled=settled_words(row["settled"]) if row else "",
        rulings=tuple(line for line in ruling_lines(standing) if key in line.keys),
        pencil=PENCIL.get(state, "") if state else "",
    )


def _find(rows: Iterable[Mapping[str, Any]], key: str) -> Mapping[str, Any] | None:
    return next((row for row in rows if row["player"] == key), None)
