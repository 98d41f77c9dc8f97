"""Makes the small field that the journeys of the card are played on, and says who is in it."""

import json

import django

django.setup()

from tests.factories.cards import acts_for, ready  # noqa: E402 - after setup()
from tests.factories.members import AccountFactory, OfficeFactory, SocietyFactory  # noqa: E402 - after setup()


def main() -> None:
    """Two players who mark each other, and a scorer; printed as JSON."""
    SocietyFactory()
    starts = ready()
    scorer = AccountFactory(name="Sally Tallyman")
    OfficeFactory(account=scorer, role="scorer")
    said = {
        "cards": [start.public_id for start in starts],
        "digits": [start.digits for start in starts],
        "players": [acts_for(start.entry.player).email for start in starts],
        "scorer": scorer.email,
        "fixture": starts[0].round.fixture.public_id,
    }
    print(json.dumps(said))


if __name__ == "__main__":
    main()
