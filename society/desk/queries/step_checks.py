"""The step of the checks: cards that are queried or lack a signature."""

from datetime import datetime

from django.urls import reverse

from scoring.results.queries.standings import final_version
from society.desk.queries.final import readiness_of
from society.desk.queries.step import Step
from society.fixtures.models import Fixture
from society.fixtures.queries import the_competition
from society.web.who import Who


def checks_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """Which cards still want a look before the result can be final."""
    competition = the_competition(fixture)
    if final_version(competition):
        return Step(title="Checks", desc="Every card is settled.", state="ink", state_words="Done")
    ready = readiness_of(fixture, who, at)
    url = reverse("cards:in_out", args=[fixture.public_id])
    if ready.unsettled:
        names = [f"{card.name}: {card.words}" for card in ready.unsettled]
        more = f"; and {len(names) - 3} more" if len(names) > 3 else ""
        return Step(
            title="Checks",
            desc="; ".join(names[:3]) + more,
            state="act",
            state_words="Settle them, or accept them as written",
            url=url,
            count=len(names),
            unit="card to look at" if len(names) == 1 else "cards to look at",
        )
    if not ready.cards_in:
        desc, state, words = (
            "Differences and missing signatures are listed here.",
            "pencil",
            "Waits",
        )
    else:
        desc, state, words = (
            "No card is queried and no signature is missing.",
            "ink",
            "Nothing open",
        )
    return Step(title="Checks", desc=desc, state=state, state_words=words, url=url)
