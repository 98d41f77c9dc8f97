"""A final result opened again and sealed again: with a reason, by as many officers as are asked."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.db.models import Max

from scoring.results.actions.contests import share_twos
from scoring.results.actions.holding import hold_open
from scoring.results.actions.sealing import seal
from scoring.results.bridge import document_of, facts_of
from scoring.results.models import Reopening, ReopeningAnswer, ResultVersion
from scoring.results.queries.side import pot_now, pots_of
from scoring.results.queries.standings import final_version, sealed
from scoring.results.queries.versions import answer_to, reopened, reopening_of
from scoring.results.rules import REASON_WORDS, Answer
from scoring.results.tables.changes import changes
from scoring.rules.strict_json import canonical
from scoring.rules.twos import pot_text
from society.audit.actions import Deed, deed
from society.desk import letters
from society.desk.actions.cuts import tell_cuts
from society.desk.actions.final import Fate, mark_absent_of, rule_on_open
from society.desk.actions.scores import tell_scores
from society.desk.actions.sealing import enough_agree, same_person
from society.desk.queries.final import readiness, seal_words
from society.fixtures.actions.holding import locked
from society.fixtures.actions.states import move_state
from society.fixtures.models import Competition, Fixture, Round
from society.fixtures.rules import FixtureState
from society.members.queries import officers_to_seal
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who


def ask_to_reopen(
    *, fixture: Fixture, reason_class: str, words: str, by: Who, at: datetime
) -> bool:
    """Open a final result again, or ask another officer to agree; True if it is open now.

    The version that stands stays shown and counted until the next one is sealed. Raises NotYours,
    BadInput without a reason, WrongState for a result that is not final.
    """
    _organisers(by)
    if reason_class not in REASON_WORDS:
        raise BadInput("Choose what kind of reason it is.", field="reason_class")
    if not words.strip():
        raise BadInput("Say why, in a few words: everyone can read it.", field="words")
    with deed(by=by, at=at, what="result to be opened again", about=_about(fixture)) as d:
        now = _held(fixture)
        _refuse_unless_final(now)
        last = reopening_of(now)
        if last is not None and answer_to(last) is None:
            raise WrongState("An officer has asked for that already. It waits for an answer.")
        row = Reopening.objects.create(
            fixture=now,
            number=(last.number if last else 0) + 1,
            reason_class=reason_class,
            at=d.at,
            by=d.by.as_json(),
            words=d.words(words),
        )
        d.change(_about(now), {"opening asked": row.number, "reason": reason_class})
        if officers_to_seal() > 1:
            return False
        _open(d, row, now, by, at)
    return True


def answer_reopening(
    *, fixture: Fixture, agree: bool, words: str = "", by: Who, at: datetime
) -> None:
    """Another officer agrees to open the result again, or either of them drops it.

    Raises NotYours for the one who asked and would agree too, WrongState where nobody asked.
    """
    _organisers(by)
    what = "result opening agreed" if agree else "result opening dropped"
    with deed(by=by, at=at, what=what, about=_about(fixture)) as d:
        now = _held(fixture)
        _refuse_unless_final(now)
        row = reopening_of(now)
        if row is None or answer_to(row) is not None:
            raise WrongState("Nobody has asked to open this result again.")
        if not agree:
            _answer(d, row, Answer.DROPPED, words)
            d.change(_about(now), {"opening dropped": row.number})
            return
        if same_person(row.by, by):
            raise NotYours("You asked for it yourself. Another officer has to agree.")
        _open(d, row, now, by, at)


def asked_by(row: Reopening, who: Who) -> bool:
    """Whether it is this person who asked to open the result again."""
    return same_person(row.by, who)


def _open(d: Deed, row: Reopening, fixture: Fixture, by: Who, at: datetime) -> None:
    _answer(d, row, Answer.OPENED, "")
    reason = f"{REASON_WORDS[row.reason_class]}: {row.reason}"
    move_state(fixture=fixture, to=FixtureState.REVIEWING, words=reason, by=by, at=at)


def _answer(d: Deed, row: Reopening, answer: Answer, words: str) -> None:
    ReopeningAnswer.objects.create(
        reopening=row, answer=answer.value, at=d.at, by=d.by.as_json(), words=d.words(words)
    )


def seal_again(
    *,
    fixture: Fixture,
    no_return: Iterable[str] = (),
    accept: Iterable[str] = (),
    otherwise: Mapping[str, Fate] | None = None,
    witness: str = "",
    by: Who,
    at: datetime,
) -> list[ResultVersion] | None:
    """Seal version n+1 of every competition in which anything changed, and close the fixture.

    The open cards get their rulings as in `make_final`. Where nothing changed at all the fixture
    is final again with version n and there is no new one. None: another officer has to agree
    first. Those who gain and lose are told. Raises NotYours, WrongState, BadInput.
    """
    _organisers(by)
    fates = dict.fromkeys(no_return, Fate.NO_RETURN)
    fates |= dict.fromkeys(accept, Fate.ACCEPT)
    fates |= otherwise or {}
    with deed(by=by, at=at, what="result sealed again", about=_about(fixture)) as d:
        now = _held(fixture)
        if not reopened(now):
            raise WrongState("This result is not open. Open it again first, with a reason.")
        competitions = list(Competition.objects.filter(fixture=now).order_by("number"))
        for competition in competitions:
            hold_open(competition, by)
        mark_absent_of(now, fates, by, at)
        befores = [readiness(competition, by, at) for competition in competitions]
        for before in befores:
            rule_on_open(before, fates, witness, by, at)
        differing = [one for one in competitions if _differs(one)]
        if differing and not enough_agree(d, now, by):
            return None
        versions = _sealed(d, now, differing, by, at)
        tell_scores(d, now)
        tell_cuts(d, now, versions)
        if _pot_differs(now):
            share_twos(fixture=now, words="sealed again", by=by, at=at)
        move_state(fixture=now, to=FixtureState.FINAL, by=by, at=at)
        fixture.state = now.state
    return versions


def _differs(competition: Competition) -> bool:
    """Whether anything that is sealed is not as the standing version has it."""
    last = final_version(competition)
    facts = facts_of(competition)
    if last is None:
        return bool(facts.readings)
    return canonical(document_of(facts, names=False)) != last.inputs


def _pot_differs(fixture: Fixture) -> bool:
    """Whether the twos would be shared otherwise than they were."""
    shared, pot = pots_of(fixture), pot_now(fixture)
    return pot is not None and (not shared or shared[0].pot != pot_text(pot))


def _sealed(
    d: Deed, fixture: Fixture, competitions: Sequence[Competition], by: Who, at: datetime
) -> list[ResultVersion]:
    row = reopening_of(fixture)
    if row is None:
        raise WrongState("Nobody has asked to open this result again.")
    versions = []
    for competition in competitions:
        last = final_version(competition)
        typed_alone = seal_words(readiness(competition, by, at))
        version = seal(
            competition=competition,
            reason_class=row.reason_class,
            words=f"{row.reason} {typed_alone}".strip(),
            by=by,
            at=at,
        )
        versions.append(version)
        if last is not None:
            changed = changes(sealed(last, competition), sealed(version, competition))
            because = f"{REASON_WORDS[row.reason_class]}: {row.reason.rstrip('.')}."
            letters.result_changed(
                d, fixture, title=competition.name, because=because, changed=changed
            )
    return versions


def _held(fixture: Fixture) -> Fixture:
    """The fixture and its rounds, held until the deed ends, in the order of every deed."""
    now = locked(fixture)
    list(Round.objects.select_for_update(of=("self",)).filter(fixture=now).order_by("pk"))
    return now


def _refuse_unless_final(fixture: Fixture) -> None:
    highest = ResultVersion.objects.filter(competition__fixture=fixture).aggregate(Max("number"))
    if fixture.state != FixtureState.FINAL.value or highest["number__max"] is None:
        raise WrongState("This result is not final, so there is nothing to open again.")


def _organisers(by: Who) -> None:
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain opens a result again and seals it.")


def _about(fixture: Fixture) -> str:
    return f"fixture:{fixture.public_id}"
