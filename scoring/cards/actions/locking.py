"""What every deed on a card begins with: the round held, the card locked, then all is read anew."""

from datetime import datetime

from django.db import connection

from scoring.cards.bridge import CardReading
from scoring.cards.models import Card
from scoring.cards.queries import card_reading, other_scorers, starts_of, step_of
from society.entries.models import Frozen, Start
from society.entries.rules.words import OUT
from society.fixtures.models import Round
from society.fixtures.rules import FixtureState
from society.web.refusals import BadInput, Missing, NotYours, WrongState
from society.web.who import SCORERS, Who


def hold(card_of: Start | Card) -> tuple[Start, Card]:
    """Hold the round (shared) and lock the card of a start, made if it is the first writing.

    The order matters: sealing takes the round for itself, and whoever looks a UUID up before the
    card is locked is told that its own saved card is in conflict.
    """
    round_id, entry_id = card_of.round_id, card_of.entry_id
    if entry_id is None:
        raise Missing("There is no such card.")  # a side's card, which has no page yet
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            table = connection.ops.quote_name(Round._meta.db_table)
            cursor.execute(f"SELECT 1 FROM {table} WHERE id = %s FOR SHARE", [round_id])  # noqa: S608 - our own table
    round_ = Round.objects.select_related("fixture").get(pk=round_id)
    start = starts_of(round_).filter(entry=entry_id).first()
    if start is None:
        raise Missing("There is no such card.")
    # One id for both, so that a card's address and digest are known before its first writing.
    Card.objects.get_or_create(
        round=round_, entry_id=entry_id, defaults={"public_id": start.public_id}
    )
    return start, Card.objects.select_for_update().get(round=round_, entry_id=entry_id)


def read_again(start: Start) -> CardReading:
    """How the card stands now that nobody else can write on it."""
    return card_reading(start)


def refuse_unless_taken(start: Start) -> None:
    """WrongState where no card can be taken: cancelled, withdrawn, or no handicaps yet."""
    state = start.round.fixture.state
    if state in (FixtureState.CANCELLED, FixtureState.VOID):
        raise WrongState("The fixture is called off, so no cards are taken.")
    if step_of(start) in OUT:
        raise WrongState(
            f"{start.entry.player.name} is no longer in this fixture. An officer can enter "
            "the player again; then send the card once more."
        )
    if not Frozen.objects.filter(start=start).exists():
        raise WrongState(
            "Handicaps are not taken yet for this card. An officer does that under "
            "“Handicaps”; then send the card once more. Nothing you wrote is lost."
        )


def refuse_unless_open(start: Start) -> None:
    """WrongState once the result is final or the fixture is called off."""
    state = start.round.fixture.state
    if state in (FixtureState.CANCELLED, FixtureState.VOID):
        raise WrongState("The fixture is called off. Nothing on its cards changes.")
    if state == FixtureState.FINAL:
        raise WrongState("The result is final. A card changes only once it is opened again.")


def scorers_only(by: Who) -> None:
    """NotYours unless the office lets this person handle other people's cards."""
    if not by.may(SCORERS):
        raise NotYours("Only the secretary, the captain or a scorer does that.")


def own_card(by: Who, at: datetime, start: Start, words: str, witness: str) -> str:
    """The reason to keep when an officer changes a card; refuses an officer's own.

    An officer's own card needs another officer. Where no other account can act it is done
    alone, with a reason and a witness, and the words say so.
    """
    if not by.is_player(start.entry.player.public_id):
        return words.strip()
    if other_scorers(by, at):
        raise NotYours("This is your own card: another officer has to do that.")
    if not words.strip() or not witness.strip():
        raise BadInput(
            "This is your own card and no other officer can act: give the reason and name "
            "a witness.",
            field="words",
        )
    return f"{words.strip()} (own card, done alone; witness: {witness.strip()})"
