"""A committee moves a record that is worked out from cards. Rules of Handicapping 2024, 7.1a."""

from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from society.audit.actions import deed
from society.handicaps.actions.own import about_of, refuse_too_low, with_reason, work_out_again
from society.handicaps.models import Adjustment
from society.handicaps.queries.scores import Preview, own_of, preview
from society.handicaps.rules.own import Move, Own, cautions, own_history, said_of_low, too_high
from society.members.models import Player
from society.members.queries import society_day
from society.web.refusals import BadInput
from society.web.who import Who

_SMALLEST, _LARGEST = Decimal("1.0"), Decimal("20.0")


def adjust(
    *,
    player: Player,
    shots: Decimal,
    words: str,
    resets_low: bool = False,
    exceptional: str = "",
    witness: str = "",
    by: Who,
    at: datetime,
) -> Adjustment:
    """The committee moves a record: each of the latest 20 differentials by so many shots.

    Below zero lowers the figure. It counts from the day after. `resets_low`: the low index begins
    anew, from the figure of this day on. `exceptional`: why the figure may go further than 5.0
    above the lowest of a year. Raises NotYours, and BadInput for less than 1.0 either way, without
    a reason, without a figure, for a low that is to begin anew after a fall, or for a rise too
    far. Source: Rules of Handicapping 2024, Rule 7.1a.
    """
    words = with_reason(player, words, witness, by, at)
    on = society_day(at)
    with deed(by=by, at=at, what="record adjusted", about=about_of(player)) as d:
        Player.objects.select_for_update().get(pk=player.pk)
        _adjusted(player, Move("", on, shots, resets_low), exceptional)
        same = Adjustment.objects.filter(player=player, on=on, shots=shots, resets_low=resets_low)
        if same.exists():
            raise BadInput("The record is adjusted by that today already.", field="shots")
        because = f"{words} Exceptional: {exceptional.strip()}" if exceptional.strip() else words
        row = Adjustment.objects.create(
            player=player,
            on=on,
            shots=shots,
            resets_low=resets_low,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(because),
        )
        change = {"adjustment": row.public_id, "shots": shots}
        d.change(about_of(player), change | ({"resets_low": True} if resets_low else {}))
        work_out_again(d, [player], words=row.words, strict=True)
    return row


def try_adjustment(
    *,
    player: Player,
    shots: Decimal,
    resets_low: bool = False,
    exceptional: str = "",
    at: datetime,
) -> Preview:
    """What `adjust` would do to the figure; writes nothing. Raises BadInput as it does."""
    move = Move("", society_day(at), shots, resets_low)
    own, after = _adjusted(player, move, exceptional)
    seen = preview(player, moves=[move])
    refuse_too_low(one.new for one in seen.changes)
    return replace(seen, low=said_of_low(after, move), cautions=cautions(own, after, move))


def _adjusted(player: Player, move: Move, exceptional: str) -> tuple[Own, Own]:
    """The record before and after an adjustment that may be made."""
    _check_shots(move.shots)
    if move.resets_low and move.shots < 0:
        raise BadInput(
            "The low index starts anew only after a rise: take the tick out, or raise the figure.",
            field="resets_low",
        )
    own = own_of(player)
    if own.figure is None:
        raise BadInput(
            "There is no figure from cards yet, so there is none to adjust.", field="shots"
        )
    after = own_history(own.kept, [*own.moves, move])
    sentence = too_high(own, after, move.on)
    if sentence and not exceptional.strip():
        raise BadInput(sentence, field="exceptional")
    return own, after


def _check_shots(shots: Decimal) -> None:
    if shots != round(shots, 1):
        raise BadInput("An adjustment has one digit after the point.", field="shots")
    if abs(shots) < _SMALLEST:
        raise BadInput(f"A committee adjusts by {_SMALLEST} or more.", field="shots")
    if abs(shots) > _LARGEST:
        raise BadInput(f"An adjustment by {abs(shots)} cannot be meant.", field="shots")
