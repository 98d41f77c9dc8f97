"""Rows of a card to the plain values of its rules: the facts, and the reading of how it stands."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from scoring.cards.models import Card, CardRevision, CardStep, Certificate
from scoring.cards.rules.payload import Strokes, strokes_in
from scoring.cards.rules.state import (
    Facts,
    differ,
    differences,
    signature_counts,
    standing_digest,
    standing_record,
    state_of,
    taken_back,
)
from scoring.cards.rules.words import Capacity, CardDeed, CardState, Means, Record
from society.courses.rules import RatedHoles
from society.entries.models import Start

_DECIDED = (CardDeed.HELD_TAKEN, CardDeed.HELD_REFUSED)


@dataclass(frozen=True, slots=True)
class Writing:
    """One writing of a card: the standing one of a record, or a held one."""

    uuid: UUID
    record: Record
    number: int | None
    digest: str
    strokes: Strokes
    channel: str
    author_id: int | None
    account: str
    at: datetime
    held_because: str


@dataclass(frozen=True, slots=True)
class Sign:
    """One certificate that counts for the standing figures."""

    capacity: Capacity
    name: str
    means: Means
    at: datetime
    account: str


@dataclass(frozen=True, slots=True)
class Question:
    """What an officer asked last, and the answer if there is one."""

    words: str
    at: datetime
    answer: str
    answered_at: datetime | None

    @property
    def is_open(self) -> bool:
        """Whether it waits for an answer."""
        return self.answered_at is None


@dataclass(frozen=True, slots=True)
class CardReading:
    """How the card of one entry stands now.

    `public_id` is the card's address, also before anything is written (then `card` is None).
    `strokes` are the standing figures in the order of `holes`, None while nothing is written;
    where player and marker differ they are the player's. `differences` are (hole, player's,
    marker's). `held` waits for an officer. `numbers` is the last number of each record written.
    """

    start: Start
    card: Card | None
    holes: tuple[int, ...]
    state: CardState
    records: dict[Record, Writing]
    standing_record: Record | None
    standing_digest: str | None
    strokes: Strokes | None
    signs: tuple[Sign, ...]
    differences: tuple[tuple[int, int | None, int | None], ...]
    held: tuple[Writing, ...]
    question: Question | None
    checked_at: datetime | None
    typed_by_player: bool

    @property
    def entry_id(self) -> int:
        """The row number of the entry."""
        return self.start.entry_id

    @property
    def public_id(self) -> str:
        """The card's public id."""
        return self.start.public_id

    @property
    def numbers(self) -> dict[Record, int]:
        """The last number of each record."""
        return {record: writing.number or 0 for record, writing in self.records.items()}

    @property
    def standing(self) -> Writing | None:
        """The writing whose figures stand."""
        return self.records[self.standing_record] if self.standing_record else None

    def sign_of(self, capacity: Capacity) -> Sign | None:
        """The signature of the player or the marker that counts now."""
        return next((sign for sign in self.signs if sign.capacity is capacity), None)

    @property
    def player_certified(self) -> bool:
        """Whether the player certified the standing figures."""
        return self.sign_of(Capacity.PLAYER) is not None

    @property
    def marker_certified(self) -> bool:
        """Whether a marker certified the standing figures."""
        return self.sign_of(Capacity.MARKER) is not None

    @property
    def signatures_seen(self) -> bool:
        """Whether a signature counts because an officer saw it on the paper."""
        return any(sign.means is Means.PAPER_SEEN for sign in self.signs)

    @property
    def one_account(self) -> bool:
        """Whether one account signed for both, each time by its own sign-in (say, a couple's)."""
        accounts = [sign.account for sign in self.signs if sign.means is Means.OWN_SIGN_IN]
        return len(accounts) == 2 and accounts[0] == accounts[1] != ""


def reading_of(
    start: Start,
    card: Card | None,
    holes: RatedHoles,
    revisions: Sequence[CardRevision] = (),
    steps: Sequence[CardStep] = (),
    certificates: Sequence[Certificate] = (),
) -> CardReading:
    """How a card stands, from its rows in the order they were written."""
    records = {Record(row.record): _writing(row) for row in revisions if row.number is not None}
    back = taken_back((row.kind, row.revision.digest) for row in steps if row.revision is not None)
    good = [row for row in certificates if signature_counts(row.means, row.digest, back)]
    question = _question(steps)
    checks = _checks(steps)
    facts = Facts(
        **{record.value: writing.digest for record, writing in records.items()},
        signed_by_player=_digests(good, Capacity.PLAYER),
        signed_by_marker=_digests(good, Capacity.MARKER),
        question_open=question is not None and question.is_open,
        checked=frozenset(checks),
    )
    digest, record = standing_digest(facts), standing_record(facts)
    numbers = tuple(holes.numbers)
    signed = [row for row in good if row.digest == digest]
    checked = checks.get(digest) if digest else None
    return CardReading(
        start=start,
        card=card,
        holes=numbers,
        state=state_of(facts),
        records=records,
        standing_record=record,
        standing_digest=digest,
        strokes=records[record].strokes if record else None,
        signs=_signs(signed),
        differences=differences(
            numbers, records[Record.PLAYER].strokes, records[Record.MARKER].strokes
        )
        if differ(facts)
        else (),
        held=_undecided(revisions, steps),
        question=question,
        checked_at=checked.at if checked else None,
        typed_by_player=record is Record.COMMITTEE
        and _typed_by_player(start, records[Record.COMMITTEE], signed, checked),
    )


def _checks(steps: Iterable[CardStep]) -> dict[str, CardStep]:
    """The check of each digest; a question asked later wants the card checked again."""
    checks: dict[str, CardStep] = {}
    for row in steps:
        if row.kind == CardDeed.ASKED:
            checks.clear()
        elif row.kind == CardDeed.CHECKED and row.revision is not None:
            checks[row.revision.digest] = row
    return checks


def _writing(row: CardRevision) -> Writing:
    return Writing(
        uuid=row.uuid,
        record=Record(row.record),
        number=row.number,
        digest=row.digest,
        strokes=strokes_in(row.payload),
        channel=row.channel,
        author_id=row.author_id,
        account=_account(row.by),
        at=row.at,
        held_because=row.held_because,
    )


def _account(by: str) -> str:
    return json.loads(by)["account"] or ""


def _digests(certificates: Iterable[Certificate], capacity: Capacity) -> frozenset[str]:
    return frozenset(row.digest for row in certificates if row.capacity == capacity)


def _signs(certificates: Iterable[Certificate]) -> tuple[Sign, ...]:
    """The first signature in each capacity, the player's before the marker's."""
    first: dict[str, Certificate] = {}
    for row in certificates:
        first.setdefault(row.capacity, row)
    return tuple(
        Sign(
            capacity=capacity,
            name=str(first[capacity].signer or ""),
            means=Means(first[capacity].means),
            at=first[capacity].at,
            account=_account(first[capacity].by),
        )
        for capacity in Capacity
        if capacity in first
    )


def _undecided(revisions: Iterable[CardRevision], steps: Iterable[CardStep]) -> tuple[Writing, ...]:
    decided = {row.revision_id for row in steps if row.kind in _DECIDED}
    return tuple(_writing(row) for row in revisions if row.number is None and row.pk not in decided)


def _question(steps: Iterable[CardStep]) -> Question | None:
    asked: CardStep | None = None
    answered: CardStep | None = None
    for row in steps:
        if row.kind == CardDeed.ASKED:
            asked, answered = row, None
        elif row.kind == CardDeed.ANSWERED:
            answered = row
    if asked is None:
        return None
    return Question(
        words=asked.reason,
        at=asked.at,
        answer=answered.reason if answered else "",
        answered_at=answered.at if answered else None,
    )


def _typed_by_player(
    start: Start, committee: Writing, signed: Iterable[Certificate], checked: CardStep | None
) -> bool:
    """A paper card its own player typed, and no other account has confirmed yet."""
    if committee.author_id != start.entry.player_id:
        return False
    rows = [*signed, *([checked] if checked else [])]
    return all(_account(row.by) == committee.account for row in rows)
