"""Reads of scores and committee adjustments, and what the figure made of them is on each day."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import chain

from scoring.rules.strict_json import Refused
from scoring.rules.values import HandicapKind
from society.handicaps.models import Adjustment, HandicapEntry, Score
from society.handicaps.rules.figures import Source, spoken_of
from society.handicaps.rules.own import (
    Kept,
    Line,
    Move,
    Own,
    Step,
    differing,
    own_history,
    read_otherwise,
    standing_on,
    steps,
)
from society.handicaps.rules.scores import NOTHING
from society.members.models import Player

Rows = dict[tuple[int, str], list[Score]]


def score_rows(player_ids: Iterable[int]) -> Rows:
    """Every row of every score, in order of its numbers, by player's row number and origin.

    One query. The origins are in the order in which they were first written.
    """
    rows = Score.objects.filter(player__in=list(player_ids)).order_by("pk")
    found: Rows = {}
    for row in rows:
        found.setdefault((row.player_id, row.origin), []).append(row)
    return found


def kept(row: Score) -> Kept:
    """A row as a plain value."""
    return Kept(
        id=row.public_id,
        origin=row.origin,
        played=row.played,
        holes=row.holes,
        said=row.said,
        cause=row.cause,
    )


def kept_scores(rows: Rows) -> dict[int, list[Kept]]:
    """The scores that count, by the player's row number: in order played, then as first written.

    The highest number of an origin stands; one that says nothing counts no longer. A correction
    keeps the place of what it corrects.
    """
    found: dict[int, list[Kept]] = {}
    for (player, _), numbers in rows.items():
        if numbers[-1].said != NOTHING:
            found.setdefault(player, []).append(kept(numbers[-1]))
    return {player: sorted(scores, key=_played) for player, scores in found.items()}


def _played(one: Kept) -> date:
    return one.played


def move(row: Adjustment) -> Move:
    """A row as a plain value."""
    return Move(row.public_id, row.on, row.shots, row.resets_low)


def moves_of(player_ids: Iterable[int]) -> dict[int, list[Move]]:
    """The committee's adjustments by the player's row number, in order of their days. One query."""
    rows = Adjustment.objects.filter(player__in=list(player_ids)).order_by("on", "pk")
    found: dict[int, list[Move]] = {}
    for row in rows:
        found.setdefault(row.player_id, []).append(move(row))
    return found


def own_lines(player_ids: Iterable[int]) -> dict[int, list[Line]]:
    """The lines worked out from cards, as written, by the player's row number. One query."""
    rows = HandicapEntry.objects.filter(
        player__in=list(player_ids),
        kind=HandicapKind.INDEX.value,
        source=Source.CARDS.value,
    ).order_by("pk")
    found: dict[int, list[Line]] = {}
    for player, day, value, ended in rows.values_list("player_id", "valid_from", "value", "ended"):
        found.setdefault(player, []).append(Line(day, None if ended else value))
    return found


def owns(player_ids: Iterable[int]) -> dict[int, Own]:
    """What scores come to, for each player who has one or an adjustment. Two queries."""
    ids = list(player_ids)
    scores, moves = kept_scores(score_rows(ids)), moves_of(ids)
    return {
        player: own_history(scores.get(player, []), moves.get(player, []))
        for player in dict.fromkeys(chain(scores, moves))
    }


def own_of(player: Player) -> Own:
    """What the scores of one player come to. Two queries."""
    return owns([player.pk]).get(player.pk) or own_history((), ())


@dataclass(frozen=True, slots=True)
class Again:
    """By which lines a record differs from what is worked out; the latest figure of both."""

    lines: Sequence[Step]
    before: Decimal | None
    after: Decimal | None


def worked_out_again(player_ids: Iterable[int]) -> dict[int, Again]:
    """What is to be added to the records of players, by row number. Three queries."""
    ids = list(player_ids)
    found, lines = owns(ids), own_lines(ids)
    return {player: _again(found.get(player), lines.get(player, [])) for player in ids}


def _again(own: Own | None, standing: Sequence[Line]) -> Again:
    wanted = steps(own) if own else []
    return Again(
        lines=differing(standing, wanted),
        before=standing_on(standing, date.max),
        after=standing_on(wanted, date.max),
    )


def differing_figures() -> Iterator[str]:
    """A sentence for every figure that is not as its cards have it; nothing where all agree."""
    ids = players_with_figures()
    names = dict(Player.objects.filter(pk__in=ids).values_list("pk", "public_id"))
    scores, moves, lines = kept_scores(score_rows(ids)), moves_of(ids), own_lines(ids)
    for player in ids:
        try:
            own = own_history(scores.get(player, []), moves.get(player, []))
        except (Refused, ValueError) as broken:
            yield f"Player {names[player]}: a score cannot be read ({broken})."
            continue
        if read_otherwise(own):
            yield f"Player {names[player]}: two readings of the cards come to different figures."
        for step in _again(own, lines.get(player, [])).lines:
            figure = "none" if step.value is None else spoken_of(HandicapKind.INDEX, step.value)
            yield (
                f"Player {names[player]}: from {step.day.isoformat()} the cards make {figure}, "
                "and the record says otherwise."
            )


def players_with_figures() -> list[int]:
    """The row numbers of players who have scores, or lines worked out from cards."""
    scores = Score.objects.values_list("player_id", flat=True)
    lines = HandicapEntry.objects.filter(source=Source.CARDS.value)
    return sorted({*scores, *lines.values_list("player_id", flat=True)})


@dataclass(frozen=True, slots=True)
class Change:
    """The figure from a day on, before and after what is tried."""

    day: date
    old: Decimal | None
    new: Decimal | None


@dataclass(frozen=True, slots=True)
class Preview:
    """What a change would do: the latest figure before and after, and every day that changes.

    `low`: what an adjustment comes to beside the low index; `cautions`: a sentence each. Both
    are of an adjustment alone.
    """

    before: Decimal | None
    after: Decimal | None
    changes: Sequence[Change]
    waits: bool
    low: str = ""
    cautions: Sequence[str] = ()


def preview(
    player: Player,
    *,
    more: Sequence[Kept] = (),
    without: str = "",
    moves: Sequence[Move] = (),
) -> Preview:
    """What would stand with these scores and adjustments more, or without an origin. Two queries.

    Nothing is written. `waits`: a score of nine holes would wait for another nine.
    """
    own = own_of(player)
    scores = [one for one in (*own.kept, *more) if one.origin != without]
    after = own_history(sorted(scores, key=_played), [*own.moves, *moves])
    old, new = steps(own), steps(after)
    days = sorted({step.day for step in (*old, *new)})
    pairs = [Change(day, standing_on(old, day), standing_on(new, day)) for day in days]
    return Preview(
        before=own.figure,
        after=after.figure,
        changes=[pair for pair in pairs if pair.old != pair.new],
        waits=any(after.waiting == one for one in more),
    )
