"""A day whose cards are typed, and small ways to write a card as the committee's record."""

import uuid
from collections.abc import Sequence
from datetime import UTC, datetime

from scoring.cards.models import Card, CardRevision
from scoring.cards.rules.payload import digest_of, payload_of
from society.entries.models import Start
from society.fixtures.models import Competition, Fixture
from society.web.who import Who
from tests.factories.cards import ready
from tests.factories.entries import entered
from tests.factories.fixtures import saturday

AT = datetime(2026, 4, 18, 17, 0, tzinfo=UTC)
OFFICER = Who(account="officer", roles=frozenset({"secretary"}), name="An Officer")


def paper(start: Start, strokes: Sequence[int | None], *, record: str = "committee") -> Card:
    """A card written once: typed paper, unless `record` says whose."""
    card, _ = Card.objects.get_or_create(
        round=start.round, entry=start.entry, defaults={"public_id": start.public_id}
    )
    payload = payload_of(strokes)
    CardRevision.objects.create(
        card=card,
        record=record,
        number=card.revisions.filter(record=record).count() + 1,
        uuid=uuid.uuid4(),
        payload=payload,
        digest=digest_of(card.public_id, payload),
        channel="paper" if record == "committee" else "phone",
        at=AT,
        by=OFFICER.as_json(),
    )
    return card


def played(
    strokes: Sequence[Sequence[int | None] | None],
    *,
    indexes: Sequence[str | None] = (),
    fixture: Fixture | None = None,
    **values: object,
) -> Fixture:
    """A fixture with a player for each card, handicaps taken; None for a card that is out.

    `indexes`: what each plays off, 18.0 where the list ends; `values` go to `saturday`.
    """
    fixture = fixture or saturday(**values)
    for number in range(len(strokes)):
        index = indexes[number] if number < len(indexes) else "18.0"
        entered(fixture, index=index, name=f"Player {chr(65 + number % 26)}{number:03d}")
    for start, card in zip(ready(fixture), strokes, strict=True):
        if card is not None:
            paper(start, card)
    return fixture


def competition_of(fixture: Fixture) -> Competition:
    """The one competition of a plain Saturday."""
    return fixture.competitions.get(number=1)
