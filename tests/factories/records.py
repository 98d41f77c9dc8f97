"""Scores, cuts and adjustments of a handicap record, as plain rows."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from scoring.rules.strict_json import canonical
from society.audit.models import Words
from society.handicaps.models import Adjustment, Score, SocietyCut
from society.handicaps.queries.scores import own_of
from society.handicaps.rules.own import steps
from society.handicaps.rules.scores import hole_by_hole, said_text
from society.members.models import Player
from tests.factories.courses import INDEXES, PARS
from tests.factories.entries import BY, THEN, handicap

RATING, SLOPE = Decimal("70.1"), 120


def words(text: str) -> Words | None:
    return Words.objects.create(text=text, salt="0" * 32) if text else None


def score(
    player: Player,
    said: dict[str, Any] | str,
    on: date,
    *,
    origin: str = "",
    number: int = 1,
    holes: int = 18,
    cause: dict[str, str] | None = None,
    why: str = "",
    at: datetime = THEN,
) -> Score:
    """A score: a ready differential as text, or as the handicap record document has it."""
    taken = {"differential": Decimal(said)} if isinstance(said, str) else said
    return Score.objects.create(
        player=player,
        origin=origin or f"typed:{player.pk}:{on}:{holes}",
        number=number,
        played=on,
        holes=holes,
        said=said_text(taken),
        cause=canonical(cause) if cause else "",
        at=at,
        by=BY,
        words=words(why),
    )


def card(*strokes: int | None, holes: int = 18) -> dict[str, Any]:
    """A card of the story course of PRACTICE.md, section 12, from a tee rated 70.1 / 120."""
    return hole_by_hole(
        list(strokes),
        par=PARS[:holes],
        stroke_index=INDEXES[:holes],
        course_rating=RATING if holes == 18 else Decimal("35.0"),
        slope_rating=SLOPE,
    )


def differentials(player: Player, *tenths: str, first: date, step: int = 7) -> None:
    """Ready differentials, so many days apart."""
    for at, each in enumerate(tenths):
        score(player, each, first + timedelta(days=step * at), origin=f"ready:{player.pk}:{at}")


def written_again(player: Player) -> None:
    """The lines of the own figure, as a score coming in writes them."""
    for step in steps(own_of(player)):
        if step.value is not None:
            handicap(player, str(step.value), source="cards", valid_from=step.day)


def moved(
    player: Player, shots: str, on: date, why: str = "", *, resets_low: bool = False
) -> Adjustment:
    """A committee's adjustment."""
    return Adjustment.objects.create(
        player=player,
        on=on,
        shots=Decimal(shots),
        resets_low=resets_low,
        at=THEN,
        by=BY,
        words=words(why),
    )


def cut(
    player: Player,
    valid_from: date,
    *lines: tuple[str, date | None],
    because: str = "first with 41 points",
    cause: dict[str, str] | None = None,
    replaces: SocietyCut | None = None,
) -> SocietyCut:
    """A society cut with its steps: shots, and until when."""
    return SocietyCut.objects.create(
        player=player,
        valid_from=valid_from,
        steps=canonical(
            [
                {"shots": shots, "until": until.isoformat() if until else None}
                for shots, until in lines
            ]
        ),
        because=because,
        cause=canonical(cause) if cause else "",
        replaces=replaces,
        at=THEN,
        by=BY,
    )
