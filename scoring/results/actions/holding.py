"""What every deed on a competition asks first: held, still open, the words in bounds."""

from scoring.rules.checks import text
from scoring.rules.strict_json import Refused
from society.fixtures.actions.holding import locked
from society.fixtures.models import Competition, Fixture, Round
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import ORGANISERS, Who


def about_of(competition: Competition) -> str:
    return f"competition:{competition.public_id}"


def hold_open(competition: Competition, by: Who) -> None:
    """Hold the rounds until the deed ends, and refuse where no ruling can be made any more.

    Call it inside a deed. Raises NotYours, WrongState.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain rules on cards and seals results.")
    # Fixture before round, as whoever takes handicaps does: two orders would lock each other out.
    refuse_if_ended(locked(competition.fixture))
    held = Round.objects.select_for_update(of=("self",)).filter(competitions=competition)
    list(held.order_by("pk"))
    if Competition.objects.get(pk=competition.pk).frozen_at is None:
        raise WrongState("Handicaps are not taken yet; take them first.")


def refuse_if_ended(fixture: Fixture) -> None:
    """Raises WrongState where the fixture is final, cancelled or void."""
    state = FixtureState(fixture.state)
    if state is FixtureState.FINAL:
        raise WrongState("This result is final. Nothing in it changes until it is reopened.")
    if state in ENDED:
        raise WrongState(f"This fixture is {STATE_WORDS[state].lower()}.")


def checked(value: str, name: str) -> str:
    """A text within the document's limits: at most 200 characters on one line."""
    try:
        return text(value, name)
    except Refused as refused:
        raise BadInput(
            f"One line of at most 200 characters, please: it {refused.words}.", field=name
        ) from refused
