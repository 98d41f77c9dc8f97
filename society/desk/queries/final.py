"""What still stands in the way of a final result: cards out, cards unsigned or queried."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from scoring.cards.bridge import CardReading
from scoring.cards.rules.words import CardState
from scoring.results.bridge import Facts, detail_of, facts_of
from scoring.results.queries.rulings import another_officer
from scoring.results.queries.standings import final_version
from scoring.results.rules import ACCEPTED, STATUSES
from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import competitions_of
from society.web.templatetags.look import names
from society.web.who import Who

_WORDS = {
    CardState.OUT: "no card",
    CardState.STARTED: "written, nobody has signed",
    CardState.WAITING: "one signature is missing",
    CardState.QUERIED: "queried",
}


@dataclass(frozen=True, slots=True)
class OpenCard:
    """One card that needs a ruling before the result can be final."""

    entry: str
    key: str
    name: str
    words: str
    mine: bool


@dataclass(frozen=True, slots=True)
class Readiness:
    """How far a competition is from final. `typed_alone`: names, for the seal.

    `out`: cards still out. `unsettled`: written but unsigned or queried. `held`: writings that
    wait for an officer. `mine_and_alone`: an own card is among them and nobody else could rule.
    """

    competition: Competition
    out: tuple[OpenCard, ...]
    unsettled: tuple[OpenCard, ...]
    held: int
    typed_alone: tuple[str, ...]
    cards_in: int
    field_size: int
    own: bool
    alone: bool

    @property
    def mine_and_alone(self) -> bool:
        """Whether a witness has to be named."""
        return self.own and self.alone


def readiness(competition: Competition, who: Who, at: datetime) -> Readiness:
    """What is open in a competition now, in the order of the draw."""
    facts = facts_of(competition)
    ruled = {r.entry.key for r in facts.rulings if r.entry is not None and r.kind in STATUSES}
    accepted = _accepted(facts)
    waiting = [
        (key, reading)
        for key, reading in facts.readings.items()
        if reading.state in _WORDS
        and key not in ruled
        and (key, reading.standing_digest) not in accepted
    ]
    rows = [(reading.state, _open_card(key, reading, who)) for key, reading in waiting]
    return Readiness(
        competition=competition,
        out=tuple(row for state, row in rows if state is CardState.OUT),
        unsettled=tuple(row for state, row in rows if state is not CardState.OUT),
        held=sum(len(reading.held) for reading in facts.readings.values()),
        typed_alone=tuple(
            reading.start.entry.player.name
            for reading in facts.readings.values()
            if reading.typed_by_player
        ),
        cards_in=sum(reading.strokes is not None for reading in facts.readings.values()),
        field_size=len(facts.readings),
        own=any(row.mine for _, row in rows),
        alone=not another_officer(who, at),
    )


def readiness_of(fixture: Fixture, who: Who, at: datetime) -> Readiness:
    """What is open in any competition of a fixture: each card once, whatever it counts for."""
    found = [readiness(competition, who, at) for competition in competitions_of(fixture)]
    first, others = found[0], found[1:]
    if not others:
        return first
    cards: dict[str, CardReading] = {}
    for competition in competitions_of(fixture):
        cards |= facts_of(competition).readings
    return replace(
        first,
        out=_once(card for ready in found for card in ready.out),
        unsettled=_once(card for ready in found for card in ready.unsettled),
        held=sum(len(reading.held) for reading in cards.values()),
        typed_alone=tuple(dict.fromkeys(n for ready in found for n in ready.typed_alone)),
        cards_in=sum(reading.strokes is not None for reading in cards.values()),
        field_size=len(cards),
        own=any(ready.own for ready in found),
    )


def _once(cards: Iterable[OpenCard]) -> tuple[OpenCard, ...]:
    return tuple({card.entry: card for card in cards}.values())


def seal_words(ready: Readiness) -> str:
    """What the seal says beside its figures."""
    if not ready.typed_alone:
        return ""
    return f"Typed by its own player and confirmed by nobody else: {names(ready.typed_alone)}."


def _accepted(facts: Facts) -> set[tuple[str, str]]:
    """Key and digest of what was accepted as written; later figures are not."""
    return {
        (row.entry.key, detail_of(row)["digest"])
        for row in facts.rulings
        if row.kind == ACCEPTED and row.entry is not None
    }


def _open_card(key: str, reading: CardReading, who: Who) -> OpenCard:
    entry = reading.start.entry
    words = _WORDS[reading.state]
    if reading.differences:
        holes = ", ".join(str(hole) for hole, _, _ in reading.differences)
        words = f"player and marker differ on {'hole' if holes.isdigit() else 'holes'} {holes}"
    return OpenCard(
        entry=entry.public_id,
        key=key,
        name=entry.player.name,
        words=words,
        mine=who.is_player(entry.player.public_id),
    )


def is_sealed(fixture: Fixture) -> bool:
    """Whether a competition of the fixture has a sealed version."""
    return any(final_version(competition) for competition in fixture.competitions.all())
