"""What every deed on scores shares: who may, why, and the lines that follow from it."""

from collections.abc import Collection, Iterable
from datetime import date, datetime
from decimal import Decimal

from scoring.rules.values import HandicapKind
from society.audit.actions import Deed
from society.audit.models import Words
from society.handicaps.models import HandicapEntry
from society.handicaps.queries.scores import worked_out_again
from society.handicaps.rules.figures import LOWEST, Source, spoken_of
from society.handicaps.rules.own import Step
from society.members.models import Player
from society.members.queries import another_holds
from society.web.refusals import BadInput, NotYours
from society.web.who import HANDICAPPERS, Who

AGAIN = "Worked out again, since an earlier score or a correction came in."


def work_out_again(
    d: Deed,
    players: Iterable[Player],
    *,
    words: Words | None = None,
    fresh: Collection[tuple[int, date]] | None = None,
    strict: bool = False,
) -> None:
    """Add the lines by which the records of players differ from what is worked out.

    `words`: the reason of the deed, for every line. `fresh`: players (row numbers) and days that
    a new score explains; every other line says that it was worked out again. `strict`: BadInput
    for a figure that nobody can play off, where a hand wrote what makes it; a result is never
    held up by its handicaps.
    """
    by_id = {player.pk: player for player in players}
    lines: list[HandicapEntry] = []
    again_words: Words | None = None
    for pk, again in worked_out_again(by_id).items():
        player = by_id[pk]
        if not again.lines:
            continue
        if strict:
            refuse_too_low(step.value for step in again.lines)
        value = again.before or Decimal(0)
        for step in again.lines:
            value = value if step.value is None else step.value
            why = words
            if fresh is not None and (pk, step.day) not in fresh:
                why = again_words = again_words or d.words(AGAIN)
            lines.append(_line(d, player, step, value, why))
        d.change(
            about_of(player),
            {"society handicap": again.after},
            {"society handicap": again.before},
        )
    HandicapEntry.objects.bulk_create(lines)


def refuse_too_low(figures: Iterable[Decimal | None]) -> None:
    """BadInput where a figure would be one that nobody can play off."""
    lowest = min((figure for figure in figures if figure is not None), default=None)
    index = HandicapKind.INDEX
    if lowest is not None and lowest < LOWEST[index]:
        raise BadInput(
            f"The figure would become {spoken_of(index, lowest)}, and an index goes to "
            f"{spoken_of(index, LOWEST[index])}. Is the score right?"
        )


def _line(
    d: Deed, player: Player, step: Step, value: Decimal, words: Words | None
) -> HandicapEntry:
    return HandicapEntry(
        player=player,
        kind=HandicapKind.INDEX.value,
        value=value,
        source=Source.CARDS.value,
        valid_from=step.day,
        cause=step.cause,
        ended=step.value is None,
        at=d.at,
        by=d.by.as_json(),
        words=words,
    )


def with_reason(player: Player, words: str, witness: str, by: Who, at: datetime) -> str:
    """Who may keep a record, and why it is done; for one's own with the witness."""
    if not by.may(HANDICAPPERS):
        raise NotYours("Handicap records are kept by the handicap secretary and the secretary.")
    alone = own_and_alone(player, witness, by, at)
    if not words.strip():
        raise BadInput("Say why, in a few words: it stands in the record.", field="words")
    return words.strip() + alone


def own_and_alone(
    player: Player, witness: str, by: Who, at: datetime, *, roles: Iterable[str] = HANDICAPPERS
) -> str:
    """What the reason for a change to one's own handicap says too; empty for another's.

    One's own is for another officer of these roles; where there is none it is done with a witness.
    Raises NotYours, BadInput.
    """
    if not by.is_player(player.public_id):
        return ""
    if another_holds(roles, by, at):
        raise NotYours("This is your own handicap: another officer changes it.")
    if not witness.strip():
        raise BadInput(
            "This is your own handicap and no other officer can act: name a witness.",
            field="witness",
        )
    return f" (own handicap, done alone; witness: {witness.strip()})"


def about_of(player: Player) -> str:
    return f"player:{player.public_id}"
