"""The deeds of society cuts: proposed from a result, answered by an officer, written, ended.

A proposal moves nothing. A confirmed cut counts from the day after play, which is the day the
result is about and the same however long the answer takes; a handicap that was taken for another
fixture before the answer stands as it was taken.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from scoring.rules.strict_json import canonical
from society.audit.actions import Deed, deed
from society.handicaps.actions.own import own_and_alone
from society.handicaps.letters import cut_confirmed
from society.handicaps.models import CutAnswer, CutProposal, SocietyCut
from society.handicaps.queries.cuts import proposals_of, shots_of, standing_of
from society.handicaps.rules.answers import CutAnswerKind
from society.handicaps.rules.cuts.steps import (
    MOST_SHOTS,
    cut_short,
    day_after,
    read_steps,
    resized,
    written_steps,
)
from society.handicaps.rules.cuts.values import Proposed, Step
from society.handicaps.rules.figures import written
from society.members.models import Player
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import HANDICAPPERS, Who

EARLIEST = date(1950, 1, 1)
_ANSWERED = (CutAnswerKind.CONFIRMED, CutAnswerKind.CHANGED, CutAnswerKind.DROPPED)
_BY_NOBODY = "by the corrected result there is no change"


@dataclass(frozen=True, slots=True)
class Decision:
    """What an officer says to one proposal. `new`: the figure of a changed one."""

    answer: CutAnswerKind
    new: Decimal | None = None
    words: str = ""


def propose_cuts(
    d: Deed,
    *,
    event: str,
    version: int,
    day: date,
    told: Sequence[Proposed],
    figures: Mapping[str, Decimal],
    cause: Mapping[str, str],
) -> list[CutProposal]:
    """Keep what a sealed version proposes, inside the deed that seals it.

    The upper app has asked who may. Proposals of an earlier version that nobody answered fall
    away. What was answered is asked again only if the version gives something else: a standing
    cut then comes back as a proposal that replaces it, also where the player now gets none.
    `told`, `figures`: figures without the cuts of this very event, by the player's public id.
    A constant number of reads.
    """
    list(CutProposal.objects.filter(event=event).select_for_update().order_by("pk").values("pk"))
    before = proposals_of(event)
    standing = standing_of(event)
    for row in before:
        if getattr(row, "answer", None) is None:
            _answer(d, row, CutAnswerKind.FELL_AWAY)
    answered = {
        row.player.public_id: row
        for row in before
        if hasattr(row, "answer") and row.answer.answer in _ANSWERED
    }
    by_player = {one.player: one for one in told if one.steps}
    known = Player.objects.in_bulk(list({*by_player, *standing}), field_name="public_id")
    made = []
    for player in [*by_player, *sorted(set(standing) - set(by_player))]:
        one, cut = by_player.get(player), standing.get(player)
        earlier = answered.get(player)
        steps = written_steps(one.steps) if one else "[]"
        if player not in known or (earlier is not None and earlier.steps == steps):
            continue
        figure = one.old if one else figures.get(player)
        if figure is None:
            continue
        running = shots_of(cut, day_after(day)) if cut else Decimal(0)
        made.append(
            CutProposal(
                player=known[player],
                event=event,
                version=version,
                day=day,
                old=figure + running,
                new=one.new if one else figure,
                steps=steps,
                because=one.because if one else _BY_NOBODY,
                cause=canonical(dict(cause)),
                replaces=cut,
                at=d.at,
                by=d.by.as_json(),
            )
        )
    CutProposal.objects.bulk_create(made)
    for proposal in made:
        d.change(
            f"player:{proposal.player.public_id}",
            {"cut proposed": proposal.public_id, "new": proposal.new},
            {"new": proposal.old},
        )
    return made


def _answer(
    d: Deed,
    proposal: CutProposal,
    answer: CutAnswerKind,
    cut: SocietyCut | None = None,
    words: str = "",
) -> CutAnswer:
    row = CutAnswer.objects.create(
        proposal=proposal,
        answer=answer.value,
        cut=cut,
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )
    about = f"player:{proposal.player.public_id}"
    said: dict[str, object] = {"proposal": proposal.public_id, "answer": answer.value}
    d.change(about, said | ({"cut": cut.public_id} if cut else {}))
    return row


def answer_proposals(
    *,
    event: str,
    decisions: Mapping[str, Decision],
    witness: str = "",
    by: Who,
    at: datetime,
) -> list[CutAnswer]:
    """Confirm, change or leave proposals of one result, by their public ids; the rest wait.

    A changed one and one that is left want a reason. One's own is for another officer; where
    there is none it is done alone with a `witness`. Whoever changes is told by letter. Nothing is
    kept unless all of it can be. Raises NotYours, WrongState for one that is answered already,
    BadInput.
    """
    _handicappers(by)
    if not decisions:
        raise BadInput("Tick at least one player.")
    with deed(by=by, at=at, what="cuts answered", about=f"competition:{event}") as d:
        asked = CutProposal.objects.filter(event=event, public_id__in=list(decisions))
        # Held first and read after: who waited for another officer has to see that answer.
        list(asked.select_for_update().order_by("pk").values_list("pk"))
        rows = asked.select_related("player", "replaces__replaced_by", "answer")
        found = list(rows.order_by("pk"))
        if len(found) != len(decisions):
            raise WrongState("One of these proposals is not known here. Open the page again.")
        return [_decide(d, row, decisions[row.public_id], witness, by, at) for row in found]


def _decide(
    d: Deed, row: CutProposal, decision: Decision, witness: str, by: Who, at: datetime
) -> CutAnswer:
    if hasattr(row, "answer"):
        raise WrongState(f"{row.player.name}: this proposal has been answered already.")
    alone = own_and_alone(row.player, witness, by, at)
    words = decision.words.strip()
    if decision.answer is not CutAnswerKind.CONFIRMED and not words:
        raise BadInput(f"{row.player.name}: say why, in a few words.", field="words")
    if decision.answer is CutAnswerKind.DROPPED:
        return _answer(d, row, CutAnswerKind.DROPPED, words=words + alone)
    if row.replaces is not None and hasattr(row.replaces, "replaced_by"):
        raise WrongState(f"{row.player.name}: the cut it would replace stands no longer.")
    steps, new, because = read_steps(row.steps), row.new, row.because
    if decision.answer is CutAnswerKind.CHANGED:
        steps, new = _changed(row, decision.new)
        because = f"{row.because}; set to {written(new)} instead of {written(row.new)}"
    cut = _cut(
        d,
        player=row.player,
        valid_from=day_after(row.day),
        steps=steps,
        because=because,
        cause=row.cause,
        replaces=row.replaces,
        words=words + alone,
    )
    answer = _answer(d, row, decision.answer, cut, words + alone)
    cut_confirmed(d, row, cut, new)
    return answer


def _changed(row: CutProposal, new: Decimal | None) -> tuple[tuple[Step, ...], Decimal]:
    """The steps to another figure: the days of the proposal, with another size."""
    if new is None or new != round(new, 1) or abs(new) > MOST_SHOTS * 2:
        raise BadInput(f"{row.player.name}: write the new figure with one decimal.", field="new")
    if new == row.new:
        raise BadInput(f"{row.player.name}: that is what is proposed.", field="new")
    running = shots_of(row.replaces, day_after(row.day)) if row.replaces else Decimal(0)
    shots = new - (row.old - running)
    if abs(shots) > MOST_SHOTS:
        raise BadInput(f"{row.player.name}: that is too far from {row.old}.", field="new")
    return resized(read_steps(row.steps), shots), new


def write_cut(
    *,
    player: Player,
    shots: Decimal,
    valid_from: date,
    until: date | None = None,
    words: str,
    witness: str = "",
    by: Who,
    at: datetime,
) -> SocietyCut:
    """A cut typed by hand, with a reason; below zero takes shots off, above gives them back.

    `until`: the first day it counts no longer. Raises NotYours, BadInput.
    """
    _handicappers(by)
    alone = own_and_alone(player, witness, by, at)
    if not shots or shots != round(shots, 1) or abs(shots) > MOST_SHOTS:
        raise BadInput(f"Shots go from 0.1 to {MOST_SHOTS}, with one decimal.", field="shots")
    if not EARLIEST <= valid_from <= at.date() + timedelta(days=366):
        raise BadInput(
            "A cut counts from a day of the past, or at most a year ahead.", field="valid_from"
        )
    if until is not None and until <= valid_from:
        raise BadInput("A cut ends after the day it begins.", field="until")
    if not words.strip():
        raise BadInput("Say why, in a few words: it stands on the record.", field="words")
    about = f"player:{player.public_id}"
    with deed(by=by, at=at, what="cut written", about=about) as d:
        Player.objects.select_for_update().get(pk=player.pk)
        steps = (Step(shots, until),)
        _refuse_twice(player, valid_from, steps)
        return _cut(
            d,
            player=player,
            valid_from=valid_from,
            steps=steps,
            because="by the committee",
            words=words.strip() + alone,
        )


def _refuse_twice(player: Player, valid_from: date, steps: Sequence[Step]) -> None:
    """A form pressed again, or two officers at once: the same cut by hand is not meant twice."""
    standing = SocietyCut.objects.filter(
        player=player,
        valid_from=valid_from,
        steps=written_steps(steps),
        cause="",
        replaced_by__isnull=True,
    )
    if standing.exists():
        raise BadInput("That very cut stands on the record already.", field="shots")


def end_cut(
    *, cut: SocietyCut, on: date, words: str, witness: str = "", by: Who, at: datetime
) -> SocietyCut:
    """End a cut on a day, with a reason: a row in its place that says what was true before.

    Raises NotYours, BadInput, WrongState where another one took its place already.
    """
    _handicappers(by)
    alone = own_and_alone(cut.player, witness, by, at)
    if not words.strip():
        raise BadInput("Say why, in a few words: it stands on the record.", field="words")
    with deed(by=by, at=at, what="cut ended", about=f"player:{cut.player.public_id}") as d:
        now = SocietyCut.objects.select_for_update(of=("self",)).get(pk=cut.pk)
        if SocietyCut.objects.filter(replaces=now).exists():
            raise WrongState("Another one took the place of this cut already.")
        before = read_steps(now.steps)
        after = cut_short(now.valid_from, before, on)
        if after == tuple(before):
            raise BadInput(
                "The cut ends by itself before that day: nothing would change.", field="on"
            )
        return _cut(
            d,
            player=cut.player,
            valid_from=now.valid_from,
            steps=after,
            because=now.because,
            cause=now.cause,
            replaces=now,
            words=words.strip() + alone,
        )


def _cut(
    d: Deed,
    *,
    player: Player,
    valid_from: date,
    steps: Sequence[Step],
    because: str,
    cause: str = "",
    replaces: SocietyCut | None = None,
    words: str = "",
) -> SocietyCut:
    row = SocietyCut.objects.create(
        player=player,
        valid_from=valid_from,
        steps=written_steps(steps),
        because=because,
        cause=cause,
        replaces=replaces,
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )
    d.change(
        f"player:{player.public_id}",
        {"cut": row.public_id, "from": valid_from.isoformat(), "steps": row.steps},
        {"cut": replaces.public_id} if replaces else None,
    )
    return row


def _handicappers(by: Who) -> None:
    if not by.may(HANDICAPPERS):
        raise NotYours("Cuts are answered by the handicap secretary and the secretary.")
