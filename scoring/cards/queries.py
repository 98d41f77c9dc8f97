"""Reads of cards: how they all stand, for a field or for one, in a constant number of queries."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from scoring.cards.bridge import CardReading, reading_of
from scoring.cards.models import Card, CardRevision, CardStep, Certificate
from society.courses.rules import RatedHoles
from society.entries.models import EntryStep, Start
from society.entries.rules import Step
from society.fixtures.models import Round
from society.members.models import Office
from society.members.queries import society_zone
from society.web.who import SCORERS, Who

Row = TypeVar("Row", CardRevision, CardStep, Certificate)


def starts_of(round_: Round) -> QuerySet[Start]:
    """Every start of a round with entry, player and marker; `step` is the entry's last step."""
    last = EntryStep.objects.filter(entry=OuterRef("entry")).order_by("-pk")
    return (
        Start.objects.filter(round=round_)
        .select_related("entry__player", "marker__player", "round__fixture")
        .annotate(step=Subquery(last.values("kind")[:1]))
        .order_by(F("group").asc(nulls_last=True), F("place").asc(nulls_last=True), "pk")
    )


def step_of(start: Start) -> Step | None:
    """The last coming or going of the entry of a start that `starts_of` gave."""
    kind = getattr(start, "step", None)
    return Step(kind) if kind else None


def cards_of(round_: Round) -> dict[int, CardReading]:
    """How the card of every start of a round stands, by the row number of the entry.

    In order of the draw, else as handicaps were taken; `step_of(reading.start)` is the entry's
    last step, so that a caller can leave out the withdrawn. Five queries, however large the field.
    """
    return _readings(starts_of(round_), round_)


def card_reading(start: Start) -> CardReading:
    """How the one card of a start stands."""
    one = starts_of(start.round).filter(pk=start.pk)
    return _readings(one, start.round)[start.entry_id]


def _readings(starts: QuerySet[Start], round_: Round) -> dict[int, CardReading]:
    rows = list(starts)
    found = Card.objects.filter(round=round_, entry__in=[row.entry_id for row in rows])
    cards = {card.entry_id: card for card in found}
    chosen = [card.pk for card in cards.values()]
    revisions = _by_card(CardRevision.objects.filter(card__in=chosen).order_by("pk"))
    steps = _by_card(
        CardStep.objects.filter(card__in=chosen).select_related("revision", "words").order_by("pk")
    )
    certificates = _by_card(
        Certificate.objects.filter(card__in=chosen).select_related("signer").order_by("pk")
    )
    holes = RatedHoles(round_.holes)
    readings = {}
    for start in rows:
        card = cards.get(start.entry_id)
        key = card.pk if card else 0
        readings[start.entry_id] = reading_of(
            start, card, holes, revisions[key], steps[key], certificates[key]
        )
    return readings


def _by_card(rows: Iterable[Row]) -> defaultdict[int, list[Row]]:
    grouped: defaultdict[int, list[Row]] = defaultdict(list)
    for row in rows:
        grouped[row.card_id].append(row)
    return grouped


def other_scorers(by: Who, at: datetime) -> bool:
    """Whether another account holds an office that lets it handle cards on that day."""
    day = at.astimezone(ZoneInfo(society_zone())).date()
    return (
        Office.objects.filter(role__in=SCORERS, starts__lte=day, account__is_active=True)
        .filter(Q(ends__isnull=True) | Q(ends__gte=day))
        .exclude(account__public_id=by.account)
        .exists()
    )
