"""One card of a standing in full: holes, handicap, what the countback compared, rulings."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from scoring.results.queries import Standing
from scoring.results.rules import handicap_sum
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
from scoring.rules.handicap import strokes_received
from scoring.rules.lines import extra_strokes, handicaps, hole_values, penalties, with_penalties
from scoring.rules.values import Event, Format

_VALUE_HEADS = {Format.PAR: "Holes", Format.MEDAL: "Gross", Format.MAXIMUM_SCORE: "Counts"}


@dataclass(frozen=True, slots=True)
class CardShown:
    """One card in full: the strip of holes, how the handicap came about, what a tie compared."""

    key: str
    name: str
    place: int | None
    joint: bool
    total: str
    total_head: str
    status: str
    holes: tuple[dict[str, int | None], ...]
    value_head: str
    off_line: str
    compared: tuple[tuple[str, str], ...]
    settled: str
    rulings: tuple[RulingLine, ...]
    pencil: str


def card_of(standing: Standing, key: str) -> CardShown | None:
    """The card behind a row; None where the key is not in the field."""
    event = standing.event
    if event is None or key not in event.players:
        return None
    row = _find(standing.answer["standings"], key)
    gone = _find(standing.answer["unplaced"], key)
    format_, net = format_of(standing.document)
    state = standing.state_of(key)
    return CardShown(
        key=key,
        name=standing.name_of(key),
        place=row["place"] if row else None,
        joint=bool(row and row["tied"]),
        total=total_words(row["total"], format_) if row else "",
        total_head=total_head(format_, net),
        status=status_words(gone) if gone else "",
        holes=_holes(event, key, standing.holes),
        value_head=_VALUE_HEADS.get(format_, "Points"),
        off_line=handicap_sum(event, key),
        compared=tuple((RANGE.sub("–", label), figure) for label, figure in row["trail"].items())
        if row
        else (),
        settled=settled_words(row["settled"]) if row else "",
        rulings=tuple(line for line in ruling_lines(standing) if key in line.keys),
        pencil=PENCIL.get(state, "") if state else "",
    )


def _find(rows: Iterable[Mapping[str, Any]], key: str) -> Mapping[str, Any] | None:
    return next((row for row in rows if row["player"] == key), None)


def _holes(event: Event, key: str, numbers: Sequence[int]) -> tuple[dict[str, int | None], ...]:
    """Par, shots, gross (penalty strokes in it) and value of each hole, by the engine itself."""
    card = event.cards.get(key)
    if card is None:
        return ()
    player, terms = event.players[key], event.terms
    extra = extra_strokes(event)[player.tee.key]
    _, playing = handicaps(terms, player, event.holes, extra)
    shots = strokes_received(playing, player.tee.stroke_index)
    ruled = [row for row in event.rulings if row.player == key]
    gross = with_penalties(card, penalties(ruled))
    values = hole_values(terms, player.tee, shots, gross)
    return tuple(
        {"hole": number, "par": par, "shots": received, "gross": strokes, "value": value}
        for number, par, received, strokes, value in zip(
            numbers, player.tee.par, shots, gross, values, strict=True
        )
    )
