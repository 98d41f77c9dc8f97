"""Whether a player may be made anonymous now."""

from society.entries.models import Entry
from society.entries.rules.words import OUT
from society.fixtures.models import Fixture
from society.fixtures.rules import ENDED
from society.members.models import Player


def former_name(player: Player) -> str:
    """What an anonymous player is called: told apart, and naming nobody."""
    return f"Former player {player.public_id[:4]}"


def still_in(player: Player) -> Fixture | None:
    """The first fixture that is not over in which the player has a place or waits."""
    entries = (
        Entry.objects.filter(player=player)
        .with_step()
        .exclude(fixture__state__in=[state.value for state in ENDED])
        .select_related("fixture")
        .order_by("fixture__starts_on")
    )
    return next((entry.fixture for entry in entries if entry.step not in OUT), None)
