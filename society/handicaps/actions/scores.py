"""Scores enter a record, are corrected or taken off, and the society's own figure follows.

Every deed here that changes a score, or moves a record, works the figure out again in the same
deed and adds the lines by which the record differs from it.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal

from scoring.rules.strict_json import Refused, canonical, read_json
from scoring.rules.values import HandicapKind
from society.audit.actions import Deed, deed
from society.handicaps.models import Adjustment, HandicapEntry, Score
from society.handicaps.queries.scores import own_of, score_rows, worked_out_again
from society.handicaps.rules.figures import LOWEST, Source, spoken
from society.handicaps.rules.own import Move, Step, own_history, too_high
from society.handicaps.rules.scores import (
    NOTHING,
    Told,
    read_said,
    refusal_words,
    refused_field,
    said_text,
)
from society.members.models import Player
from society.members.queries import another_holds, society_day
from society.web.ids import public_id
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import HANDICAPPERS, Who

EARLIEST = date(1950, 1, 1)
# The cause of a score that an officer took off; it stays off when its event is told again.
_TAKEN_OFF = "taken off"
_SMALLEST, _LARGEST = Decimal("1.0"), Decimal("20.0")


def post_scores(d: Deed, *, told: Sequence[Told], within: str = "") -> list[Player]:
    """Take scores told from above into the records, inside a deed; the figures follow.

    The upper app has asked who may. A score that says what it said before writes nothing, and so
    does one that an officer took off, unless it says something else now. `within`: what the
    origins begin with; scores of such an origin that are not told again count no longer. Gives
    the players whose scores changed. A number of reads that does not depend on how many are told.
    """
    everything = [*told, *_not_told(told, within)]
    players = {
        player.public_id: player
        for player in Player.objects.filter(public_id__in={one.player for one in everything})
    }
    kept = score_rows([player.pk for player in players.values()])
    made = [
        _row(d, one, players[one.player], kept.get((players[one.player].pk, one.origin), []))
        for one in everything
    ]
    rows = [row for row in made if row is not None]
    Score.objects.bulk_create(rows)
    for row in rows:
        _say(d, row)
    changed = list({row.player_id: row.player for row in rows}.values())
    work_out_again(d, changed)
    return changed


def _not_told(told: Sequence[Told], within: str) -> list[Told]:
    """What was told of an event before and is not any more."""
    if not within:
        return []
    again = {(one.player, one.origin) for one in told}
    rows = Score.objects.filter(origin__startswith=within).select_related("player").order_by("pk")
    before = {(row.player.public_id, row.origin): row for row in rows}
    return [
        Told(player, origin, row.played, row.holes, {}, _read_cause(row.cause))
        for (player, origin), row in before.items()
        if (player, origin) not in again
    ]


def _read_cause(text: str) -> Mapping[str, str]:
    found = read_json(text) if text else {}
    return found if isinstance(found, dict) else {}


def _row(d: Deed, one: Told, player: Player, before: Sequence[Score]) -> Score | None:
    """The next row of a score; None where nothing is to be written."""
    said = said_text(one.said)
    if not before and said == NOTHING:
        return None
    if before:
        last = before[-1]
        if (last.said, last.played, last.holes) == (said, one.played, one.holes):
            return None
        if last.said == NOTHING and (said == NOTHING or _taken_off_so(before, said)):
            return None
    return Score(
        player=player,
        origin=one.origin,
        number=len(before) + 1,
        played=one.played,
        holes=one.holes,
        said=said,
        cause=canonical(dict(one.cause)) if one.cause else "",
        at=d.at,
        by=d.by.as_json(),
    )


def _taken_off_so(before: Sequence[Score], said: str) -> bool:
    """Whether an officer took off the very score that is told again."""
    return _read_cause(before[-1].cause).get("kind") == _TAKEN_OFF and before[-2].said == said


def type_score(
    *,
    player: Player,
    played: date,
    holes: int,
    said: Mapping[str, object],
    words: str,
    witness: str = "",
    by: Who,
    at: datetime,
) -> Score:
    """An officer adds a score by hand, with a reason; the figure follows from the next day.

    `said`: the score as the handicap record document has it, without the day. One's own is for
    another officer, or alone with a `witness`. Raises NotYours, and BadInput for a score that
    cannot be, for a day to come, or for one that is in the record already.
    """
    words = _with_reason(player, words, witness, by, at)
    _check_day(played, at)
    text = checked_score(said, played=played, holes=holes)
    with deed(by=by, at=at, what="score added", about=_about(player)) as d:
        Player.objects.select_for_update().get(pk=player.pk)
        if any(
            (row.played, row.holes, row.said) == (played, holes, text)
            for row in (rows[-1] for rows in score_rows([player.pk]).values())
        ):
            raise BadInput("That score is in the record already.", field="played")
        made = public_id()
        row = Score.objects.create(
            public_id=made,
            player=player,
            origin=f"typed:{made}",
            number=1,
            played=played,
            holes=holes,
            said=text,
            cause=canonical({"kind": "typed", "id": made, "words": "score added by hand"}),
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        _say(d, row)
        work_out_again(d, [player])
    return row


def withdraw_score(*, score: Score, words: str, witness: str = "", by: Who, at: datetime) -> Score:
    """An officer takes a score off with a reason: it counts no longer, and stays to be read.

    Raises NotYours, BadInput without a reason, WrongState where it counts no longer already.
    """
    player = score.player
    words = _with_reason(player, words, witness, by, at)
    with deed(by=by, at=at, what="score taken off", about=_about(player)) as d:
        Player.objects.select_for_update().get(pk=player.pk)
        last = score_rows([player.pk])[(player.pk, score.origin)][-1]
        if last.said == NOTHING:
            raise WrongState("That score counts no longer.")
        row = Score.objects.create(
            player=player,
            origin=last.origin,
            number=last.number + 1,
            played=last.played,
            holes=last.holes,
            said=NOTHING,
            cause=canonical({"kind": _TAKEN_OFF, "id": score.public_id, "words": "taken off"}),
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        _say(d, row)
        work_out_again(d, [player])
    return row


def adjust(
    *,
    player: Player,
    shots: Decimal,
    words: str,
    exceptional: str = "",
    witness: str = "",
    by: Who,
    at: datetime,
) -> Adjustment:
    """The committee moves a record: each of the latest 20 differentials by so many shots.

    Below zero lowers the figure. It counts from the day after. `exceptional`: why the figure may
    go further than 5.0 above the lowest of a year. Raises NotYours, and BadInput for less than
    1.0 either way, without a reason, without a figure, or for a rise too far. Source: Rules of
    Handicapping 2024, Rule 7.1a.
    """
    words = _with_reason(player, words, witness, by, at)
    check_shots(shots)
    on = society_day(at)
    with deed(by=by, at=at, what="record adjusted", about=_about(player)) as d:
        Player.objects.select_for_update().get(pk=player.pk)
        own = own_of(player)
        if own.figure is None:
            raise BadInput(
                "There is no figure from cards yet, so there is none to adjust.", field="shots"
            )
        after = own_history(own.kept, [*own.moves, Move("", on, shots)])
        sentence = too_high(own, after, on)
        if sentence and not exceptional.strip():
            raise BadInput(sentence, field="exceptional")
        because = f"{words} Exceptional: {exceptional.strip()}" if exceptional.strip() else words
        row = Adjustment.objects.create(
            player=player,
            on=on,
            shots=shots,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(because),
        )
        d.change(_about(player), {"adjustment": row.public_id, "shots": shots})
        work_out_again(d, [player])
    return row


def check_shots(shots: Decimal) -> None:
    """BadInput for an adjustment no committee may make."""
    if shots != round(shots, 1):
        raise BadInput("An adjustment has one digit after the point.", field="shots")
    if abs(shots) < _SMALLEST:
        raise BadInput(f"A committee adjusts by {_SMALLEST} or more.", field="shots")
    if abs(shots) > _LARGEST:
        raise BadInput(f"An adjustment by {abs(shots)} cannot be meant.", field="shots")


def checked_score(said: Mapping[str, object], *, played: date, holes: int) -> str:
    """The text kept for a score that can be; BadInput with a sentence for one that cannot."""
    text = said_text(said)
    try:
        read_said(text, played=played, holes=holes)
    except Refused as refused:
        raise BadInput(refusal_words(refused), field=refused_field(refused) or None) from refused
    return text


# parts -------------------------------------------------------------------------------------


def work_out_again(d: Deed, players: Iterable[Player]) -> None:
    """Add the lines by which the records of players differ from what is worked out."""
    by_id = {player.pk: player for player in players}
    lines: list[HandicapEntry] = []
    for pk, again in worked_out_again(by_id).items():
        player = by_id[pk]
        if not again.lines:
            continue
        lowest = min((s.value for s in again.lines if s.value is not None), default=None)
        if lowest is not None and lowest < LOWEST[HandicapKind.INDEX]:
            raise BadInput(
                f"The figure would become {spoken(lowest)}, and an index goes to "
                f"{spoken(LOWEST[HandicapKind.INDEX])}. Is the score right?"
            )
        value = again.before or Decimal(0)
        for step in again.lines:
            value = value if step.value is None else step.value
            lines.append(_line(d, player, step, value))
        d.change(
            _about(player),
            {"society handicap": again.after},
            {"society handicap": again.before},
        )
    HandicapEntry.objects.bulk_create(lines)


def _line(d: Deed, player: Player, step: Step, value: Decimal) -> HandicapEntry:
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
    )


def _say(d: Deed, row: Score) -> None:
    said: dict[str, object] = {"score": row.public_id, "number": row.number}
    if row.said == NOTHING:
        said["counts"] = False
    d.change(_about(row.player), said | {"played": row.played.isoformat()})


def _with_reason(player: Player, words: str, witness: str, by: Who, at: datetime) -> str:
    """Who may keep a record, and why it is done; for one's own with the witness."""
    if not by.may(HANDICAPPERS):
        raise NotYours("Handicap records are kept by the handicap secretary and the secretary.")
    if by.is_player(player.public_id) and another_holds(HANDICAPPERS, by, at):
        raise NotYours("This is your own record: another officer changes it.")
    if not words.strip():
        raise BadInput("Say why, in a few words: it stands in the record.", field="words")
    if not by.is_player(player.public_id):
        return words.strip()
    if not witness.strip():
        raise BadInput(
            "This is your own record and no other officer can act: name a witness.",
            field="witness",
        )
    return f"{words.strip()} (own record, done alone; witness: {witness.strip()})"


def _check_day(played: date, at: datetime) -> None:
    if not EARLIEST <= played <= society_day(at):
        raise BadInput("A score is of a day that is past, or of today.", field="played")


def _about(player: Player) -> str:
    return f"player:{player.public_id}"
