"""Noting what was printed, so that the cards that no longer fit can be told."""

from collections.abc import Mapping
from datetime import datetime

from scoring.rules.strict_json import canonical
from society.audit.actions import deed
from society.entries.models import CardPrint
from society.entries.queries import starts_of
from society.entries.rules.words import PaperShape
from society.fixtures.models import Round
from society.web.refusals import NotYours
from society.web.who import SCORERS, Who


def note_printed(
    *,
    round_: Round,
    shape: PaperShape,
    said: Mapping[str, Mapping[str, str]],
    by: Who,
    at: datetime,
) -> int:
    """Keep what stands on each card that goes to the printer. Gives their number.

    `said`: the facts of a card by the public id of its start, names of people left out. Raises
    NotYours for whoever may not print.
    """
    if not by.may(SCORERS):
        raise NotYours("Only officers print the cards.")
    with deed(by=by, at=at, what="cards printed", about=f"round:{round_.public_id}") as d:
        starts = {start.public_id: start for start in starts_of(round_).values()}
        rows = [
            CardPrint(
                start=starts[key], shape=shape.value, said=canonical(facts), at=at, by=by.as_json()
            )
            for key, facts in said.items()
            if key in starts
        ]
        CardPrint.objects.bulk_create(rows)
        d.change(f"round:{round_.public_id}", {"printed": len(rows), "shape": shape.value})
    return len(rows)
