"""The standing of a competition: worked out from the cards as they are, or as it was sealed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from django.db.models import QuerySet

from scoring.cards.rules.words import CardState
from scoring.results.bridge import (
    Facts,
    document_of,
    exported,
    facts_of,
    sealed_document,
)
from scoring.results.models import (
    ResultVersion,
    Ruling,
)
from scoring.results.queries.newcomers import newcomers_in
from scoring.results.rules import (
    ACCEPTED,
)
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.strict_json import Refused, inside, read_json
from scoring.rules.values import Event, RulingKind
from scoring.rules.working import Step
from society.courses.rules import RatedHoles
from society.entries.models import CourseCard, Entry, Frozen
from society.fixtures.models import Competition, Fixture, Round
from society.handicaps.rules.newcomers import NOBODY_NEW, Newcomers
from society.handicaps.rules.used import read_made

_NOTHING: dict[str, Any] = {"standings": [], "unplaced": [], "divisions": {}}
_COMPARED = ("standings", "unplaced", "divisions")


@dataclass(frozen=True, slots=True)
class Person:
    """Who stands behind a key: the name as it is today, and the public ids."""

    name: str
    player: str
    entry: str
    is_member: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """How a competition stands: worked out now, or read from a sealed version.

    `document` is what was scored (keys for names in a sealed one), `answer` the engine's answer
    to it. `accepted`: the rulings that took a card as it was written. `left_out`: sentences on
    orders that no longer fit the cards. `facts` are None for a sealed one. `newcomers`: those who
    may not win yet; they keep their places.
    """

    competition: Competition
    document: Mapping[str, Any]
    answer: Mapping[str, Any]
    people: Mapping[str, Person]
    round: Round
    accepted: tuple[Ruling, ...] = ()
    version: ResultVersion | None = None
    facts: Facts | None = None
    left_out: tuple[str, ...] = field(default=())
    newcomers: Newcomers = NOBODY_NEW

    @property
    def is_final(self) -> bool:
        """Whether this is a sealed version."""
        return self.version is not None

    @property
    def field_size(self) -> int:
        """How many are in the field."""
        return len(self.document["players"])

    @property
    def cards_in(self) -> int:
        """How many cards have figures."""
        return len(self.document["cards"])

    @property
    def event(self) -> Event | None:
        """The event as the engine reads it; None where there is no field yet."""
        return read_event(self.document) if self.document["players"] else None

    @property
    def holes(self) -> tuple[int, ...]:
        """The holes in play as the card of the course numbers them."""
        return tuple(RatedHoles(self.round.holes).numbers)

    def name_of(self, key: str) -> str:
        """The name behind a key; the key itself where the entry is no longer known."""
        return self.people[key].name if key in self.people else key

    def state_of(self, key: str) -> CardState | None:
        """How a card stands; None in a sealed result, where all is settled."""
        return self.facts.readings[key].state if self.facts else None


def provisional(competition: Competition) -> Standing:
    """How the competition stands by the cards as they are now.

    An order that no longer names one whole group of level players is left out and said so.
    """
    facts = facts_of(competition)
    document = document_of(facts)
    answer, left_out = _scored(document, facts)
    return Standing(
        competition=competition,
        document=document,
        answer=answer,
        people={key: _person(reading.start.entry) for key, reading in facts.readings.items()},
        round=facts.round,
        accepted=tuple(row for row in facts.rulings if row.kind == ACCEPTED),
        facts=facts,
        left_out=left_out,
        newcomers=newcomers_in(competition.fixture),
    )


def _scored(document: dict[str, Any], facts: Facts) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The engine's answer; orders that do not fit are taken out of the document one by one."""
    left_out: list[str] = []
    rulings = exported(facts)
    while document["players"]:
        try:
            return score(read_event(document)), tuple(left_out)
        except Refused as refused:
            at = _order_at_fault(refused, rulings)
            if at is None:
                raise
            left_out.append(
                f"The order “{rulings[at].reason}” no longer fits the cards and is left out."
            )
            del rulings[at], document["rulings"][at]
    return _NOTHING, tuple(left_out)


def _order_at_fault(refused: Refused, rulings: list[Ruling]) -> int | None:
    for at, ruling in enumerate(rulings):
        place = inside("rulings", at)
        if ruling.kind == RulingKind.ORDER and refused.place.startswith(f"{place}.players"):
            return at
    return None


def _person(entry: Entry) -> Person:
    player = entry.player
    return Person(player.name, player.public_id, entry.public_id, entry.as_member)


def people_of(competition: Competition) -> dict[str, Person]:
    """Everyone ever entered in the competition's fixture, by key. One query."""
    rows = Entry.objects.filter(fixture=competition.fixture_id).select_related("player")
    return {entry.key: _person(entry) for entry in rows}


def versions_of(competition: Competition) -> QuerySet[ResultVersion]:
    """Every version that was sealed, the latest first."""
    return (
        ResultVersion.objects.filter(competition=competition)
        .select_related("words")
        .order_by("-number")
    )


def final_version(competition: Competition) -> ResultVersion | None:
    """The version that stands; None while nothing is sealed."""
    return versions_of(competition).first()


def sealed(version: ResultVersion, competition: Competition) -> Standing:
    """A sealed version as it was sealed, with the names of today."""
    answer = read_json(version.outputs)
    if not isinstance(answer, dict):
        raise TypeError("the outputs of a seal are an object")
    return Standing(
        competition=competition,
        document=sealed_document(version.inputs),
        answer=answer,
        people=people_of(competition),
        round=competition.rounds.select_related("course").order_by("number")[0],
        accepted=tuple(
            Ruling.objects.filter(competition=competition, kind=ACCEPTED, withdrawn__isnull=True)
            .select_related("entry", "words")
            .order_by("pk")
        ),
        version=version,
        newcomers=newcomers_in(competition.fixture),
    )


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a scored handicap came from: the line of the record, or the steps that led to it."""

    source: str = ""
    since: date | None = None
    before: tuple[Step, ...] = ()


def origin_of(standing: Standing, key: str) -> Origin:
    """What the handicap of a card was taken from.

    Nothing where none is known, or where the figure was put right after this was scored. One query.
    """
    rows = Frozen.objects.filter(start__round=standing.round, start__entry__key=key)
    row = rows.select_related("source_entry").order_by("-number").first()
    player = standing.event.players.get(key) if standing.event else None
    brought = player.handicap if player else None
    if row is None or row.source_entry is None or brought is None:
        return Origin()
    if (row.kind, Fraction(row.value)) != (brought.kind.value, brought.value):
        return Origin()
    made = read_made(row.made_of)
    line = row.source_entry
    return Origin(line.source, line.valid_from, made.steps if made else ())


def standing(competition: Competition) -> Standing:
    """What the result page shows: the version that stands, else the scores so far."""
    version = final_version(competition)
    return sealed(version, competition) if version else provisional(competition)


def entry_behind(now: Standing, key: str) -> Entry | None:
    """The entry behind a key of a standing worked out now."""
    if now.facts is None or key not in now.facts.readings:
        return None
    return now.facts.readings[key].start.entry


def rulings_of(competition: Competition) -> list[Ruling]:
    """Every ruling with the player and, if it was taken back, by whom; the latest first."""
    return list(
        Ruling.objects.filter(competition=competition)
        .select_related("entry__player", "words", "withdrawn__words")
        .order_by("-pk")
    )


def fixture_name(public_id: str) -> str:
    """The name of a fixture by its public id; empty where there is none."""
    names = Fixture.objects.filter(public_id=public_id).values_list("name", flat=True)
    return names.first() or ""


def tee_names(standing: Standing) -> dict[str, str]:
    """What the tees of a document are called, by their keys; with the category where it tells."""
    used = {player["tee"] for player in standing.document["players"].values()}
    rows = CourseCard.objects.filter(round=standing.round, key__in=used).select_related("tee")
    cards = [(row.key, row.tee.name, row.category) for row in rows]
    names = [name for _, name, _ in cards]
    return {
        key: f"{name} ({category})" if names.count(name) > 1 else name
        for key, name, category in cards
    }
