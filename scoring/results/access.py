"""Who may see a result, and who may rule on cards."""

from scoring.results.models import Ruling
from society.fixtures.access import fixture_to_read, fixture_to_run
from society.fixtures.models import Competition, Fixture
from society.fixtures.rules import FixtureState
from society.web.refusals import Missing
from society.web.who import Who


def result_to_read(who: Who, public_id: str) -> Competition:
    """A competition, for anyone who plays or holds an office; a fixture's id names its first.

    Raises Missing.
    """
    fixture_id, number = _named(public_id)
    return _competition(fixture_to_read(who, fixture_id), number)


def result_for_everybody(public_id: str) -> Competition | None:
    """A competition with a sealed result, for a reader who is not signed in.

    None for every other address, so that nobody learns which fixtures there are.
    """
    shown = (FixtureState.FINAL.value, FixtureState.REVIEWING.value)
    fixture_id, number = _named(public_id)
    found = Fixture.objects.select_related("season").filter(public_id=fixture_id, state__in=shown)
    fixture = found.first()
    if fixture is None:
        return None
    competition = _competition(fixture, number)
    return competition if competition.versions.exists() else None


def result_to_rule(who: Who, public_id: str) -> Competition:
    """The same, for the organisers. Raises Missing, NotYours."""
    fixture_id, number = _named(public_id)
    return _competition(fixture_to_run(who, fixture_id), number)


def _named(public_id: str) -> tuple[str, int]:
    """The public id of the fixture and the number of the competition that an address names."""
    rows = Competition.objects.filter(public_id=public_id)
    row = rows.values_list("fixture__public_id", "number").first()
    return row or (public_id, 1)


def _competition(fixture: Fixture, number: int) -> Competition:
    competition = fixture.competitions.get(number=number)
    competition.fixture = fixture
    return competition


def ruling_to_withdraw(who: Who, public_id: str, ruling: str) -> Ruling:
    """One ruling of a fixture, for its organisers. Raises Missing, NotYours."""
    competition = result_to_rule(who, public_id)
    found = Ruling.objects.select_related("entry__player", "words").filter(
        competition=competition, public_id=ruling
    )
    row = found.first()
    if row is None:
        raise Missing("There is no such ruling.")
    row.competition = competition
    return row
