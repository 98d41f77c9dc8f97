"""What must happen when its time has come. Safe at any time, twice, and side by side.

Each piece looks first and only then begins a deed, so that a minute with nothing to do writes
nothing; each is a deed of its own, so that one that fails stops no other.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.utils import timezone

from scoring.cards.actions.reminding import remind_due
from society.entries.actions import deadlines
from society.members.letters import deliver, empty_the_old, give_up_the_old
from society.members.queries import society_ways
from society.web import press
from society.web.date_style import dates_written
from society.web.templatetags.look import count_of
from society.web.who import Who

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing the clock does. `words`: for one and for several, "place offered, places …"."""

    do: Callable[..., int]  # takes by and at; how many times it did it
    words: str


def _mail(deliver: Callable[..., int]) -> Callable[..., int]:
    """Letters and files belong to nobody in particular: no deed, no line in the audit."""
    return lambda by, at: deliver(at=at)


def _given_up(*, by: Who, at: datetime) -> int:
    """Where no e-mail is set up nobody expects a letter to go, and none is told as given up."""
    count = give_up_the_old(at=at)
    return count if settings.SENDS_EMAIL else 0


# In this order: a closing lets guests in, and whatever is written goes out in the same minute.
PIECES = (
    Piece(deadlines.open_due, "fixture opened for entries,fixtures opened for entries"),
    Piece(deadlines.close_due, "fixture closed for entries,fixtures closed for entries"),
    Piece(deadlines.lapse_offers, "offer lapsed,offers lapsed"),
    Piece(deadlines.move_guests_in, "guest moved in,guests moved in"),
    Piece(remind_due, "player asked for a missing card,players asked for a missing card"),
    Piece(_given_up, "letter given up as too old,letters given up as too old"),
    Piece(_mail(deliver), "letter sent,letters sent"),
    Piece(_mail(empty_the_old), "old letter emptied,old letters emptied"),
    Piece(_mail(press.clear), "file for the printer removed,files for the printer removed"),
)


@dataclass(frozen=True, slots=True)
class Happened:
    """What one run did, and what it could not do, in sentences."""

    done: tuple[str, ...]
    failed: tuple[str, ...]


def run_due(*, at: datetime) -> Happened:
    """Do everything whose time has come. Never raises: what failed is told, and tried again."""
    zone, style = society_ways()
    with timezone.override(zone), dates_written(style):
        return _run(at)


def _run(at: datetime) -> Happened:
    by, done, failed = Who.due(), [], []
    for piece in PIECES:
        try:
            count = piece.do(by=by, at=at)
        except Exception as error:  # the rest must still happen
            _log.exception("due: %s", piece.words)
            failed.append(f"{piece.words.split(',')[0]}: {error}")
        else:
            if count:
                done.append(f"{count_of(count, piece.words)}.".replace("\u00a0", " "))
    return Happened(tuple(done), tuple(failed))
