"""The page of one fixture: the day, its terms, its dates, who is in and who waits."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Sum, prefetch_related_objects
from django.utils import timezone

from scoring.rules.words import terms_sentences
from society.audit.queries import lines_about
from society.courses.models import TeeHole
from society.courses.rules import RatedHoles
from society.desk.queries.mine import Mine, day_of, handicaps_on, own_in_full, own_players, until
from society.desk.queries.season import MOVES, window_of
from society.entries.bridge.draws import the_draw
from society.entries.bridge.handicaps import asked_for, whom_of
from society.entries.models import Entry, Start
from society.entries.queries import (
    Places,
    Queued,
    field,
    handicaps_taken,
    hosted,
    places_among,
    places_of,
    standing_frozen,
)
from society.entries.rules.words import IN, QUEUING
from society.fixtures.models import Competition, FeeLine, Fixture, Round
from society.fixtures.queries import (
    engine_terms,
    places_words,
    rules_of,
    the_competition,
    the_round,
    waiting_words,
    withdrawing_words,
)
from society.fixtures.rules import FORMAT_NAMES, STATE_WORDS, FixtureState, Window
from society.handicaps.rules.season import brief
from society.web.templatetags.look import day_long
from society.web.who import Who


@dataclass(frozen=True, slots=True)
class TeeLine:
    """A tee in play: for whom, its par and its length over the holes in play (None: unknown)."""

    category: str
    name: str
    par: int
    yards: int | None


@dataclass(frozen=True, slots=True)
class Dated:
    """One line of the dates. `kind`: past, next or later. `at` has a clock, `day` has none."""

    title: str
    day: date
    at: datetime | None
    kind: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Person:
    """One of those who are in or wait. `handicap` is a figure of the record or the one taken."""

    entry: Entry
    handicap: Decimal | None
    mine: bool

    @property
    def surname(self) -> tuple[str, str]:
        """What the list is ordered by."""
        name = self.entry.player.name
        return name.rsplit(" ", 1)[-1].casefold(), name.casefold()


@dataclass(frozen=True, slots=True)
class FixturePage:
    """All that the page shows. `window`: whether members may enter now."""

    fixture: Fixture
    round: Round
    competition: Competition
    format: str
    holes: str
    sentences: Sequence[str]
    played_off: str
    tees: Sequence[TeeLine]
    fees: Sequence[FeeLine]
    dates: Sequence[Dated]
    people: Sequence[Person]
    queue: Sequence[Person]
    places: Places
    window: Window
    until: str
    mine: Sequence[Mine]
    taken: bool
    drawn: bool
    state: str
    number: int
    of: int
    places_words: Sequence[str]
    withdrawing: Sequence[str]
    waiting_words: str
    hosted: Sequence[Queued]

    @property
    def offers(self) -> bool:
        """Whether a place is offered to one of the reader's own players."""
        return any(one.offer for one in self.mine)

    @property
    def to_enter(self) -> list[Mine]:
        """Own players who may enter now and have not."""
        return [one for one in self.mine if one.standing == "out" and self.window is Window.OPEN]

    @property
    def standing(self) -> list[Mine]:
        """Own players who are in or wait."""
        return [one for one in self.mine if one.standing != "out"]

    @property
    def may_withdraw(self) -> bool:
        """Whether members may still withdraw by themselves."""
        return self.window is Window.OPEN


HOLES_WORDS = {"18": "Eighteen holes", "first 9": "The first nine", "second 9": "The second nine"}
KIND_WORDS = {
    "index": "handicap index",
    "course": "course handicap",
    "playing": "playing handicap",
}


def fixture_page(fixture: Fixture, who: Who, at: datetime) -> FixturePage:
    """Everything about one fixture, for a reader. A constant number of queries."""
    round_, competition = the_round(fixture), the_competition(fixture)
    terms = engine_terms(competition, round_.holes)
    entries = list(field(fixture))
    people = _people(fixture, round_, competition, entries, who)
    siblings = list(
        fixture.season.fixtures.order_by("starts_on", "pk").values_list("pk", flat=True)
    )
    closes = fixture.entries_close_at
    prefetch_related_objects([fixture], "fees")
    return FixturePage(
        fixture=fixture,
        round=round_,
        competition=competition,
        format=FORMAT_NAMES[terms.format],
        holes=HOLES_WORDS[round_.holes],
        played_off=brief(rules_of(fixture)),
        sentences=terms_sentences(terms, holes=RatedHoles(round_.holes).count),
        tees=_tees(round_),
        fees=sorted(fixture.fees.all(), key=lambda fee: fee.pk),
        dates=dates_of(fixture, round_, competition, at),
        people=sorted((one for one in people if one.entry.step in IN), key=lambda one: one.surname),
        queue=[one for one in people if one.entry.step in QUEUING],
        places=places_among(fixture, entries),
        window=window_of(fixture, at),
        until=until(closes, at) if closes else "",
        mine=own_in_full(fixture, own_players(who)),
        taken=competition.frozen_at is not None,
        drawn=Start.objects.filter(round=round_, group__isnull=False).exists(),
        state=STATE_WORDS[FixtureState(fixture.state)],
        number=siblings.index(fixture.pk) + 1,
        of=len(siblings),
        places_words=places_words(fixture),
        withdrawing=withdrawing_words(fixture),
        waiting_words=waiting_words(fixture),
        hosted=hosted(fixture, who.players),
    )


@dataclass(frozen=True, slots=True)
class MoveFacts:
    """What a move to another day concerns: players in and waiting, handicaps, a published draw."""

    entered: int
    waiting: int
    taken: bool
    published: bool


def move_facts(fixture: Fixture) -> MoveFacts:
    """Whom and what a move of a fixture concerns."""
    places, draw = places_of(fixture), the_draw(the_round(fixture))
    return MoveFacts(
        entered=places.taken,
        waiting=places.queue,
        taken=handicaps_taken(fixture),
        published=draw is not None and draw.is_published,
    )


def handicap_words(fixture: Fixture) -> str:
    """What the figures beside the names are, before handicaps are taken."""
    kind, _ = asked_for(fixture)
    return KIND_WORDS[kind]


def dates_of(
    fixture: Fixture, round_: Round, competition: Competition, at: datetime
) -> list[Dated]:
    """The dates of a fixture in order; the first that has not passed is the next."""
    first = _on(round_.day, round_)
    found: list[tuple[str, date, datetime | None, str]] = []
    for title, moment, note in (
        ("Entries open", fixture.entries_open_at, ""),
        ("Entries close", fixture.entries_close_at, "Members enter and withdraw until then."),
        ("Handicaps were taken", competition.frozen_at, ""),
    ):
        over = fixture.state not in _BEFORE_CLOSING and moment and moment > at
        if moment and not over:  # what an officer did earlier by hand is not to come any more
            found.append((title, day_of(moment), moment, note))
    found += _told(fixture)
    found.append(("First tee time" if first else "The day", round_.day, first, ""))
    if round_.cards_due_at:
        found.append(("Cards are due", day_of(round_.cards_due_at), round_.cards_due_at, ""))
    found.sort(key=lambda one: (one[1], one[2] is None, one[2] or at))
    return _kinds(found, at)


_BEFORE_CLOSING = (FixtureState.PLANNED.value, FixtureState.OPEN.value)

# Deeds whose reason was asked for because everybody reads it.
_TOLD = {
    "entries reopened": "Entries were opened again",
    "draw withdrawn": "The draw was withdrawn",
    "fixture cancelled": "Cancelled",
    "fixture void": "Declared void",
}


def _told(fixture: Fixture) -> list[tuple[str, date, datetime | None, str]]:
    """What was undone or moved, with the reason the officer gave. One query."""
    told: list[tuple[str, date, datetime | None, str]] = []
    lines = lines_about(f"fixture:{fixture.public_id}")
    for line in lines.filter(deed__in=[*MOVES, *_TOLD]):
        title = _TOLD.get(line.deed, "")
        for change in json.loads(line.changes):
            old = change.get("old")
            if isinstance(old, dict) and "day" in old and line.deed in MOVES:
                title = f"Moved from {day_long(date.fromisoformat(old['day']))}"
        if title:
            told.append((title, day_of(line.at), line.at, line.reason))
    return told


_PAST = {"Entries open": "Entries opened", "Entries close": "Entries closed"}


def _kinds(found: Sequence[tuple[str, date, datetime | None, str]], at: datetime) -> list[Dated]:
    dated, next_taken = [], False
    for title, day, moment, note in found:
        past = moment <= at if moment else day < day_of(at)
        title = _PAST.get(title, title) if past else title
        kind = "past" if past else "later" if next_taken else "next"
        next_taken = next_taken or kind == "next"
        dated.append(Dated(title, day, moment, kind, note))
    return dated


def _on(day: date, round_: Round) -> datetime | None:
    if round_.first_time is None:
        return None
    return timezone.make_aware(datetime.combine(day, round_.first_time))


def _tees(round_: Round) -> list[TeeLine]:
    rows = list(round_.tees.select_related("tee").order_by("category"))
    sums = {
        (row["tee"], row["category"]): row
        for row in TeeHole.objects.filter(
            tee__in=[row.tee_id for row in rows], number__in=list(RatedHoles(round_.holes).numbers)
        )
        .values("tee", "category")
        .annotate(par=Sum("par"), length=Sum("yards"))
    }
    return [
        TeeLine(
            row.category,
            row.tee.name,
            sums[row.tee_id, row.category]["par"],
            sums[row.tee_id, row.category]["length"],
        )
        for row in rows
        if (row.tee_id, row.category) in sums
    ]


def _people(
    fixture: Fixture,
    round_: Round,
    competition: Competition,
    entries: Sequence[Entry],
    who: Who,
) -> list[Person]:
    figures: dict[int, Decimal] = {}
    if competition.frozen_at:
        figures = {pk: frozen.value for pk, frozen in standing_frozen(round_).items()}
    on_record = handicaps_on(fixture, whom_of(entries))
    return [
        Person(
            entry,
            figures.get(entry.pk)
            if competition.frozen_at
            else getattr(on_record.get(entry.player_id), "value", None),
            who.is_player(entry.player.public_id),
        )
        for entry in entries
    ]
