"""A final result tells the handicap records the scores of its cards."""

from society.audit.actions import Deed
from society.desk.queries.scores import scores_to_tell
from society.fixtures.models import Fixture
from society.handicaps.actions.scores import post_scores


def tell_scores(d: Deed, fixture: Fixture) -> None:
    """Post the cards of a fixture into the records, inside the deed that makes it final.

    Told again after it was opened, a corrected card is the next number of its score, and a card
    that makes no score any more counts no longer. What makes none is said in the audit line,
    without names.
    """
    telling = scores_to_tell(fixture)
    post_scores(d, told=telling.told, within=telling.within)
    d.note(telling.left_out)
