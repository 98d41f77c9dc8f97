"""The committee's rulings: made, withdrawn, brought in with a day, and a held card taken."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from scoring.cards.actions import asking
from scoring.cards.models import CardRevision
from scoring.results.actions.holding import about_of, checked, hold_open
from scoring.results.bridge import (
    Facts,
    detail_of,
    document_of,
    facts_of,
    sentence,
)
from scoring.results.models import (
    Ruling,
    RulingWithdrawn,
)
from scoring.results.queries.rulings import another_officer
from scoring.results.rules import (
    ACCEPTED,
    STATUSES,
    Settled,
    order_words,
)
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.lots import drawn
from scoring.rules.strict_json import Refused, canonical
from scoring.rules.values import RulingKind
from society.audit.actions import Deed, deed
from society.entries.models import Entry, Start
from society.fixtures.actions.holding import locked
from society.fixtures.models import Competition
from society.fixtures.queries import competitions_of
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who

OWN_CARD = (
    "This is your own card: another officer makes this ruling. "
    "Nobody rules on a card of their own while somebody else can."
)
OWN_CARD_ALONE = (
    "This is your own card and nobody else can rule on it. "
    "Name a witness who heard the facts; the name stands with the ruling."
)


def rule(
    *,
    competition: Competition,
    kind: str,
    entry: Entry | None = None,
    hole: int | None = None,
    strokes: int | None = None,
    points: int | None = None,
    keys: Sequence[str] | None = None,
    rule: str = "",
    words: str,
    witness: str = "",
    by: Who,
    at: datetime,
) -> Ruling:
    """One ruling, tried on the engine before it stands.

    `hole` as the card of the course numbers it; `keys`: the entry keys of an order, first first.
    Raises NotYours, WrongState once final or before handicaps are taken, and BadInput with a
    sentence where the engine cannot take it.
    """
    given = {"hole": hole, "strokes": strokes, "points": points}
    detail: dict[str, Any] = {name: value for name, value in given.items() if value is not None}
    if keys is not None:
        detail["players"] = list(keys)
    with deed(by=by, at=at, what="ruling made", about=about_of(competition)) as d:
        hold_open(competition, by)
        facts = facts_of(competition)
        made = _write(d, facts, kind, entry, detail, rule, words, witness)
        _try(competition, made)
    return made


def rule_all(
    *,
    competition: Competition,
    kind: str,
    entries: Iterable[Entry],
    rule: str = "",
    words: str,
    witness: str = "",
    by: Who,
    at: datetime,
) -> list[Ruling]:
    """The same status, or *accepted as written*, for each of several cards, in one deed."""
    if kind != ACCEPTED and kind not in STATUSES:
        raise BadInput("That ruling is made for one card at a time.")
    with deed(by=by, at=at, what="rulings made", about=about_of(competition)) as d:
        hold_open(competition, by)
        facts = facts_of(competition)
        made = [_write(d, facts, kind, entry, {}, rule, words, witness) for entry in entries]
        _try(competition, made[-1] if made else None)
    return made


def rule_everywhere(
    *,
    competition: Competition,
    kind: str,
    entry: Entry,
    hole: int | None = None,
    strokes: int | None = None,
    rule: str = "",
    words: str,
    witness: str = "",
    by: Who,
    at: datetime,
) -> list[Ruling]:
    """The same ruling on a card in every competition it counts for, in one deed.

    What happened on the course holds for all of them; points off and orders are of one alone.
    """
    if kind in (RulingKind.POINTS_OFF.value, RulingKind.ORDER.value):
        raise BadInput("That ruling is made for one competition at a time.", field="kind")
    given = {"hole": hole, "strokes": strokes}
    detail: dict[str, Any] = {name: value for name, value in given.items() if value is not None}
    about = f"fixture:{competition.fixture.public_id}"
    made = []
    with deed(by=by, at=at, what="rulings made", about=about) as d:
        for each in competitions_of(competition.fixture):
            hold_open(each, by)
            facts = facts_of(each)
            if entry.key in facts.readings:
                made.append(_write(d, facts, kind, entry, detail, rule, words, witness))
                _try(each, made[-1])
        if not made:
            raise BadInput(f"{entry.player} is not in the field.", field="entry")
    return made


def put_in_order(
    *,
    competition: Competition,
    keys: Sequence[str],
    how: str,
    seed: str = "",
    words: str,
    witness: str = "",
    by: Who,
    at: datetime,
) -> Ruling:
    """The order of one group still level, and how it was found: by lot or by play-off.

    `keys`: in order, first first; for a lot drawn here, in any order, and `seed` draws them. The
    seed stands in the reason, so that anybody can draw again. Raises what `rule` raises.
    """
    if how not in list(Settled):
        raise BadInput("Say how the order was found.", field="how")
    if not words.strip():
        raise BadInput("Say who decided and why, in a few words.", field="words")
    detail: dict[str, Any] = {"players": list(keys), "how": how}
    if how == Settled.LOT:
        if not seed:
            raise BadInput("A lot is drawn from a seed.", field="how")
        detail |= {"players": drawn(seed, keys), "seed": seed}
    with deed(by=by, at=at, what="ruling made", about=about_of(competition)) as d:
        hold_open(competition, by)
        reason = order_words(how, words, seed)
        kind = RulingKind.ORDER.value
        made = _write(d, facts_of(competition), kind, None, detail, "", reason, witness)
        _try(competition, made)
    return made


def bring_in_rulings(
    *, competition: Competition, said: Sequence[Mapping[str, Any]], by: Who, at: datetime
) -> list[Ruling]:
    """The rulings of an event document, with their own words, tried on the engine all at once.

    `said`: as the document has them, each hole counted from 1 in the order of its arrays. A
    reason that the document leaves out stays left out. Raises what `rule` raises.
    """
    with deed(by=by, at=at, what="rulings brought in", about=about_of(competition)) as d:
        hold_open(competition, by)
        facts = facts_of(competition)
        made = [_bring_in(d, facts, one) for one in said]
        _try(competition, made[-1] if made else None)
    return made


def _bring_in(d: Deed, facts: Facts, said: Mapping[str, Any]) -> Ruling:
    key = said.get("player")
    detail = {name: said[name] for name in ("hole", "strokes", "points", "players") if name in said}
    if "hole" in detail:
        detail["hole"] = facts.holes[detail["hole"] - 1]
    ruling = Ruling(
        competition=facts.competition,
        round=facts.round,
        entry=facts.readings[key].start.entry if key is not None else None,
        kind=said["kind"],
        detail=canonical(detail),
        rule=said.get("rule", ""),
        at=d.at,
        by=d.by.as_json(),
        words=d.words(said.get("reason", "")),
    )
    ruling.save()
    d.change(f"ruling:{ruling.public_id}", {"kind": ruling.kind, "rule": ruling.rule, **detail})
    _tell(d, ruling)
    return ruling


def withdraw_ruling(
    *, ruling: Ruling, words: str, witness: str = "", by: Who, at: datetime
) -> RulingWithdrawn:
    """Take a ruling back, with a reason; a row says so and the ruling stays to be read."""
    competition = ruling.competition
    about = f"ruling:{ruling.public_id}"
    with deed(by=by, at=at, what="ruling withdrawn", about=about) as d:
        hold_open(competition, by)
        if RulingWithdrawn.objects.filter(ruling=ruling).exists():
            raise WrongState("This ruling is withdrawn already.")
        reason = _reason(words, _witnessed(d, _subjects(ruling), witness))
        row = RulingWithdrawn.objects.create(
            ruling=ruling, at=d.at, by=d.by.as_json(), words=d.words(reason)
        )
        d.change(about, {"withdrawn": True}, {"kind": ruling.kind})
        _tell(d, ruling)
        _try(competition, None)
    return row


def take_held(
    *, start: Start, uuid: UUID, words: str, witness: str = "", by: Who, at: datetime
) -> CardRevision:
    """Take figures kept beside a card, and withdraw the card's *no return*, in one deed.

    Raises what taking and withdrawing raise: with a ruling to withdraw it is for the secretary
    or the captain, without one for whoever takes in cards.
    """
    about = f"card:{start.public_id}"
    with deed(by=by, at=at, what="held figures taken", about=about):
        locked(start.round.fixture)  # before the round, as everywhere
        standing = Ruling.objects.filter(
            competition__fixture=start.round.fixture_id,
            entry=start.entry,
            kind=RulingKind.NO_RETURN.value,
            withdrawn__isnull=True,
        )
        gone = list(standing.select_related("competition__fixture", "entry__player"))
        for ruling in gone:
            hold_open(ruling.competition, by)
        taken = asking.take_held(start=start, uuid=uuid, words=words, witness=witness, by=by, at=at)
        for ruling in gone:
            withdraw_ruling(
                ruling=ruling, words="the card is in: its figures were taken", witness=witness,
                by=by, at=at,
            )  # fmt: skip
    return taken


def _write(
    d: Deed,
    facts: Facts,
    kind: str,
    entry: Entry | None,
    detail: dict[str, Any],
    rule: str,
    words: str,
    witness: str,
) -> Ruling:
    if entry is not None and entry.key not in facts.readings:
        raise BadInput(f"{entry.player} is not in the field of this competition.", field="entry")
    if (entry is None) != (kind == RulingKind.ORDER):
        raise BadInput("Say whose card the ruling is on.", field="entry")
    if kind == ACCEPTED and entry is not None:
        digest = facts.readings[entry.key].standing_digest
        if digest is None:
            raise BadInput(f"{entry.player} has no card to accept.", field="entry")
        detail = {"digest": digest}
    ruling = Ruling(
        competition=facts.competition,
        round=facts.round,
        entry=entry,
        kind=kind,
        detail=canonical(detail),
        rule=checked(rule.strip(), "rule") if rule.strip() else "",
        at=d.at,
        by=d.by.as_json(),
    )
    ruling.words = d.words(_reason(words, _witnessed(d, _subjects(ruling), witness)))
    ruling.save()
    said = {"kind": kind, "rule": ruling.rule, **detail}
    d.change(f"ruling:{ruling.public_id}", said)
    _tell(d, ruling)
    return ruling


def _tell(d: Deed, ruling: Ruling) -> None:
    """Every entry a ruling is about finds it in its own history."""
    for entry in _subjects(ruling):
        d.change(f"entry:{entry.public_id}", {"ruling": ruling.public_id, "kind": ruling.kind})


def _subjects(ruling: Ruling) -> list[Entry]:
    if ruling.entry is not None:
        return [ruling.entry]
    keys = detail_of(ruling).get("players", [])
    rows = Entry.objects.filter(fixture=ruling.competition.fixture_id, key__in=keys)
    return list(rows.select_related("player"))


def _witnessed(d: Deed, entries: Iterable[Entry], witness: str) -> str:
    """The witness to be named, for a ruling on one's own card; empty where it is another's."""
    if not any(d.by.is_player(entry.player.public_id) for entry in entries):
        return ""
    if another_officer(d.by, d.at):
        raise NotYours(OWN_CARD)
    if not witness.strip():
        raise BadInput(OWN_CARD_ALONE, field="witness")
    return witness.strip()


def _reason(words: str, witness: str) -> str:
    if not words.strip():
        raise BadInput("Say why, in a few words: others will read it.", field="words")
    reason = words.strip()
    if witness:
        reason += f" (ruled alone on own card; witness: {witness})"
    return checked(reason, "words")


def _try(competition: Competition, made: Ruling | None) -> None:
    """The engine must still take the document; a refusal becomes a sentence and undoes the deed."""
    facts = facts_of(competition)
    document = document_of(facts, names=False)
    if not document["players"]:
        return
    try:
        score(read_event(document))
    except Refused as refused:
        raise BadInput(sentence(refused, document, facts, made)) from refused
