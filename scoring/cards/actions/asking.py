"""What officers do with a card: ask, hear the answer, check it, decide figures kept beside it."""

from datetime import datetime
from uuid import UUID, uuid5

from scoring.cards.actions.locking import (
    hold,
    own_card,
    read_again,
    refuse_unless_open,
    refuse_unless_taken,
    scorers_only,
)
from scoring.cards.bridge import CardReading
from scoring.cards.models import Card, CardRevision, CardStep
from scoring.cards.rules.words import CardDeed, CardState, Channel, Record
from society.audit.actions import Deed, deed
from society.entries.models import Start
from society.web.refusals import BadInput, Missing, NotYours, WrongState
from society.web.who import SCORERS, Who


def ask(*, start: Start, words: str, by: Who, at: datetime) -> None:
    """An officer asks about a card; it is queried until somebody answers."""
    scorers_only(by)
    if not words.strip():
        raise BadInput("Write what you want to know.", field="words")
    with deed(by=by, at=at, what="question asked", about=f"card:{start.public_id}") as d:
        start, card = hold(start)
        refuse_unless_open(start)
        reading = _written(start)
        if reading.question and reading.question.is_open:
            raise WrongState("There is an open question on this card already.")
        _step(d, reading, card, CardDeed.ASKED, words)


def answer(*, start: Start, words: str, by: Who, at: datetime) -> None:
    """The player, the marker or an officer answers the open question."""
    if not words.strip():
        raise BadInput("Write the answer.", field="words")
    near = [start.entry.player.public_id]
    if start.marker is not None:
        near.append(start.marker.player.public_id)
    if not by.may(SCORERS) and not any(by.is_player(one) for one in near):
        raise NotYours("The player, the marker or an officer answers that.")
    with deed(by=by, at=at, what="question answered", about=f"card:{start.public_id}") as d:
        start, card = hold(start)
        refuse_unless_open(start)
        reading = _written(start)
        if reading.question is None or not reading.question.is_open:
            raise WrongState("No question on this card waits for an answer.")
        _step(d, reading, card, CardDeed.ANSWERED, words)


def check(*, start: Start, by: Who, at: datetime) -> None:
    """An officer has compared the returned card and found it right."""
    scorers_only(by)
    if by.is_player(start.entry.player.public_id):
        raise NotYours("This is your own card: another officer checks it.")
    with deed(by=by, at=at, what="card checked", about=f"card:{start.public_id}") as d:
        start, card = hold(start)
        refuse_unless_open(start)
        reading = _written(start)
        if reading.state is CardState.CHECKED:
            raise WrongState("This card is checked already.")
        if reading.state is not CardState.RETURNED:
            raise WrongState(
                "A card is checked once it is returned: both have certified it, or the paper "
                "is typed, and no question is open."
            )
        _step(d, reading, card, CardDeed.CHECKED, "")


def take_held(
    *, start: Start, uuid: UUID, words: str, witness: str = "", by: Who, at: datetime
) -> CardRevision:
    """Take figures kept beside the card: they become the next committee writing.

    That writing's own number is made from the held one's, so it names it, and a held one can be
    taken once only.
    """
    scorers_only(by)
    if not words.strip():
        raise BadInput("Say why these figures are taken.", field="words")
    with deed(by=by, at=at, what="held figures taken", about=f"card:{start.public_id}") as d:
        start, card = hold(start)
        refuse_unless_taken(start)
        refuse_unless_open(start)
        kept = own_card(by, at, start, words, witness)
        reading, held = _undecided(start, card, uuid)
        last = reading.records.get(Record.COMMITTEE)
        revision = CardRevision.objects.create(
            card=card,
            record=Record.COMMITTEE,
            number=(last.number or 0) + 1 if last else 1,
            uuid=uuid5(held.uuid, "taken"),
            parent_uuid=last.uuid if last else None,
            payload=held.payload,
            digest=held.digest,
            channel=Channel(held.channel),
            at=d.at,
            by=d.by.as_json(),
            words=d.words(kept),
        )
        _decide(d, card, held, CardDeed.HELD_TAKEN, kept)
        d.change(
            f"card:{start.public_id}",
            {"record": "committee", "digest": held.digest, "number": revision.number},
            {"digest": reading.standing_digest},
        )
        return revision


def refuse_held(*, start: Start, uuid: UUID, words: str, by: Who, at: datetime) -> None:
    """Leave figures kept beside the card out of it; they stay on record.

    Not while the result is final: what waits there is the reason to open it again.
    """
    scorers_only(by)
    if not words.strip():
        raise BadInput("Say why these figures are left out.", field="words")
    with deed(by=by, at=at, what="held figures left out", about=f"card:{start.public_id}") as d:
        start, card = hold(start)
        refuse_unless_open(start)
        own_card(by, at, start, words, words)
        _, held = _undecided(start, card, uuid)
        _decide(d, card, held, CardDeed.HELD_REFUSED, words)


def _written(start: Start) -> CardReading:
    reading = read_again(start)
    if reading.standing is None:
        raise WrongState("Nothing is written on this card yet.")
    return reading


def _step(d: Deed, reading: CardReading, card: Card, kind: CardDeed, words: str) -> None:
    standing = reading.standing
    CardStep.objects.create(
        card=card,
        kind=kind,
        revision=CardRevision.objects.get(uuid=standing.uuid) if standing else None,
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )
    d.change(f"card:{card.public_id}", {"step": kind.value})


def _undecided(start: Start, card: Card, uuid: UUID) -> tuple[CardReading, CardRevision]:
    reading = read_again(start)
    if all(held.uuid != uuid for held in reading.held):
        if CardRevision.objects.filter(card=card, uuid=uuid, number=None).exists():
            raise WrongState("These figures are decided already.")
        raise Missing("There are no such figures beside this card.")
    return reading, CardRevision.objects.get(card=card, uuid=uuid)


def _decide(d: Deed, card: Card, held: CardRevision, kind: CardDeed, words: str) -> None:
    CardStep.objects.create(
        card=card, kind=kind, revision=held, at=d.at, by=d.by.as_json(), words=d.words(words)
    )
    d.change(f"card:{card.public_id}", {"held": str(held.uuid), "step": kind.value})
