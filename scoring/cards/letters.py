"""The words of letters about cards."""

from django.urls import reverse

from society.audit.actions import Deed
from society.entries.models import Start
from society.fixtures.models import Fixture
from society.members import letters
from society.members.models import Letter
from society.members.rules import LetterKind
from society.web.templatetags.look import day_long


def card_missing(d: Deed, fixture: Fixture, start: Start) -> Letter | None:
    """The player of a card that is still out is asked for it."""
    return letters.write(
        d,
        to=start.entry.player,
        kind=LetterKind.CARD_MISSING,
        subject=f"{fixture.name}: your card is missing",
        text=f"Your card of {fixture.name} on {day_long(fixture.starts_on)} is not in yet. Write "
        "it on the page below, or give the paper card to whoever runs the day. If you did not "
        "play, tell them so.\n\nA card that is not in when the result is made final counts as no "
        "return.",
        about=f"fixture:{fixture.public_id}",
        link=reverse("cards:mine"),
    )
