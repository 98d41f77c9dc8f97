"""Who may see a result, and who may rule on cards."""

from scoring.results.models import Ruling
from society.fixtures.access import fixture_to_read, fixture_to_run
from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import the_competition
from society.fixtures.rules import FixtureState
from society.web.refusals import Missing
from society.web.who import Who


def result_to_read(who: Who, public_id: str) -> Competition:
    """The competition of a fixture, for anyone who plays or holds an office. Raises Missing."""
    return _competition(fixture_to_read(who, public_id))


def result_for_everybody(public_id: str) -> Competition | None:
    """The competition of a fixture with a sealed result, for a reader who is not signed in.

    None for every other address, so that nobody learns which fixtures there are.
    """
    shown = (FixtureState.FINAL.value, FixtureState.REVIEWING.value)
    found = Fixture.objects.select_related("season").filter(public_id=public_id, state__in=shown)
    fixture = found.first()
    if fixture is None:
        return None
    competition = _competition(fixture)
    return competition if competition.versions.exists() else None


def result_to_rule(who: Who, public_id: str) -> Competition:
    """The competition of a fixture, for its organisers. Raises Missing, NotYours."""
    return _competition(fixture_to_run(who, public_id))


def _competition(fixture: Fixture) -> Competition:
    competition = the_competition(fixture)
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
