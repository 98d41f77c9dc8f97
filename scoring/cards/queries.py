"""Reads of cards: how they all stand, for a field or for one, in a constant number of queries."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import TypeVar

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from scoring.cards.bridge import CardReading, reading_of
from scoring.cards.models import Card, CardRevision, CardStep, Certificate, GuestLink
from scoring.cards.rules.payload import digest_of, strokes_in
from scoring.cards.rules.strokes import as_line
from scoring.cards.rules.table import Brought, CardTable
from scoring.cards.rules.words import CardDeed, Record
from scoring.rules.values import Handicap
from society.audit.models import AppendOnly
from society.courses.rules import RatedHoles
from society.entries.bridge.handicaps import frozen_value
from society.entries.bridge.tees import plays_off, tee_in_play, tee_of
from society.entries.models import EntryStep, Frozen, Start
from society.entries.queries import current_course_cards, standing_frozen
from society.entries.rules.words import FrozenReason, Step
from society.fixtures.models import Round
from society.fixtures.queries import engine_terms, the_competition
from society.fixtures.rules import ENDED, FixtureState
from society.handicaps.rules.used import read_made
from society.members.models import Account, Player
from society.members.queries import another_holds, society_day
from society.web.who import GUEST_LINK, NOBODY, SCORERS, Who

GUEST_LINK_KEY = "guest_link"  # in the session of the phone that opened one

Row = TypeVar("Row", CardRevision, CardStep, Certificate)


def starts_of(round_: Round) -> QuerySet[Start]:
    """Every start of a round with entry, player and marker; `step` is the entry's last step."""
    return _starts().filter(round=round_)


def _starts() -> QuerySet[Start]:
    last = EntryStep.objects.filter(entry=OuterRef("entry")).order_by("-pk")
    return (
        Start.objects.select_related("entry__player", "marker__player", "round__fixture")
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
    return _readings(starts_of(round_))


def card_reading(start: Start) -> CardReading:
    """How the one card of a start stands."""
    one = starts_of(start.round).filter(pk=start.pk)
    return _readings(one)[start.entry_id]


def cards_over(rounds: Iterable[Round], who: Who | None = None) -> list[CardReading]:
    """How the cards of several rounds stand, in five queries for any number of rounds.

    `who`: only those cards that this person writes or marks.
    """
    rows = _starts().filter(round__in=list(rounds))
    if who is not None:
        rows = rows.filter(
            Q(entry__player__public_id__in=who.players)
            | Q(marker__player__public_id__in=who.players)
        )
    return _read(list(rows))


def _readings(starts: QuerySet[Start]) -> dict[int, CardReading]:
    return {reading.entry_id: reading for reading in _read(list(starts))}


def _read(rows: list[Start]) -> list[CardReading]:
    found = Card.objects.filter(
        round__in={row.round_id for row in rows}, entry__in=[row.entry_id for row in rows]
    )
    cards = {(card.round_id, card.entry_id): card for card in found}
    chosen = [card.pk for card in cards.values()]
    revisions = _by_card(CardRevision.objects.filter(card__in=chosen).order_by("pk"))
    steps = _by_card(
        CardStep.objects.filter(card__in=chosen).select_related("revision", "words").order_by("pk")
    )
    certificates = _by_card(
        Certificate.objects.filter(card__in=chosen).select_related("signer").order_by("pk")
    )
    readings = []
    for start in rows:
        card = cards.get((start.round_id, start.entry_id))
        key = card.pk if card else 0
        holes = RatedHoles(start.round.holes)
        readings.append(
            reading_of(start, card, holes, revisions[key], steps[key], certificates[key])
        )
    return readings


def _by_card(rows: Iterable[Row]) -> defaultdict[int, list[Row]]:
    grouped: defaultdict[int, list[Row]] = defaultdict(list)
    for row in rows:
        grouped[row.card_id].append(row)
    return grouped


def other_scorers(by: Who, at: datetime) -> bool:
    """Whether another account holds an office that lets it handle cards on that day."""
    return another_holds(SCORERS, by, at)


def may_remind(round_: Round, at: datetime) -> bool:
    """Whether it is time to ask for cards that are out: from the day of play until the result."""
    over = FixtureState(round_.fixture.state) in ENDED
    return not over and society_day(at) >= round_.day


def tables_of(round_: Round) -> dict[int, CardTable]:
    """What each start of a round plays off, hole by hole, by the row number of the entry.

    Only those whose handicap is taken. Worked out for the first competition of the fixture, in a
    constant number of queries.
    """
    frozen = standing_frozen(round_)
    if not frozen:
        return {}
    cards = current_course_cards(round_)
    numbers = tuple(RatedHoles(round_.holes).numbers)
    terms = engine_terms(the_competition(round_.fixture), round_.holes)
    brought = {
        str(entry_id): (
            tee_in_play(tee_of(cards.get((row.tee_id, row.category)) or row.course_card), numbers),
            *frozen_value(row),
        )
        for entry_id, row in frozen.items()
    }
    found = plays_off(terms, brought)
    return {
        entry_id: CardTable(
            terms=terms,
            tee=brought[str(entry_id)][0],
            playing=found[str(entry_id)].playing,
            strokes=found[str(entry_id)].strokes,
            numbers=numbers,
            brought=_brought(frozen[entry_id]),
            extra=found[str(entry_id)].extra,
        )
        for entry_id in frozen
    }


def _brought(row: Frozen) -> Brought:
    kind, value = frozen_value(row)
    record = row.source_entry
    if row.reason_class == FrozenReason.NONE_NEEDED.value:
        return Brought(None)
    made = read_made(row.made_of)
    return Brought(
        Handicap(kind, Fraction(value)),
        record.source if record else "",
        record.valid_from if record else None,
        made.steps if made else (),
    )


def table_of(start: Start) -> CardTable | None:
    """What the player of one start plays off, None before the handicap is taken."""
    return tables_of(start.round).get(start.entry_id)


def own_starts(who: Who, round_: Round) -> list[Start]:
    """The starts of a round whose cards this person writes or marks, the own ones first."""
    if not who.players:
        return []
    rows = starts_of(round_).filter(
        Q(entry__player__public_id__in=who.players) | Q(marker__player__public_id__in=who.players)
    )
    return sorted(rows, key=lambda start: not who.is_player(start.entry.player.public_id))


def rounds_in_hand(who: Who, on: date) -> list[Round]:
    """The rounds of today and those still open in which this person plays or marks, latest first.

    Finished fixtures stay for the day they were played.
    """
    if not who.players:
        return []
    mine = Q(starts__entry__player__public_id__in=who.players) | Q(
        starts__marker__player__public_id__in=who.players
    )
    still = ~Q(fixture__state__in=[state.value for state in ENDED]) | Q(day=on)
    return list(
        Round.objects.filter(mine, still)
        .select_related("fixture", "course")
        .distinct()
        .order_by("-day", "pk")
    )


@dataclass(frozen=True, slots=True)
class Happening:
    """One line of what happened to a card: when, what, by whom, and why if it was said."""

    at: datetime
    what: str
    name: str
    words: str


_RECORDS = {
    Record.PLAYER: "The player’s figures",
    Record.MARKER: "The marker’s figures",
    Record.COMMITTEE: "The committee’s figures",
}
_DEEDS = {
    CardDeed.ASKED: "Question asked",
    CardDeed.ANSWERED: "Question answered",
    CardDeed.CHECKED: "Card checked",
    CardDeed.SIGNATURES_SEEN: "Both signatures seen on the paper",
    CardDeed.SIGNATURES_BACK: "Signatures taken back",
    CardDeed.HELD_TAKEN: "Figures kept beside the card were taken",
    CardDeed.HELD_REFUSED: "Figures kept beside the card were left out",
}


def history_of(reading: CardReading) -> list[Happening]:
    """All that happened to a card, the latest first, for officers."""
    if reading.card is None:
        return []
    rows: list[tuple[AppendOnly, str]] = []
    for revision in reading.card.revisions.select_related("words"):
        what = _RECORDS[Record(revision.record)]
        what += (
            f", writing {revision.number}" if revision.number else f" held: {revision.held_because}"
        )
        rows.append((revision, f"{what}, {as_line(strokes_in(revision.payload))}"))
    for step in reading.card.steps.select_related("words"):
        rows.append((step, _DEEDS[CardDeed(step.kind)]))
    for signed in reading.card.certificates.select_related("words", "signer"):
        whom = signed.signer.name if signed.signer else "not named"
        rows.append((signed, f"Certified as {signed.capacity} ({whom}), {signed.means}"))
    names = _account_names(row for row, _ in rows)
    found = [Happening(row.at, what, names[row.by], row.reason) for row, what in rows]
    return sorted(found, key=lambda line: line.at, reverse=True)


def hash_link(secret: str) -> str:
    """What is kept of a guest's link; the link itself is shown once and forgotten."""
    return hashlib.sha256(secret.encode()).hexdigest()


def guest_link(secret: str, at: datetime) -> GuestLink | None:
    """The link of that secret, if it is the latest of its card and has not ended."""
    found = GuestLink.objects.filter(token_hash=hash_link(secret), ends_at__gt=at)
    return _standing_link(found)


def guest_by(session: Mapping[str, object], at: datetime) -> Who:
    """Who a signed-out visitor is: the guest whose link was opened on this phone, or NOBODY."""
    opened = session.get(GUEST_LINK_KEY)
    link = _standing_link(GuestLink.objects.filter(public_id=opened, ends_at__gt=at))
    if not opened or link is None:
        return NOBODY
    player = link.start.entry.player
    return Who(
        players=(player.public_id,),
        player=player.public_id,
        means=GUEST_LINK,
        name=player.name,
    )


def _standing_link(found: QuerySet[GuestLink]) -> GuestLink | None:
    link = found.select_related("start__entry__player", "start__round__fixture").first()
    if link is None or GuestLink.objects.filter(start=link.start_id, pk__gt=link.pk).exists():
        return None
    return link


def _account_names(rows: Iterable[AppendOnly]) -> dict[str, str]:
    """Who did it, by the text of `by`: the account's name, or the command's."""
    texts = {row.by: json.loads(row.by) for row in rows}
    accounts = {said["account"] for said in texts.values() if said["account"]}
    guests = {said["player"] for said in texts.values() if said["means"] == GUEST_LINK}
    players = dict(Player.objects.filter(public_id__in=guests).values_list("public_id", "name"))
    names = dict(Account.objects.filter(public_id__in=accounts).values_list("public_id", "name"))
    return {
        by: names.get(said["account"], "an account that is gone")
        if said["account"]
        else f"{players[said['player']]}, by link"
        if said["means"] == GUEST_LINK
        else f"the command {said['command']}"
        for by, said in texts.items()
    }


def breaks_in_cards() -> Iterator[str]:
    """A sentence for each writing or signature that no longer says what was written."""
    digests: dict[int, set[str]] = {}
    written: dict[tuple[int, str], list[CardRevision]] = {}
    rows = CardRevision.objects.select_related("card").order_by("pk").iterator()
    for row in rows:
        digests.setdefault(row.card_id, set()).add(row.digest)
        same_record = written.setdefault((row.card_id, row.record), [])
        if digest_of(row.card.public_id, row.payload) != row.digest:
            yield f"Card {row.card.public_id}: the figures of {row} do not give their digest."
        if row.number is None:
            continue
        if row.number != len(same_record) + 1:
            yield f"Card {row.card.public_id}: the writing before {row} is missing."
        uuids = {earlier.uuid for earlier in same_record}
        if row.parent_uuid is not None and row.parent_uuid not in uuids:
            yield f"Card {row.card.public_id}: {row} names a writing of another record."
        same_record.append(row)
    for card_id, public_id, digest in Certificate.objects.values_list(
        "card_id", "card__public_id", "digest"
    ):
        if digest not in digests.get(card_id, ()):
            yield f"Card {public_id}: somebody certified figures that are not there."
