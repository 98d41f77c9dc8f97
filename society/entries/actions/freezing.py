"""Taking handicaps: what everyone plays off is frozen once, and corrected only with a reason."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from scoring.rules.values import HandicapKind, Terms
from society.audit.actions import Deed, deed
from society.courses.models import Tee
from society.courses.queries import course_card
from society.courses.rules import RatedHoles
from society.entries.actions.dividing import divide
from society.entries.bridge.handicaps import (
    HandicapLine,
    asked_for,
    engine_terms_of,
    handicap_lines,
)
from society.entries.bridge.tees import card_of, card_text, tee_of
from society.entries.models import CourseCard, Entry, Frozen, Start
from society.entries.queries import (
    current_course_cards,
    handicaps_taken,
    in_the_field,
    standing_frozen,
)
from society.entries.rules.words import CORRECTIONS, FrozenReason
from society.fixtures.actions.holding import locked
from society.fixtures.bridge import parsed_terms, write_terms
from society.fixtures.models import Competition, Fixture, Round
from society.fixtures.queries import the_round
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState
from society.handicaps.actions.own import own_and_alone
from society.handicaps.actions.record import record
from society.handicaps.rules.figures import KIND_NAMES, Source, checked
from society.handicaps.rules.used import made_of
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import HANDICAPPERS, ORGANISERS, Who


@dataclass(frozen=True, slots=True)
class Lacking:
    """Someone whose handicap could not be taken, and why."""

    entry: Entry
    words: str


@dataclass(frozen=True, slots=True)
class Taken:
    """Whose handicaps were taken by this deed, and who is still without."""

    taken: tuple[Entry, ...]
    lacking: tuple[Lacking, ...]


def take_handicaps(
    *, fixture: Fixture, only: Iterable[Entry] | None = None, by: Who, at: datetime
) -> Taken:
    """Freeze what everyone in the field plays off; whoever lacks something is listed.

    The first time it also sets the reference par where the document allows one, and freezes the
    terms. Again: those who were listed before. Nothing taken is ever taken anew. Raises
    NotYours, and WrongState when the result stands or nobody at all can be taken.
    """
    organisers_only(by)
    with deed(by=by, at=at, what="handicaps taken", about=f"fixture:{fixture.public_id}") as d:
        now, round_ = held_open(fixture)
        first = not handicaps_taken(now)
        wanted = None if only is None else {entry.pk for entry in only}
        field = handicap_lines(now)
        lines = [
            line
            for line in field
            if line.frozen is None and (wanted is None or line.entry.pk in wanted)
        ]
        good = [line for line in lines if not line.lacks]
        lacking = tuple(Lacking(line.entry, line.lacks) for line in lines if line.lacks)
        if not good:
            raise WrongState(_nobody(now, lacking))
        if first:
            _freeze_terms(d, round_, field)
        cards = current_course_cards(round_)
        for line in good:
            _freeze(d, round_, cards, line, FrozenReason.TAKEN)
        divide(d, now, cut=first, only=[] if first else [line.entry.pk for line in good])
    return Taken(tuple(line.entry for line in good), lacking)


def freeze_entry(*, entry: Entry, refuse: bool = True, by: Who, at: datetime) -> Frozen | None:
    """Take the handicap of a late entry, once handicaps are taken; call it inside its deed.

    None before that, and for whoever lacks a handicap (listed as missing). A tee of lower par
    than the reference par is refused with both figures (WrongState), or only listed where
    `refuse` is false: somebody else's deed moved the player up from the waiting list.
    """
    fixture = entry.fixture
    if not handicaps_taken(fixture):
        return None
    with deed(by=by, at=at, what="handicap taken", about=f"entry:{entry.public_id}") as d:
        round_ = the_round(fixture)
        line = next((line for line in handicap_lines(fixture) if line.entry.pk == entry.pk), None)
        if line is None or line.frozen is not None:
            return None if line is None else line.frozen
        if line.refused and refuse:
            raise WrongState(f"{entry.player.name}: {line.lacks}")
        if line.lacks:
            return None
        frozen = _freeze(d, round_, current_course_cards(round_), line, FrozenReason.LATE)
        divide(d, fixture, only=[entry.pk])
        entry.refresh_from_db(fields=["divisions"])  # the caller may save the entry
        return frozen


def give_handicap(
    *,
    entry: Entry,
    value: Decimal,
    source: str,
    kind: HandicapKind | None = None,
    words: str = "",
    by: Who,
    at: datetime,
) -> Frozen | None:
    """Type the handicap of somebody who lacks one: a line of the record, in force on the day.

    `kind`: the fixture's own if left out; a course handicap also where an index is asked for and
    the tee has no rating to convert it. Once handicaps are taken it is taken at once.
    """
    if not by.may(ORGANISERS | HANDICAPPERS):
        raise NotYours("Only the organisers and the handicap secretary write handicaps.")
    fixture = entry.fixture
    with deed(by=by, at=at, what="handicap given", about=f"entry:{entry.public_id}") as d:
        now, round_ = held_open(fixture)
        asked, _ = asked_for(now)
        if source not in (Source.STATED.value, Source.COMMITTEE.value):
            raise BadInput("Say whether the figure is stated or the committee's.", field="source")
        written = kind or asked
        if written is not asked and not (written is HandicapKind.COURSE and _unrated(now, entry)):
            raise BadInput(f"This fixture is played off a {KIND_NAMES[asked]}.", field="value")
        record(
            player=entry.player,
            kind=written.value,
            value=value,
            source=source,
            valid_from=round_.day,
            words=words,
            cause={"kind": "entry", "id": entry.public_id, "words": f"for {now.name}"},
            by=d.by,
            at=d.at,
        )
        return freeze_entry(entry=entry, by=by, at=at)


def choose_tee(*, entry: Entry, tee: Tee, by: Who, at: datetime) -> Start:
    """Another tee for one player, before the handicap is taken (afterwards: correct_frozen)."""
    organisers_only(by)
    with deed(by=by, at=at, what="tee chosen", about=f"entry:{entry.public_id}") as d:
        now, round_ = held_open(entry.fixture)
        if entry.pk in standing_frozen(round_):
            raise WrongState("The handicap is taken: correct it, with a reason.")
        _check_course(round_, tee)
        course_card(tee, entry.category, RatedHoles(round_.holes), round_.day)
        start = Start.objects.filter(round=round_, entry=entry).first()
        old = start.tee.name if start else None
        start = start or Start(round=round_, entry=entry)
        start.tee = tee
        start.save()
        d.change(f"start:{start.public_id}", {"tee": tee.name}, {"tee": old})
    return start


def correct_frozen(
    *,
    start: Start,
    value: Decimal | None = None,
    kind: HandicapKind | None = None,
    tee: Tee | None = None,
    reason_class: str,
    words: str,
    witness: str = "",
    by: Who,
    at: datetime,
) -> Frozen:
    """Put another figure or tee in place of a frozen one: number n+1, with a reason.

    What is left out stays as it was. One's own is for another officer; where there is none it is
    done alone with a `witness`. Raises NotYours, WrongState (final: reopen first; tee of lower
    par than the reference par, with both figures) and BadInput.
    """
    organisers_only(by)
    entry = start.entry
    alone = own_and_alone(entry.player, witness, by, at, roles=ORGANISERS)
    with deed(by=by, at=at, what="handicap corrected", about=f"entry:{entry.public_id}") as d:
        now, round_ = held_open(entry.fixture)
        old = standing_frozen(round_).get(entry.pk)
        if old is None:
            raise WrongState("No handicap is taken yet, so there is none to correct.")
        new_kind, new_value, new_tee = _correction(old, kind, value, tee)
        if reason_class not in [reason.value for reason in CORRECTIONS]:
            raise BadInput("Say what kind of correction it is.", field="reason_class")
        if not words.strip():
            raise BadInput("Say why, in a few words: it stands beside the result.", field="words")
        words = words.strip() + alone
        _check_course(round_, new_tee)
        cards = current_course_cards(round_)
        card = cards.get((new_tee.pk, old.category)) or _new_card(d, round_, new_tee, old.category)
        check_card(round_, card, new_tee, new_kind)
        same = (new_kind.value, new_value) == (old.kind, old.value)
        frozen = Frozen.objects.create(
            start=start,
            number=old.number + 1,
            kind=new_kind.value,
            value=new_value,
            source_entry=old.source_entry if same else None,
            made_of=old.made_of if same else "",
            tee=new_tee,
            category=old.category,
            course_card=card,
            reason_class=reason_class,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        if start.tee_id != new_tee.pk:
            Start.objects.filter(pk=start.pk).update(tee=new_tee)
            start.tee = new_tee
        d.change(f"entry:{entry.public_id}", _said(frozen), _said(old))
        divide(d, now, only=[entry.pk])
    return frozen


def set_reference_par(*, fixture: Fixture, par: int, words: str, by: Who, at: datetime) -> int:
    """Another reference par for frozen terms, with a reason; returns how many figures move.

    Everyone's extra strokes of Rule 6.2b change by the difference. Raises WrongState where the
    terms have none, BadInput where a tee in use has a lower par.
    """
    organisers_only(by)
    with deed(by=by, at=at, what="reference par set", about=f"fixture:{fixture.public_id}") as d:
        _, round_ = held_open(fixture)
        changing = [(row, terms) for row, terms in engine_terms_of(round_) if _may_have(terms)]
        if not changing or not handicaps_taken(fixture):
            raise WrongState("This competition has no reference par.")
        if not words.strip():
            raise BadInput("Say why: it moves everybody's figure.", field="words")
        lines = [line for line in handicap_lines(fixture) if line.frozen is not None]
        lowest = min(line.par for line in lines)
        least = 27
        if not least <= par <= lowest:
            raise BadInput(
                f"The lowest par in use is {lowest}: give a par from {least} to {lowest}.",
                field="par",
            )
        d.texts.append(words.strip())
        for row, terms in changing:
            _write_reference(d, round_, row, par, terms.reference_par)
        return sum(terms.reference_par != par for _, terms in changing) and len(lines)


# parts -------------------------------------------------------------------------------------


def organisers_only(by: Who) -> None:
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain does that.")


def held_open(fixture: Fixture) -> tuple[Fixture, Round]:
    """The fixture and its round, both held until the deed ends, before the result is final."""
    now = locked(fixture)
    if FixtureState(now.state) in ENDED:
        state = STATE_WORDS[FixtureState(now.state)].lower()
        raise WrongState(f"This fixture is {state}; handicaps stand as they are.")
    return now, Round.objects.select_for_update().get(pk=the_round(now).pk)


def _nobody(now: Fixture, lacking: tuple[Lacking, ...]) -> str:
    if lacking:
        first = lacking[0]
        return f"Nobody's handicap can be taken yet. {first.entry.player.name}: {first.words}"
    if in_the_field(now).exists():
        return "Everyone's handicap is taken already."
    return "Nobody is entered yet."


def _unrated(now: Fixture, entry: Entry) -> bool:
    """Whether an index of this entry could not be converted on its tee."""
    return any(line.unrated for line in handicap_lines(now) if line.entry.pk == entry.pk)


def _may_have(terms: Terms) -> bool:
    """Whether the event document lets these terms name a reference par."""
    return terms.different_par and terms.stroke_total


def _freeze_terms(d: Deed, round_: Round, lines: list[HandicapLine]) -> None:
    """Set the lowest par of the tees in use as the reference, and freeze every competition."""
    lowest = min(line.par for line in lines if line.card is not None)
    for row, terms in engine_terms_of(round_):
        if _may_have(terms) and terms.reference_par is None:
            _write_reference(d, round_, row, lowest, None)
        row.frozen_at = d.at
        row.save(update_fields=["frozen_at"])
        d.change(f"competition:{row.public_id}", {"frozen": True})


def _write_reference(d: Deed, round_: Round, row: Competition, par: int, old: int | None) -> None:
    terms = parsed_terms(row.terms) | {"reference_par": par}
    row.terms = write_terms(terms, RatedHoles(round_.holes))
    row.save(update_fields=["terms"])
    d.change(f"competition:{row.public_id}", {"reference_par": par}, {"reference_par": old})


def _freeze(
    d: Deed,
    round_: Round,
    cards: dict[tuple[int, str], CourseCard],
    line: HandicapLine,
    reason: FrozenReason,
) -> Frozen:
    entry, tee = line.entry, line.tee
    if tee is None:
        raise WrongState(f"No tee is set for {entry.category}.")
    place = (tee.pk, entry.category)
    if place not in cards:
        cards[place] = _new_card(d, round_, tee, entry.category)
    start = line.start or Start.objects.create(round=round_, entry=entry, tee=tee)
    value = line.value if line.kind is not None else None
    brought = value is not None
    frozen = Frozen.objects.create(
        start=start,
        number=1,
        kind=line.kind.value if line.kind else HandicapKind.PLAYING.value,
        value=Decimal(0) if value is None else value,
        source_entry_id=line.record.row if brought and line.record else None,
        made_of=made_of(line.used) if brought and line.used and not line.used.plain else "",
        tee=tee,
        category=entry.category,
        course_card=cards[place],
        reason_class=reason.value if brought else FrozenReason.NONE_NEEDED.value,
        at=d.at,
        by=d.by.as_json(),
    )
    d.change(f"entry:{entry.public_id}", _said(frozen))
    return frozen


def _new_card(d: Deed, round_: Round, tee: Tee, category: str) -> CourseCard:
    card = course_card(tee, category, RatedHoles(round_.holes), round_.day)
    row = CourseCard.objects.create(
        round=round_,
        tee=tee,
        category=category,
        number=1,
        card=card_text(card),
        at=d.at,
        by=d.by.as_json(),
    )
    d.change(f"round:{round_.public_id}", {"course_card": row.key, "tee": tee.name})
    return row


def _correction(
    old: Frozen, kind: HandicapKind | None, value: Decimal | None, tee: Tee | None
) -> tuple[HandicapKind, Decimal, Tee]:
    new_kind = kind or HandicapKind(old.kind)
    new_value = old.value if value is None else value
    new_tee = tee or old.tee
    try:
        new_value = checked(new_value, new_kind)
    except ValueError as wrong:
        raise BadInput(str(wrong), field="value") from wrong
    if (new_kind.value, new_value, new_tee.pk) == (old.kind, old.value, old.tee_id):
        raise BadInput("That is what is frozen already.", field="value")
    return new_kind, new_value, new_tee


def _check_course(round_: Round, tee: Tee) -> None:
    if tee.course_id != round_.course_id:
        raise BadInput(f"Choose a tee of {round_.course.name}.", field="tee")


def check_card(round_: Round, card: CourseCard, tee: Tee, kind: HandicapKind) -> None:
    terms = [found for _, found in engine_terms_of(round_)]
    par = tee_of(card).total_par
    reference = max((t.reference_par for t in terms if t.reference_par is not None), default=0)
    if par < reference:
        raise WrongState(
            f"The {tee.name} tee has par {par}, below the reference par {reference}. "
            "Set a lower reference par first, with a reason."
        )
    if kind is HandicapKind.INDEX and card_of(card)["course_rating"] is None:
        raise BadInput(
            f"The {tee.name} tee has no rating there, so an index cannot be converted. "
            "Rate the tee, or correct to a course handicap.",
            field="tee",
        )


def _said(frozen: Frozen) -> dict[str, object]:
    return {
        "number": frozen.number,
        "kind": frozen.kind,
        "value": frozen.value,
        "tee": frozen.tee.name,
        "reason": frozen.reason_class,
    }
