"""The last step: the result becomes final."""

from datetime import datetime

from django.urls import reverse

from scoring.results.queries.standings import final_version
from scoring.results.queries.versions import reopened
from society.desk.queries.final import readiness_of
from society.desk.queries.step import Step
from society.fixtures.models import Fixture
from society.fixtures.queries import the_competition
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState
from society.web.who import ORGANISERS, Who

TITLE = "Make final"


def publish_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """Whether the result is sealed, can be now, or still waits."""
    competition = the_competition(fixture)
    if version := final_version(competition):
        if reopened(fixture):
            return _open_again(fixture, version.number, who)
        return Step(
            title=TITLE,
            desc=f"Fingerprint {version.fingerprint}. Everyone sees it on the result page.",
            state="final",
            state_words=f"Final, version {version.number}",
            url=reverse("results:show", args=[fixture.public_id]),
        )
    state = FixtureState(fixture.state)
    if state in ENDED:
        return Step(title=TITLE, desc="There is no result.", state="pencil",
                    state_words=STATE_WORDS[state])  # fmt: skip
    if competition.frozen_at is None:
        desc = "The result is sealed once handicaps are taken and cards are in."
        return Step(title=TITLE, desc=desc, state="pencil", state_words="Waits for handicaps")
    ready = readiness_of(fixture, who, at)
    open_ = len(ready.out) + len(ready.unsettled)
    url = reverse("desk:make_final", args=[fixture.public_id]) if who.may(ORGANISERS) else None
    count, unit = ready.cards_in, f"of {ready.field_size} cards in"
    if open_ or not ready.cards_in:
        desc = "Cards that stay out or unsigned get their ruling in the same step."
        return Step(TITLE, desc, "pencil", "Not yet", url, count, unit)
    desc = "Every card is in and settled. Nothing changes once it is sealed."
    return Step(TITLE, desc, "act" if url else "pencil", "Make it final", url, count, unit)


def _open_again(fixture: Fixture, number: int, who: Who) -> Step:
    mine = who.may(ORGANISERS)
    return Step(
        title=TITLE,
        desc=f"Version {number} is being looked at again, and stands until the next is sealed.",
        state="act" if mine else "pencil",
        state_words="Open again",
        url=reverse("desk:reopen", args=[fixture.public_id]) if mine else None,
    )
