"""Who marks a card where no draw says so: the player names the marker on the card."""

from datetime import datetime

from scoring.cards.actions.locking import hold, read_again, refuse_unless_open
from scoring.cards.queries import other_scorers
from scoring.cards.rules.words import Record
from society.audit.actions import deed
from society.entries.models import Entry, Start
from society.entries.queries import in_the_field
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import SCORERS, Who


def name_marker(*, start: Start, marker: Entry, by: Who, at: datetime) -> None:
    """Name another player of the same field as the marker of this card.

    The player does it where no draw gave a marker and nobody wrote as one yet; an officer may at
    any time before the card is certified by its marker, on an own card only where no other
    officer can. Raises NotYours, BadInput or WrongState.
    """
    own = by.is_player(start.entry.player.public_id)
    officer = by.may(SCORERS) and not (own and other_scorers(by, at))
    if not officer and not own:
        raise NotYours("Only the player or an officer names the marker of this card.")
    about = f"start:{start.public_id}"
    with deed(by=by, at=at, what="marker named", about=about) as d:
        start, _ = hold(start)
        refuse_unless_open(start)
        if marker.pk == start.entry_id:
            raise BadInput("Nobody marks their own card. Choose somebody else.", field="marker")
        if not in_the_field(start.round.fixture).filter(pk=marker.pk).exists():
            raise BadInput("The marker must be playing in this fixture.", field="marker")
        if start.group is not None and start.marker_id and not officer:
            raise WrongState("The draw says who marks this card. An officer can change it.")
        reading = read_again(start)
        if Record.MARKER in reading.records and not officer:
            raise WrongState(
                "The marker has written on this card already. An officer can change the name."
            )
        if reading.marker_certified:
            raise WrongState("The marker has certified this card, so the name stays.")
        old = start.marker.public_id if start.marker else None
        start.marker = marker
        start.save(update_fields=["marker"])
        d.change(about, {"marker": marker.public_id}, {"marker": old} if old else None)
