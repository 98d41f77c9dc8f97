"""What a member must do now: take an offer, enter, write and sign cards; and what has come out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q
from django.urls import reverse

from scoring.cards.bridge import CardReading
from scoring.cards.queries import cards_over, step_of
from scoring.cards.rules.words import Capacity, CardState
from society.desk.queries.mine import day_of, until
from society.desk.queries.season import window_of
from society.entries.models import Entry
from society.entries.queries import offers_of
from society.entries.rules.words import IN, OUT, Step
from society.fixtures.models import Fixture, Round
from society.fixtures.rules import ENDED, FixtureState, Window
from society.members.models import Player
from society.web.templatetags.look import clock, count_of, day_long, names
from society.web.who import Who

SOON = timedelta(days=14)  # further off, the season's list is enough
URGENT = timedelta(days=5)  # from then on it stands out
NEWS = timedelta(days=10)  # so long a result is news


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing to do, or to know: the day for the margin, a sentence, where to go.

    `act`: the reader must act; `overdue`: it should have been done by now; `whose`: for which
    office, where that is not plain; `soon`: not only some time.
    """

    day: date
    title: str
    words: str
    url: str
    verb: str
    at: datetime | None = None
    act: bool = True
    overdue: bool = False
    whose: str = ""
    soon: bool = True

    @property
    def is_red(self) -> bool:
        """Whether it stands out: the reader must act, and not only some time."""
        return self.overdue or (self.act and self.soon)

    @property
    def rank(self) -> tuple[bool, bool, date, str]:
        """What is overdue first, then what must be done, by day."""
        return (not self.overdue, not self.act, self.day, self.title)


def running_fixtures() -> list[Fixture]:
    """Every fixture that is not over, by day, with rounds and competitions at hand."""
    return list(
        Fixture.objects.exclude(state__in=[state.value for state in ENDED])
        .select_related("season")
        .order_by("starts_on", "pk")
        .prefetch_related("rounds__course", "competitions", "fees")
    )


def begun_rounds(fixtures: Iterable[Fixture], today: date) -> list[Round]:
    """The rounds of today and before for which handicaps are taken."""
    return [
        round_
        for fixture in fixtures
        if any(competition.frozen_at for competition in fixture.competitions.all())
        for round_ in fixture.rounds.all()
        if round_.day <= today
    ]


def todo_of(
    running: Sequence[Fixture], players: Sequence[Player], who: Who, at: datetime, *, shown: int = 0
) -> list[Todo]:
    """What this reader must do, what is overdue first. A constant number of queries.

    `shown`: the row number of the fixture whose entering the page shows by itself already.
    """
    if not players:
        return []
    news = list(
        Fixture.objects.filter(
            state=FixtureState.FINAL.value, ends_on__gte=day_of(at) - NEWS, ends_on__lte=day_of(at)
        )
    )
    entries = _entries([*running, *news], who)
    found = [
        *_offers(entries, players, at),
        *_to_enter([one for one in running if one.pk != shown], players, entries, at),
        *_cards(begun_rounds(running, day_of(at)), who, at),
        *_results(news, entries, who),
    ]
    return sorted(found, key=lambda one: one.rank)


def _entries(fixtures: Sequence[Fixture], who: Who) -> list[Entry]:
    """Entries of the reader's own players, and of guests whose host one of them is."""
    mine = Q(player__public_id__in=who.players) | Q(host__public_id__in=who.players)
    rows = Entry.objects.filter(mine, fixture__in=fixtures)
    return list(rows.with_step().select_related("player", "fixture"))


def _offers(entries: Sequence[Entry], players: Sequence[Player], at: datetime) -> list[Todo]:
    ends = offers_of(entries)
    return [
        Todo(
            day=day_of(ends[entry.pk]),
            at=ends[entry.pk],
            title=f"{_place(entry, players)} in {entry.fixture.name} is free for you to take",
            words=f"The offer stands until {day_long(ends[entry.pk])} at {clock(ends[entry.pk])}; "
            "then it goes to the next name.",
            url=reverse("desk:fixture", args=[entry.fixture.public_id]) + "#enter",
            verb="Take it or leave it",
        )
        for entry in entries
        if entry.step == Step.OFFERED and ends.get(entry.pk, at) > at
    ]


def _place(entry: Entry, players: Sequence[Player]) -> str:
    """Whose place it is, where that is not plain."""
    own = len(players) == 1 and entry.player_id == players[0].pk
    return "A place" if own else f"A place for {entry.player.first_name}"


def _to_enter(
    fixtures: Sequence[Fixture], players: Sequence[Player], entries: Sequence[Entry], at: datetime
) -> list[Todo]:
    """Fixtures that close within a fortnight and that somebody has not entered."""
    inside = {(one.fixture_id, one.player_id) for one in entries if one.step not in OUT}
    found = []
    for fixture in fixtures:
        closes = fixture.entries_close_at
        missing = [one for one in players if (fixture.pk, one.pk) not in inside]
        if closes is None or closes > at + SOON or not missing:
            continue
        if window_of(fixture, at) is not Window.OPEN:
            continue
        whom = "You are" if len(players) == 1 else f"{names([p.first_name for p in missing])}:"
        left = until(closes, at)
        found.append(
            Todo(
                day=day_of(closes),
                at=closes,
                title=f"Enter {fixture.name}, {day_long(fixture.starts_on)}",
                words=f"{whom} not in yet. Entries close on {day_long(closes)} at {clock(closes)}"
                f"{f', {left}' if left else ''}.",
                url=reverse("desk:fixture", args=[fixture.public_id]) + "#enter",
                verb="Enter, or read about the day",
                soon=closes <= at + URGENT,
            )
        )
    return found


def _cards(rounds: Sequence[Round], who: Who, at: datetime) -> list[Todo]:
    taking = [one for one in rounds if one.fixture.state != FixtureState.REVIEWING.value]
    if not taking:
        return []
    found = []
    for reading in cards_over(taking, who):
        if step_of(reading.start) in OUT:
            continue
        own = who.is_player(reading.start.entry.player.public_id)
        if own and (todo := _own_card(reading, who, at)):
            found.append(todo)
        marker = reading.start.marker
        if marker and who.is_player(marker.player.public_id) and (todo := _marked(reading, at)):
            found.append(todo)
    return found


def _card(reading: CardReading, at: datetime, title: str, words: str, verb: str) -> Todo:
    day = reading.start.round.day
    return Todo(
        day=day,
        title=title,
        words=words,
        url=reverse("cards:show", args=[reading.public_id]),
        verb=verb,
        overdue=day < day_of(at),
    )


def _own_card(reading: CardReading, who: Who, at: datetime) -> Todo | None:
    """What is to be done with an own card; None where it waits for somebody else."""
    fixture = reading.start.round.fixture.name
    name = reading.start.entry.player.first_name
    whose = "Your card" if len(who.players) == 1 else f"{name}’s card"
    over = reading.start.round.day < day_of(at)
    if reading.state is CardState.OUT:
        title = f"{whose} for {fixture} is missing" if over else f"Hand in {_low(whose)} after play"
        words = "Write the strokes here, or give the paper to the organiser."
        return _card(reading, at, title, words, "Write the card")
    if reading.state is CardState.QUERIED:
        return _queried(reading, at, whose)
    if reading.state in (CardState.STARTED, CardState.WAITING) and not reading.player_certified:
        words = f"{fixture}. The figures are written; the player’s signature is missing."
        return _card(reading, at, f"Sign {_low(whose)}", words, "Check and sign")
    return None


def _marked(reading: CardReading, at: datetime) -> Todo | None:
    """What is to be done with a card this person marks."""
    fixture = reading.start.round.fixture.name
    name = reading.start.entry.player.first_name
    if reading.differences and reading.state is CardState.QUERIED:
        return _queried(reading, at, f"{name}’s card")
    signed = reading.sign_of(Capacity.MARKER) is not None
    if reading.state in (CardState.STARTED, CardState.WAITING) and not signed:
        words = f"{fixture}. You mark this card; the marker’s signature is missing."
        return _card(reading, at, f"Sign {name}’s card", words, "Check and sign")
    return None


def _queried(reading: CardReading, at: datetime, whose: str) -> Todo:
    fixture = reading.start.round.fixture.name
    if reading.differences:
        holes = count_of(len(reading.differences), "hole,holes")
        words = f"{fixture}. Player and marker wrote different scores on {holes}."
        return _card(reading, at, f"Settle {_low(whose)}", words, "Compare the two")
    words = f"{fixture}. {reading.question.words if reading.question else ''}"
    return _card(reading, at, f"Answer a question on {_low(whose)}", words, "Answer")


def _low(whose: str) -> str:
    return whose[0].lower() + whose[1:] if whose.startswith("Your") else whose


def _results(news: Sequence[Fixture], entries: Sequence[Entry], who: Who) -> list[Todo]:
    played = {
        one.fixture_id for one in entries if one.step in IN and who.is_player(one.player.public_id)
    }
    return [
        Todo(
            day=fixture.ends_on,
            title=f"The result of {fixture.name} is out",
            words="",
            url=reverse("results:show", args=[fixture.public_id]),
            verb="See the result",
            act=False,
        )
        for fixture in news
        if fixture.pk in played
    ]
