"""How many officers a seal needs: each agrees to exactly these inputs, and no one twice."""

import json

from scoring.results.models import ResultVersion, SealAgreed
from scoring.results.queries.versions import agreement_of
from society.audit.actions import Deed
from society.fixtures.models import Fixture
from society.members.queries import officers_to_seal
from society.web.refusals import WrongState
from society.web.who import Who


def enough_agree(d: Deed, fixture: Fixture, by: Who) -> bool:
    """Note that this officer agrees to seal the fixture as it stands now; whether that is enough.

    Call it inside the deed that seals, with the rounds held. Raises WrongState for a command
    where two officers are needed: a program is no officer.
    """
    if officers_to_seal() < 2:
        return True
    if by.account is None:
        raise WrongState("Two officers seal results here; a program cannot be one of them.")
    digest = agreement_of(fixture)
    rows = list(SealAgreed.objects.filter(fixture=fixture, digest=digest))
    if all(row.account != by.account for row in rows):
        SealAgreed.objects.create(
            fixture=fixture, digest=digest, account=by.account, at=d.at, by=d.by.as_json()
        )
        d.change(f"fixture:{fixture.public_id}", {"agreed to seal": digest})
    return any(not same_person(row.by, by) for row in rows)


def refuse_if_sealed(fixture: Fixture, what: str) -> None:
    """A sealed version stands until the next one: nothing that would leave it behind is done.

    `what`: the end of the sentence, as "it cannot be cancelled". Raises WrongState.
    """
    if ResultVersion.objects.filter(competition__fixture=fixture).exists():
        raise WrongState(
            f"A sealed result of this fixture stands, so {what}. Seal it again, with every card "
            "ruled on if need be; the version that stood stays readable."
        )


def same_person(row_by: str, by: Who) -> bool:
    """Whether the account that wrote a row is the one that acts."""
    return bool(json.loads(row_by).get("account") == by.account)
