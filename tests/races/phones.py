"""A phone that sends cards, as a process of its own: `prepare N`, then `send …` or `edit …`.

Every request goes through the real middleware and the real view.
"""

import json
import sys
import uuid
from collections.abc import Iterator

import django

django.setup()

from django.test import Client  # noqa: E402 - after setup()

from scoring.cards.models import Card, CardRevision  # noqa: E402 - after setup()
from society.audit.models import AuditLine  # noqa: E402 - after setup()
from society.audit.queries import breaks_in_chain  # noqa: E402 - after setup()
from society.entries.models import Start  # noqa: E402 - after setup()
from tests.factories.cards import FOURS, ready  # noqa: E402 - after setup()
from tests.factories.members import SocietyFactory  # noqa: E402 - after setup()


def prepare(players: str) -> Iterator[list[str]]:
    """A field with handicaps taken; the cards' ids."""
    SocietyFactory()
    yield [start.public_id for start in ready(players=int(players))]


def _phone(card: str) -> Client:
    client = Client()
    client.force_login(Start.objects.get(public_id=card).entry.player.accounts.get())
    return client


def _post(client: Client, card: str, body: dict[str, object]) -> dict[str, object]:
    response = client.post(f"/cards/{card}/send/", json.dumps(body), "application/json")
    return {"status": response.status_code, **response.json()}


def _say(what: object) -> None:
    print(json.dumps(what), flush=True)


def _ready() -> None:
    """Wait for the word to go, so that all begin at the same moment."""
    _say("ready")
    sys.stdin.readline()


def send(cards: str, uuids: str, times: str) -> Iterator[list[object]]:
    """Send each card, with its UUID, so many times as fast as it goes."""
    pairs = zip(cards.split(), uuids.split(), strict=False)
    phones = [(card, one, _phone(card)) for card, one in pairs]
    _ready()
    yield [
        _post(phone, card, {"uuid": one, "parent": None, "strokes": FOURS})
        for card, one, phone in phones
        for _ in range(int(times))
    ]


def edit(card: str, rounds: str, figure: str) -> Iterator[dict[str, object]]:
    """In each round write new figures on the writing that stood before anybody was let go."""
    phone = _phone(card)
    for number in range(int(rounds)):
        last = CardRevision.objects.filter(card__public_id=card, number__isnull=False)
        parent = last.order_by("-number").values_list("uuid", flat=True).first()
        strokes = [int(figure)] * 17 + [number % 9 + 1]
        body = {"uuid": str(uuid.uuid4()), "parent": str(parent) if parent else None}
        _ready()
        yield _post(phone, card, body | {"strokes": strokes})


def counts() -> Iterator[dict[str, object]]:
    """What is stored in the end."""
    yield {
        "cards": Card.objects.count(),
        "numbers": sorted(CardRevision.objects.values_list("number", flat=True), key=str),
        "held": CardRevision.objects.filter(number__isnull=True).count(),
        "lines": AuditLine.objects.count(),
        "breaks": list(breaks_in_chain()),
    }


if __name__ == "__main__":
    deeds = {"prepare": prepare, "send": send, "edit": edit, "counts": counts}
    for answer in deeds[sys.argv[1]](*sys.argv[2:]):
        _say(answer)
        sys.stdin.readline()  # until everybody's answer was heard
