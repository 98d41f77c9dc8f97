"""Reads of results: how a competition stands now, what was sealed, and whether it still holds."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from django.db.models import Prefetch, QuerySet

from scoring.cards.queries import cards_of
from scoring.cards.rules.words import CardState
from scoring.results.bridge import (
    Facts,
    detail_of,
    document_of,
    exported,
    facts_of,
    sealed_document,
)
from scoring.results.models import (
    Reopening,
    ResultVersion,
    Ruling,
    SealAgreed,
    SideContest,
    SideWinner,
    TwosPot,
)
from scoring.results.rules import (
    ACCEPTED,
    REASON_WORDS,
    Answer,
    agreement_digest,
    ruling_words,
    seal_digest,
)
from scoring.rules.engine import ENGINE, score
from scoring.rules.event import read_event
from scoring.rules.recount import differences
from scoring.rules.strict_json import Refused, canonical, inside, read_json
from scoring.rules.twos import Pot, is_two, pot_of, share_pot
from scoring.rules.values import Event, RulingKind
from society.audit.models import AuditLine
from society.audit.rules import FIRST
from society.courses.rules import RatedHoles
from society.entries.models import CourseCard, Entry, Frozen
from society.entries.rules.words import IN
from society.fixtures.models import Competition, Fixture, Round
from society.fixtures.rules import FixtureState
from society.members.models import Account
from society.members.queries import another_holds
from society.web.who import ORGANISERS, Who

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
    orders that no longer fit the cards. `facts` are None for a sealed one.
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


# sealed versions ---------------------------------------------------------------------------


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
    )


def origin_of(standing: Standing, key: str) -> tuple[str, date | None]:
    """Source and first day of the line of the record that a scored handicap was taken from.

    Nothing where none is known, or where the figure was put right after this was scored. One query.
    """
    rows = Frozen.objects.filter(start__round=standing.round, start__entry__key=key)
    row = rows.select_related("source_entry").order_by("-number").first()
    player = standing.event.players.get(key) if standing.event else None
    brought = player.handicap if player else None
    if row is None or row.source_entry is None or brought is None:
        return "", None
    if (row.kind, Fraction(row.value)) != (brought.kind.value, brought.value):
        return "", None
    return row.source_entry.source, row.source_entry.valid_from


def standing(competition: Competition) -> Standing:
    """What the result page shows: the version that stands, else the scores so far."""
    version = final_version(competition)
    return sealed(version, competition) if version else provisional(competition)


def reopening_of(fixture: Fixture) -> Reopening | None:
    """The latest wish to open a fixture's result again, with its answer if there is one."""
    rows = Reopening.objects.filter(fixture=fixture).select_related("words", "answer")
    return rows.order_by("-number").first()


def answer_to(reopening: Reopening | None) -> Answer | None:
    """What became of a wish to open a result again; None while it waits, or where there is none."""
    answer = getattr(reopening, "answer", None)
    return Answer(answer.answer) if answer else None


def agreement_of(fixture: Fixture) -> str:
    """The digest that an officer agrees to by sealing a fixture as it stands now."""
    parts = []
    for competition in Competition.objects.filter(fixture=fixture).order_by("number"):
        last = final_version(competition)
        inputs = canonical(document_of(facts_of(competition), names=False))
        parts.append((competition.public_id, last.number + 1 if last else 1, inputs))
    return agreement_digest(parts, Reopening.objects.filter(fixture=fixture).count())


def agreed_by(fixture: Fixture) -> list[str]:
    """The names of those who agreed to seal the fixture exactly as it stands now."""
    rows = SealAgreed.objects.filter(fixture=fixture)
    if not rows.exists():
        return []
    return names_of_bys(rows.filter(digest=agreement_of(fixture)).values_list("by", flat=True))


def reopened(fixture: Fixture) -> bool:
    """Whether the fixture's result is open again; its version stays until the next is sealed."""
    state = Fixture.objects.filter(pk=fixture.pk).values_list("state", flat=True).first()
    opened = answer_to(reopening_of(fixture)) is Answer.OPENED
    return state == FixtureState.REVIEWING.value and opened


@dataclass(frozen=True, slots=True)
class LookedAtAgain:
    """A final result that is being looked at again, in words for its page."""

    since: datetime
    reason: str
    words: str
    by: str


def looked_at_again(fixture: Fixture) -> LookedAtAgain | None:
    """Why a result is open again; None where it is not."""
    row = reopening_of(fixture)
    if row is None or not reopened(fixture):
        return None
    return LookedAtAgain(
        since=row.answer.at,
        reason=REASON_WORDS[row.reason_class],
        words=row.reason.rstrip("."),
        by=" and ".join(dict.fromkeys(names_of_bys([row.by, row.answer.by]))),
    )


def names_of_bys(bys: Iterable[str]) -> list[str]:
    """The names behind the `by` of several rows, in their order."""
    listed = list(bys)
    names = _names_of(listed)
    return [names.get(by) or "the program" for by in listed]


def version_numbered(competition: Competition, number: int) -> ResultVersion | None:
    """One version by its number."""
    return versions_of(competition).filter(number=number).first()


@dataclass(frozen=True, slots=True)
class VersionShown:
    """One sealed version as the page lists it."""

    number: int
    at: datetime
    by: str
    digest: str
    reason: str


def versions_shown(now: Standing) -> list[VersionShown]:
    """The sealed versions of a standing, the latest first, each with who sealed it."""
    if not now.is_final:
        return []
    rows = list(versions_of(now.competition))
    names = _names_of(row.by for row in rows)
    return [
        VersionShown(row.number, row.at, names.get(row.by, ""), row.digest, _why_sealed(row))
        for row in rows
    ]


def _why_sealed(version: ResultVersion) -> str:
    """Why there is this version: class of reason and words; of the first one the words alone."""
    reason = REASON_WORDS.get(version.reason_class)
    return f"{reason}. {version.reason}".strip() if reason else version.reason


def _names_of(bys: Iterable[str]) -> dict[str, str]:
    """Who stands behind each `by`, as accounts are named today; one query."""
    found = {by: read_json(by) for by in set(bys)}
    ids = {by: said["account"] for by, said in found.items() if isinstance(said, dict)}
    known = dict(
        Account.objects.filter(public_id__in=[i for i in ids.values() if i]).values_list(
            "public_id", "name"
        )
    )
    return {by: known.get(account, "") for by, account in ids.items()}


def last_change() -> int:
    """The number of the last audit line: as long as it stands, no page can have changed."""
    return AuditLine.objects.order_by("-number").values_list("number", flat=True).first() or 0


def verify_seals() -> Iterator[str]:
    """A sentence for each sealed version that no longer holds; nothing where all do.

    The digest over inputs and outputs, the chain's line it names, the engine's answer to the
    inputs and the recount's are all worked out again.
    """
    rows = ResultVersion.objects.select_related("competition__fixture").order_by(
        "competition", "number"
    )
    numbers: dict[int, int] = {}
    for version in rows.iterator(chunk_size=20):
        name = f"Result of {version.competition.fixture}, version {version.number}"
        expected = numbers.get(version.competition_id, 0) + 1
        if version.number != expected:
            yield f"{name}: version {expected} is missing."
        numbers[version.competition_id] = version.number
        for words in _breaks(version):
            yield f"{name}: {words}"


def _breaks(version: ResultVersion) -> Iterator[str]:
    digest = seal_digest(
        competition=version.competition.public_id,
        number=version.number,
        inputs=version.inputs,
        outputs=version.outputs,
    )
    if digest != version.digest:
        yield "what was sealed does not give its fingerprint."
    head = version.audit_head
    if head != FIRST and not AuditLine.objects.filter(digest=head).exists():
        yield "the audit line it names is not in the chain."
    try:
        document = sealed_document(version.inputs)
        outputs = read_json(version.outputs)
        again = score(read_event(document))
        if not isinstance(outputs, dict):
            raise ValueError("The outputs of this seal are no answer.")
        same_engine = outputs["engine"] == ENGINE
        if _part(again, same_engine) != _part(outputs, same_engine):
            yield "the engine does not give the sealed standings again."
        elif same_engine and canonical(again) != version.outputs:
            yield "the engine does not give the sealed answer again."
        yield from differences(document, outputs)
    except (Refused, ValueError, KeyError, TypeError) as broken:
        yield f"cannot be read again ({broken})."


def _part(answer: Mapping[str, Any], same_engine: bool) -> str:
    """The part that must be the same for ever; `settled` may be put otherwise by a later engine."""
    kept = {name: answer[name] for name in _COMPARED}
    return canonical(kept if same_engine else _without_settled(kept))


def _without_settled(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_settled(v) for key, v in value.items() if key != "settled"}
    return [_without_settled(v) for v in value] if isinstance(value, list) else value


# rulings -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RulingShown:
    """One ruling as its page lists it, with whoever made it and took it back."""

    public_id: str
    name: str
    what: str
    rule: str
    reason: str
    at: datetime
    by: str
    withdrawn_at: datetime | None
    withdrawn_by: str
    withdrawn_why: str


def rulings_shown(competition: Competition) -> list[RulingShown]:
    """Every ruling for its page, the latest first."""
    rows = rulings_of(competition)
    people = people_of(competition)
    gone = {row.pk: row.withdrawn for row in rows if hasattr(row, "withdrawn")}
    names = _names_of([row.by for row in rows] + [back.by for back in gone.values()])
    return [
        RulingShown(
            public_id=row.public_id,
            name=", ".join(people[key].name for key in subjects_of(row) if key in people),
            what=ruling_words(row.kind, detail_of(row)),
            rule=row.rule,
            reason=row.reason,
            at=row.at,
            by=names.get(row.by, ""),
            withdrawn_at=gone[row.pk].at if row.pk in gone else None,
            withdrawn_by=names.get(gone[row.pk].by, "") if row.pk in gone else "",
            withdrawn_why=gone[row.pk].reason if row.pk in gone else "",
        )
        for row in rows
    ]


def subjects_of(ruling: Ruling) -> list[str]:
    """The keys of those a ruling is about."""
    return [ruling.entry.key] if ruling.entry else list(detail_of(ruling).get("players", []))


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


def another_officer(by: Who, at: datetime) -> bool:
    """Whether anyone else who can sign in holds an office that may rule."""
    return another_holds(ORGANISERS, by, at)


# side contests and twos --------------------------------------------------------------------


def contests_of(fixture: Fixture) -> list[SideContest]:
    """The side contests of a fixture by hole, each with its winners, the first one first."""
    winners = SideWinner.objects.select_related("entry__player", "words").order_by("number")
    rows = SideContest.objects.filter(round__fixture=fixture)
    return list(
        rows.order_by("hole", "kind", "category").prefetch_related(
            Prefetch("winners", queryset=winners)
        )
    )


def pots_of(fixture: Fixture) -> list[TwosPot]:
    """How the twos of a fixture were shared, the latest first."""
    return list(TwosPot.objects.filter(fixture=fixture).select_related("words").order_by("-number"))


def pot_now(fixture: Fixture) -> Pot | None:
    """The twos of a fixture by the cards as they stand; None where there is no pot.

    Every card of the round counts, whatever competition its player is in; a disqualified
    player's twos do not.
    """
    if fixture.twos_stake is None:
        return None
    round_ = fixture.rounds.order_by("number")[0]
    numbers = RatedHoles(round_.holes).numbers
    penalties, out = _ruled_strokes(fixture)
    players, twos = [], {}
    for reading in cards_of(round_).values():
        entry = reading.start.entry
        if reading.start.step not in IN:  # type: ignore[attr-defined]
            continue
        if entry.twos:
            players.append(entry.key)
        if reading.strokes is None or entry.pk in out:
            continue
        added = penalties.get(entry.pk, {})
        twos[entry.key] = [
            hole
            for hole, strokes in zip(numbers, reading.strokes, strict=True)
            if is_two(None if strokes is None else strokes + added.get(hole, 0))
        ]
    brought, source = pot_before(fixture)
    return share_pot(
        stake=fixture.twos_stake, players=players, twos=twos, brought=brought, source=source
    )


def _ruled_strokes(fixture: Fixture) -> tuple[dict[int, dict[int, int]], set[int]]:
    """Entry id → hole → penalty strokes, and the entry ids of the disqualified.

    The same ruling may stand in several competitions over one card: it counts once.
    """
    rows = Ruling.objects.filter(
        competition__fixture=fixture,
        withdrawn__isnull=True,
        kind__in=(RulingKind.PENALTY.value, RulingKind.DISQUALIFIED.value),
    )
    sums: dict[tuple[int, int, int], int] = {}
    out: set[int] = set()
    for row in rows:
        if row.entry_id is None:
            continue
        if row.kind == RulingKind.DISQUALIFIED:
            out.add(row.entry_id)
            continue
        detail = detail_of(row)
        at = (row.competition_id, row.entry_id, detail["hole"])
        sums[at] = sums.get(at, 0) + detail["strokes"]
    found: dict[int, dict[int, int]] = {}
    for (_, entry, hole), strokes in sums.items():
        holes = found.setdefault(entry, {})
        holes[hole] = max(holes.get(hole, 0), strokes)
    return found, out


def pot_before(fixture: Fixture) -> tuple[int, str]:
    """What comes over from the last shared pot before a fixture, and that fixture's public id.

    A pot that another fixture took over already does not come twice.
    """
    rows = TwosPot.objects.exclude(fixture=fixture).select_related("fixture").order_by("number")
    standing = {row.fixture_id: row for row in rows}
    pots = {pk: pot_of(row.pot) for pk, row in standing.items()}
    taken = {pot.source for pot in pots.values()}
    before = sorted(
        (row.fixture.starts_on, row.fixture_id)
        for row in standing.values()
        if (row.fixture.starts_on, row.fixture_id) < (fixture.starts_on, fixture.pk)
        and row.fixture.public_id not in taken
    )
    if not before:
        return 0, ""
    last = before[-1][1]
    onward = pots[last].onward
    return (onward, standing[last].fixture.public_id) if onward else (0, "")


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
