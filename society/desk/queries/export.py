"""Which competition a command means."""

from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import competitions_of


def competition_to_export(named: str, competition: str = "") -> Competition | None:
    """A competition of the one fixture with this public id or name; None if there is none.

    `competition`: its number or its name; the first if left out.
    """
    found = list(Fixture.objects.filter(public_id=named)) or list(
        Fixture.objects.filter(name=named)[:2]
    )
    if len(found) != 1:
        return None
    wanted = (competition or "1").casefold()
    rows = competitions_of(found[0])
    return next((row for row in rows if wanted in (str(row.number), row.name.casefold())), None)
