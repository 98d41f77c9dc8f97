"""Sealing a result: engine and recount agree, and no card can slip in."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from scoring.results.actions.holding import about_of, hold_open
from scoring.results.bridge import (
    disagreement,
    document_of,
    facts_of,
    sentence,
)
from scoring.results.models import (
    ResultVersion,
)
from scoring.results.queries.standings import final_version
from scoring.results.queries.versions import reopened
from scoring.results.rules import (
    ReasonClass,
    seal_digest,
)
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.recount import differences
from scoring.rules.strict_json import Refused, canonical
from society.audit.actions import Deed, deed
from society.audit.queries import head
from society.fixtures.models import Competition
from society.web.refusals import WrongState
from society.web.who import Who


def seal(
    *,
    competition: Competition,
    by: Who,
    at: datetime,
    reason_class: str = ReasonClass.FIRST.value,
    words: str = "",
) -> ResultVersion:
    """Seal how the competition stands as its next version: 1, or n+1 once it was opened again.

    The rounds are held FOR UPDATE before anything is read, so that no card can slip in. Engine
    and recount are compared; where they differ nothing is sealed and the sentences say where.
    Raises NotYours, WrongState.
    """
    with deed(by=by, at=at, what="result sealed", about=about_of(competition)) as d:
        hold_open(competition, by)
        last = final_version(competition)
        if last and not reopened(competition.fixture):
            raise WrongState("This result is sealed already. Reopening it needs a reason.")
        facts = facts_of(competition)
        document = document_of(facts, names=False)
        try:
            answer = score(read_event(document))
        except Refused as refused:
            raise WrongState(sentence(refused, document, facts)) from refused
        if found := differences(document, answer):
            raise WrongState(disagreement(found))
        number = last.number + 1 if last else 1
        return _seal(d, competition, number, canonical(document), answer, reason_class, words)


def _seal(
    d: Deed,
    competition: Competition,
    number: int,
    inputs: str,
    answer: Mapping[str, Any],
    reason_class: str,
    words: str,
) -> ResultVersion:
    outputs = canonical(answer)
    version = ResultVersion(
        competition=competition,
        number=number,
        inputs=inputs,
        outputs=outputs,
        engine=answer["engine"],
        rules=answer["rules"],
        digest=seal_digest(
            competition=competition.public_id, number=number, inputs=inputs, outputs=outputs
        ),
        audit_head=head(),
        reason_class=reason_class,
        at=d.at,
        by=d.by.as_json(),
        words=d.words(words),
    )
    version.save()
    sealed = {"version": number, "digest": version.digest, "result": version.public_id}
    d.change(f"result:{version.public_id}", sealed | {"competition": competition.public_id})
    d.change(about_of(competition), sealed)
    return version
