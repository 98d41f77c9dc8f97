"""The step of the cards: how many are in, and who has not handed in yet."""

from datetime import datetime

from django.urls import reverse

from scoring.cards.rules.words import CardState
from scoring.cards.tables import in_and_out
from society.desk.queries.step import Step
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import ENDED, FixtureState
from society.members.queries import society_day
from society.web.templatetags.look import count_of, day_clock
from society.web.who import Who


def cards_step(fixture: Fixture, who: Who, at: datetime) -> Step:
    """How many cards are in, and who has not handed in yet."""
    round_ = the_round(fixture)
    board = in_and_out(round_)
    missing = [line.player for line in board.lines if line.reading.state is CardState.OUT]
    when = f"due {day_clock(round_.cards_due_at)}" if round_.cards_due_at else ""
    if not board.lines:
        return Step(
            title="Cards",
            desc="Cards are taken from the moment handicaps are.",
            state="pencil",
            state_words="Waits for handicaps",
            when=when,
        )
    # On the day, and once anything has come in, whoever is missing is to be asked.
    begun = society_day(at) >= round_.day or board.came_in > 0
    if FixtureState(fixture.state) in ENDED or not missing:
        state, words = "ink", "All in" if not missing else "Closed"
    elif begun:
        state, words = "act", f"Chase {count_of(len(missing), 'card,cards')}"
    else:
        state, words = "pencil", "Before play"
    return Step(
        title="Cards",
        desc=_desc(missing, board.held),
        state=state,
        state_words=words,
        url=reverse("cards:in_out", args=[fixture.public_id]),
        count=board.came_in,
        unit=f"of {count_of(len(board.lines), 'card,cards')} returned",
        when=when,
    )


def _desc(missing: list[str], held: int) -> str:
    said = "Every card is written"
    if missing:
        more = f" and {len(missing) - 3} more" if len(missing) > 3 else ""
        said = f"Missing: {', '.join(missing[:3])}{more}"
    if held:
        said += f". {count_of(held, 'sending is,sendings are')} kept beside a card, to be decided"
    return said
