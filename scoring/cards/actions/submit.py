"""The one way figures come in: from the player's phone, the marker's, or a typed paper card."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import IntegrityError

from scoring.cards.actions.locking import (
    hold,
    own_card,
    read_again,
    refuse_unless_taken,
    scorers_only,
)
from scoring.cards.actions.signing import put_paper_signatures, refuse_paper_signatures
from scoring.cards.bridge import CardReading
from scoring.cards.models import Card, CardRevision
from scoring.cards.rules.payload import digest_of, payload_of
from scoring.cards.rules.strokes import MOST
from scoring.cards.rules.words import CardState, Channel, HeldBecause, Outcome, Record
from society.audit.actions import Deed, deed
from society.entries.models import Start
from society.fixtures.rules import FixtureState
from society.members.models import Player
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who

_KEPT = "Your figures are kept beside the card, and an officer decides."
HELD_WORDS = {
    HeldBecause.STALE: f"Somebody wrote on this card after you opened it. {_KEPT}",
    HeldBecause.UNKNOWN: f"These figures follow a version that never arrived here. {_KEPT}",
    HeldBecause.RETURNED: f"This card is returned, so only an officer changes it now. {_KEPT}",
    HeldBecause.LATE: f"Cards are no longer taken for this fixture. {_KEPT}",
    HeldBecause.SEALED: f"The result is final. {_KEPT}",
}
MOST_HELD = 20  # nobody has that many opinions of one card; a program that runs wild has
_OTHER_FIGURES = (
    "These figures cannot be taken under that number. Load the card again and send it once more."
)


@dataclass(frozen=True, slots=True)
class Submitted:
    """What became of it. `words` is the sentence for the screen."""

    revision: CardRevision
    outcome: Outcome
    words: str


class _Already(Exception):  # noqa: N818 - no error: it takes the deed back, so no line is written
    def __init__(self, revision: CardRevision) -> None:
        super().__init__()
        self.revision = revision


def submit_card(
    *,
    card_of: Start | Card,
    record: Record,
    uuid: UUID,
    parent_uuid: UUID | None,
    strokes: Sequence[int | None],
    channel: Channel,
    claimed_at: datetime | None = None,
    signatures_seen: bool = False,
    words: str = "",
    witness: str = "",
    by: Who,
    at: datetime,
) -> Submitted:
    """Write figures into one record of a card, or keep them beside it.

    `strokes` of the holes in play, None for no score. `uuid` is the sender's own number for this
    writing, for ever; `parent_uuid` the writing of the same record it replaces, None for the
    first. `signatures_seen` (typed paper only) gives both certificates in the same deed.
    Sent again it is answered ALREADY and nothing is written; a parent that is not the last one, a
    returned card, a late or sealed one is HELD. Raises BadInput for bad figures or a known UUID
    with other figures, WrongState where no card can be taken, NotYours for somebody else's record.
    """
    if signatures_seen:
        refuse_paper_signatures()
    sent = _Sent(record, uuid, parent_uuid, channel, claimed_at, signatures_seen, words, witness)
    for last_try in (False, True):
        try:
            return _submit(card_of, sent, strokes, by, at)
        except IntegrityError:
            # Somebody was a moment quicker: read again, and the same question has an answer.
            if last_try:
                raise BadInput(_OTHER_FIGURES) from None
    raise AssertionError("unreachable")


@dataclass(frozen=True, slots=True)
class _Sent:
    record: Record
    uuid: UUID
    parent_uuid: UUID | None
    channel: Channel
    claimed_at: datetime | None
    signatures_seen: bool
    words: str
    witness: str


def _submit(
    card_of: Start | Card, sent: _Sent, strokes: Sequence[int | None], by: Who, at: datetime
) -> Submitted:
    author = _author(card_of, sent.record, by)
    if author and by.is_player(author.public_id):
        by = by.acting_as(author.public_id)
    payload = payload_of(strokes)
    about = f"card:{_start_of(card_of).public_id}"
    try:
        with deed(by=by, at=at, what=f"{sent.record} figures written", about=about) as d:
            start, card = hold(card_of)
            known = CardRevision.objects.filter(uuid=sent.uuid).first()
            if known is not None:
                _refuse_other_figures(known, card, sent, payload)
                raise _Already(known)
            refuse_unless_taken(start)
            _refuse_bad_figures(strokes, start)
            return _write(d, start, card, sent, payload, author)
    except _Already as found:
        words = "We already have these figures."
        return Submitted(found.revision, Outcome.ALREADY, words)


def _start_of(card_of: Start | Card) -> Start:
    if isinstance(card_of, Start):
        return card_of
    return Start.objects.get(round=card_of.round_id, entry=card_of.entry_id)


def _author(card_of: Start | Card, record: Record, by: Who) -> Player | None:
    """Whose hand it is; NotYours if that record is not this person's to write."""
    start = _start_of(card_of)
    player, marker = start.entry.player, start.marker.player if start.marker else None
    if record is Record.PLAYER:
        if not by.is_player(player.public_id):
            raise NotYours(f"Only {player.name} writes the player’s figures of this card.")
        return player
    if record is Record.MARKER:
        if marker is None:
            raise NotYours("Nobody is named as the marker of this card yet.")
        if marker == player or not by.is_player(marker.public_id):
            raise NotYours(f"Only {marker.name} writes the marker’s figures of this card.")
        return marker
    scorers_only(by)
    if by.is_player(player.public_id):
        return player
    return Player.objects.filter(public_id=by.player).first() if by.player else None


def _refuse_other_figures(known: CardRevision, card: Card, sent: _Sent, payload: str) -> None:
    same = known.card_id == card.pk and known.record == sent.record and known.payload == payload
    if not same:
        raise BadInput(_OTHER_FIGURES)


def _refuse_bad_figures(strokes: Sequence[int | None], start: Start) -> None:
    holes = start.round.holes
    wanted = 18 if holes == "18" else 9
    if len(strokes) != wanted:
        raise BadInput(f"A card of this round has {wanted} holes; {len(strokes)} were sent.")
    if any(gross is not None and not 1 <= gross <= MOST for gross in strokes):
        raise BadInput("A score is a whole number from 1 to 99, or a dash for no score.")


def _write(
    d: Deed, start: Start, card: Card, sent: _Sent, payload: str, author: Player | None
) -> Submitted:
    reading = read_again(start)
    digest = digest_of(card.public_id, payload)
    because = _held_because(reading, sent, digest)
    if because and len(reading.held) >= MOST_HELD:
        raise WrongState(
            f"{MOST_HELD} writings wait beside this card already; an officer decides on them "
            "first. Keep what you wrote, and send it again after that."
        )
    words = sent.words.strip()
    if sent.record is Record.COMMITTEE and reading.standing_digest not in (None, digest):
        words = own_card(d.by, d.at, start, sent.words, sent.witness)
    last = reading.records.get(sent.record)
    number = None if because else (last.number or 0) + 1 if last else 1
    revision = CardRevision.objects.create(
        card=card,
        record=sent.record,
        number=number,
        uuid=sent.uuid,
        parent_uuid=sent.parent_uuid,
        payload=payload,
        digest=digest,
        channel=sent.channel,
        claimed_at=sent.claimed_at,
        held_because=because or "",
        author=author,
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )
    new: dict[str, object] = {"record": sent.record.value, "digest": digest, "number": number}
    if because:
        new["held"] = because.value
    d.change(f"card:{card.public_id}", new, {"digest": last.digest} if last else None)
    if because:
        return Submitted(revision, Outcome.HELD, HELD_WORDS[because])
    if sent.signatures_seen and sent.record is Record.COMMITTEE:
        put_paper_signatures(d, start, revision)
    holes = len(reading.holes)
    return Submitted(revision, Outcome.NEW, f"All {holes} holes arrived.")


def _held_because(reading: CardReading, sent: _Sent, digest: str) -> HeldBecause | None:
    """Why these figures may not be applied now, None if they may."""
    state = reading.start.round.fixture.state
    if state == FixtureState.FINAL:
        return HeldBecause.SEALED
    officers = sent.record is Record.COMMITTEE
    if state == FixtureState.REVIEWING and not officers:
        return HeldBecause.LATE
    returned = reading.state in (CardState.RETURNED, CardState.CHECKED)
    if returned and not officers and digest != reading.standing_digest:
        return HeldBecause.RETURNED
    last = reading.records.get(sent.record)
    if sent.parent_uuid == (last.uuid if last else None):
        return None
    if sent.parent_uuid is None:
        return HeldBecause.STALE
    of_this_record = CardRevision.objects.filter(card=reading.card, record=sent.record)
    known = of_this_record.filter(uuid=sent.parent_uuid).exists()
    return HeldBecause.STALE if known else HeldBecause.UNKNOWN
