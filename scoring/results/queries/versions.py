"""The sealed versions of a result: which stand and why, who agreed, and whether they still hold."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from scoring.results.bridge import (
    document_of,
    facts_of,
    sealed_document,
)
from scoring.results.models import (
    Reopening,
    ResultVersion,
    SealAgreed,
)
from scoring.results.queries.standings import _COMPARED, Standing, final_version, versions_of
from scoring.results.rules import (
    REASON_WORDS,
    Answer,
    agreement_digest,
    seal_digest,
)
from scoring.rules.engine import ENGINE, score
from scoring.rules.event import read_event
from scoring.rules.recount import differences
from scoring.rules.strict_json import Refused, canonical, read_json
from society.audit.models import AuditLine
from society.audit.rules import FIRST
from society.fixtures.models import Competition, Fixture
from society.fixtures.rules import FixtureState
from society.members.models import Account


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
    names = accounts_behind(listed)
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
    names = accounts_behind(row.by for row in rows)
    return [
        VersionShown(row.number, row.at, names.get(row.by, ""), row.digest, _why_sealed(row))
        for row in rows
    ]


def _why_sealed(version: ResultVersion) -> str:
    """Why there is this version: class of reason and words; of the first one the words alone."""
    reason = REASON_WORDS.get(version.reason_class)
    return f"{reason}. {version.reason}".strip() if reason else version.reason


def accounts_behind(bys: Iterable[str]) -> dict[str, str]:
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
