"""Who may see a card and who may handle one: its player, the one who marks it, officers."""

from scoring.cards.models import Card
from scoring.cards.queries import starts_of
from society.entries.models import Entry, Start
from society.entries.queries import in_the_field
from society.fixtures.access import fixture_to_score
from society.fixtures.models import Round
from society.fixtures.queries import the_round
from society.web.refusals import Missing, NotYours
from society.web.who import SCORERS, Who

_NO_CARD = "There is no such card, or it is not for you to see."


def card_to_read(who: Who, public_id: str) -> Start:
    """The start whose card it is, for the player, the marker and officers. Raises Missing."""
    start = _found(public_id)
    if start is None or not (who.is_officer or near(who, start)):
        raise Missing(_NO_CARD)
    return start


def card_to_handle(who: Who, public_id: str) -> Start:
    """The same for those who take in cards. Raises Missing, NotYours."""
    start = card_to_read(who, public_id)
    if not who.may(SCORERS):
        raise NotYours("Only the secretary, the captain or a scorer does that.")
    return start


def card_to_sign(who: Who, public_id: str) -> Start:
    """The same for those whose word it wants: player, marker, and those who take in cards."""
    start = card_to_read(who, public_id)
    if not near(who, start) and not who.may(SCORERS):
        raise NotYours("Only the player, the marker and those who take in cards do that.")
    return start


def card_of_player(who: Who, public_id: str) -> Start:
    """The same for its player, and those who take in cards. Raises Missing, NotYours."""
    start = card_to_read(who, public_id)
    if not plays(who, start) and not who.may(SCORERS):
        raise NotYours("Only the player or an officer names the marker of this card.")
    return start


def round_to_score(who: Who, fixture_id: str) -> Round:
    """The round of a fixture for those who take in cards. Raises Missing, NotYours."""
    fixture = fixture_to_score(who, fixture_id)
    round_ = the_round(fixture)
    round_.fixture = fixture
    return round_


def entry_of_field(start: Start, public_id: str) -> Entry:
    """Another entry of the same field, to be named as marker. Raises Missing."""
    found = in_the_field(start.round.fixture).filter(public_id=public_id).first()
    if found is None:
        raise Missing("That player is not in this fixture.")
    return found


def near(who: Who, start: Start) -> bool:
    """Whether this person acts for the card's player or its marker."""
    return plays(who, start) or marks(who, start)


def plays(who: Who, start: Start) -> bool:
    """Whether it is this person's own card."""
    return who.is_player(start.entry.player.public_id)


def marks(who: Who, start: Start) -> bool:
    """Whether this person is its marker."""
    return start.marker is not None and who.is_player(start.marker.player.public_id)


def _found(public_id: str) -> Start | None:
    start = Start.objects.filter(public_id=public_id).select_related("round").first()
    if start is None:
        card = Card.objects.filter(public_id=public_id, entry__isnull=False).first()
        if card is None:
            return None
        start = Start.objects.select_related("round").get(round=card.round_id, entry=card.entry_id)
    return starts_of(start.round).get(pk=start.pk)
