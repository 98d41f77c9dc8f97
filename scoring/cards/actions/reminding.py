"""Asking for cards that are still out: an officer's press, or the clock's once after the day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from scoring.cards import letters
from scoring.cards.actions.locking import scorers_only
from scoring.cards.queries import cards_of, step_of
from scoring.cards.rules.words import CardState
from society.audit.actions import deed
from society.entries.models import Start
from society.entries.rules.words import IN
from society.fixtures.actions.holding import locked
from society.fixtures.models import Round
from society.fixtures.rules import ENDED, FixtureState
from society.members.models import Letter
from society.members.queries import society_day, society_zone
from society.members.rules import LetterKind
from society.web.refusals import WrongState
from society.web.who import Who

_AGAIN = timedelta(hours=2)  # nobody is asked twice by two officers who press at once
_HOUR = time(9)  # of the day after play, where the society is: the clock's reminder
_STALE = timedelta(days=7)  # the clock asks for no cards older than that


@dataclass(frozen=True, slots=True)
class Reminded:
    """`told`: asked by letter. `by_hand`: no address is known. `lately`: asked just before."""

    told: tuple[str, ...] = ()
    by_hand: tuple[str, ...] = ()
    lately: tuple[str, ...] = ()


def remind(*, round: Round, by: Who, at: datetime) -> Reminded:
    """Ask everyone whose card is out for it. NotYours; WrongState before the day or after it."""
    scorers_only(by)
    about = f"fixture:{round.fixture.public_id}"
    with deed(by=by, at=at, what="asked for missing cards", about=about) as d:
        fixture = locked(round.fixture)
        if FixtureState(fixture.state) in ENDED:
            raise WrongState("This fixture is over; nobody is asked for a card any more.")
        if society_day(at) < round.day:
            raise WrongState("Nobody has played yet.")
        missing, _came_in = _cards(round)
        asked = _asked(round, since=at - _AGAIN)
        told, by_hand, lately = [], [], []
        for start in missing:
            name = start.entry.player.name
            if start.entry.player_id in asked:
                lately.append(name)
            elif letters.card_missing(d, fixture, start):
                told.append(name)
            else:
                by_hand.append(name)
        d.change(about, {"asked": len(told)})
    return Reminded(tuple(told), tuple(by_hand), tuple(lately))


def remind_due(*, by: Who, at: datetime) -> int:
    """The clock's reminder, once for each missing card; how many were written.

    From nine in the morning after the day of play, or from the hour cards are due. Only where
    more cards are in than out: a society that types its paper on Monday is not to be told that
    everybody's card is missing.
    """
    today = society_day(at)
    rounds = Round.objects.filter(
        day__gte=today - _STALE, day__lte=today, competitions__frozen_at__isnull=False
    ).exclude(fixture__state__in=[state.value for state in ENDED])
    count = 0
    for round_ in rounds.select_related("fixture").distinct():
        if at >= _from(round_) and _to_ask(round_):
            about = f"fixture:{round_.fixture.public_id}"
            with deed(by=by, at=at, what="asked for missing cards", about=about) as d:
                fixture = locked(round_.fixture)
                told = [letters.card_missing(d, fixture, start) for start in _to_ask(round_)]
                d.change(about, {"asked": len(told)})
                count += len(told)
    return count


def _from(round_: Round) -> datetime:
    if round_.cards_due_at is not None:
        return round_.cards_due_at
    day: date = (round_.play_by or round_.day) + timedelta(days=1)
    return datetime.combine(day, _HOUR, tzinfo=ZoneInfo(society_zone()))


def _to_ask(round_: Round) -> Sequence[Start]:
    """The starts whose players the clock has to ask now; none where too little is in."""
    missing, came_in = _cards(round_)
    if came_in <= len(missing):
        return ()
    asked = _asked(round_)
    return [start for start in missing if start.entry.player_id not in asked]


def _cards(round_: Round) -> tuple[list[Start], int]:
    """Starts of the present field without any writing, and how many have one."""
    present = [one for one in cards_of(round_).values() if step_of(one.start) in IN]
    missing = [one.start for one in present if one.state is CardState.OUT]
    return missing, len(present) - len(missing)


def _asked(round_: Round, since: datetime | None = None) -> set[int | None]:
    """The players asked for this card before, with a letter or by hand."""
    rows = Letter.objects.filter(
        kind=LetterKind.CARD_MISSING.value, about=f"fixture:{round_.fixture.public_id}"
    )
    if since is not None:
        rows = rows.filter(made_at__gt=since)
    return set(rows.values_list("player_id", flat=True))
