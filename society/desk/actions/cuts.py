"""A final result tells the handicap records what the society's cut rules make of it."""

from collections.abc import Sequence

from scoring.results.models import ResultVersion
from society.audit.actions import Deed
from society.desk.queries.cuts import cuts_to_propose
from society.fixtures.models import Fixture
from society.handicaps.actions.cuts import propose_cuts


def tell_cuts(d: Deed, fixture: Fixture, versions: Sequence[ResultVersion]) -> None:
    """Propose the cuts of a fixture's first competition, inside the deed that seals it.

    Nothing moves: every proposal waits for the handicap secretary. Where no version of that
    competition was sealed nothing changes.
    """
    version = next((one for one in versions if one.competition.number == 1), None)
    if version is None:
        return
    telling = cuts_to_propose(fixture, version)
    propose_cuts(
        d,
        event=version.competition.public_id,
        version=version.number,
        day=telling.day,
        told=telling.told,
        figures=telling.figures,
        cause={"kind": "fixture", "id": fixture.public_id, "words": fixture.name},
    )
