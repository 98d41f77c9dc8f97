"""Which competition a command means."""

from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import the_competition


def competition_to_export(named: str) -> Competition | None:
    """The competition of the one fixture with this public id or name; None if there is none."""
    found = list(Fixture.objects.filter(public_id=named)) or list(
        Fixture.objects.filter(name=named)[:2]
    )
    return the_competition(found[0]) if len(found) == 1 else None
