"""Scores enter a record, are corrected or taken off, and the society's own figure follows.

Every deed here that changes a score, or moves a record, works the figure out again in the same
deed and adds the lines by which the record differs from it.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from scoring.rules.strict_json import Refused, canonical, read_json
from society.audit.actions import Deed, deed
from society.handicaps.actions.own import (
    about_of,
    refuse_too_low,
    with_reason,
    work_out_again,
)
from society.handicaps.models import Score
from society.handicaps.queries.scores import Preview, preview, score_rows
from society.handicaps.rules.own import Kept, day_after
from society.handicaps.rules.scores import (
    NOTHING,
    Told,
    read_said,
    refusal_words,
    refused_field,
    said_text,
)
from society.members.models import Player
from society.members.queries import society_day
from society.web.ids import public_id
from society.web.refusals import BadInput, WrongState
from society.web.who import Who

EARLIEST = date(1950, 1, 1)
# The cause of a score that an officer took off; it stays off when its event is told again.
_TAKEN_OFF = "taken off"


def post_scores(d: Deed, *, told: Sequence[Told], within: str = "") -> list[Player]:
    """Take scores told from above into the records, inside a deed; the figures follow.

    The upper app has asked who may. A score that says what it said before writes nothing, and so
    does one that an officer took off, unless it says something else now. `within`: what the
    origins begin with; scores of such an origin that are not told again count no longer. Gives
    the players whose scores changed. Their rows are held until the deed ends, so that two results
    at once do not work a figure out past each other. A number of reads that does not depend on
    how many are told.
    """
    everything = [*told, *_not_told(told, within)]
    players = {
        player.public_id: player
        for player in Player.objects.select_for_update()
        .filter(public_id__in={one.player for one in everything})
        .order_by("pk")
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
    first = [row for row in rows if row.number == 1]
    work_out_again(d, changed, fresh={(row.player_id, day_after(row.played)) for row in first})
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
    words = with_reason(player, words, witness, by, at)
    with deed(by=by, at=at, what="score added", about=about_of(player)) as d:
        Player.objects.select_for_update().get(pk=player.pk)
        text = _new_score(player, played, holes, said, at)
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
        work_out_again(d, [player], words=row.words, strict=True)
    return row


def try_score(
    *, player: Player, played: date, holes: int, said: Mapping[str, object], at: datetime
) -> Preview:
    """What `type_score` would do to the figure; writes nothing. Raises BadInput as it does."""
    text = _new_score(player, played, holes, said, at)
    more = Kept("", "tried", played, holes, text, "")
    seen = preview(player, more=[more])
    refuse_too_low(one.new for one in seen.changes)
    return seen


def _new_score(
    player: Player, played: date, holes: int, said: Mapping[str, object], at: datetime
) -> str:
    """The text of a score that can be added; BadInput for one that cannot."""
    if not EARLIEST <= played <= society_day(at):
        raise BadInput("A score is of a day that is past, or of today.", field="played")
    text = checked_score(said, played=played, holes=holes)
    standing = (rows[-1] for rows in score_rows([player.pk]).values())
    if any((row.played, row.holes, row.said) == (played, holes, text) for row in standing):
        raise BadInput("That score is in the record already.", field="played")
    return text


def withdraw_score(*, score: Score, words: str, witness: str = "", by: Who, at: datetime) -> Score:
    """An officer takes a score off with a reason: it counts no longer, and stays to be read.

    Raises NotYours, BadInput without a reason, WrongState where it counts no longer already.
    """
    player = score.player
    words = with_reason(player, words, witness, by, at)
    with deed(by=by, at=at, what="score taken off", about=about_of(player)) as d:
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
        work_out_again(d, [player], words=row.words, strict=True)
    return row


def checked_score(said: Mapping[str, object], *, played: date, holes: int) -> str:
    """The text kept for a score that can be; BadInput with a sentence for one that cannot."""
    text = said_text(said)
    try:
        read_said(text, played=played, holes=holes)
    except Refused as refused:
        raise BadInput(refusal_words(refused), field=refused_field(refused) or None) from refused
    return text


# parts -------------------------------------------------------------------------------------


def _say(d: Deed, row: Score) -> None:
    said: dict[str, object] = {"score": row.public_id, "number": row.number}
    if row.said == NOTHING:
        said["counts"] = False
    d.change(about_of(row.player), said | {"played": row.played.isoformat()})
