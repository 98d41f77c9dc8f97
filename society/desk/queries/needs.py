"""What needs doing by the officers: each thing a sentence, a day and a link, by office and date."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.urls import reverse

from scoring.cards.bridge import CardReading
from scoring.cards.queries import cards_over, step_of
from scoring.cards.rules.words import CardState
from scoring.rules.values import Terms
from society.desk.queries.cuts import waiting_cuts
from society.desk.queries.handicaps import has_moved
from society.desk.queries.mine import day_of
from society.desk.queries.todo import Todo, begun_rounds
from society.entries.bridge.handicaps import none_found_words, whom_of
from society.entries.models import DrawRun, Entry, Frozen
from society.entries.rules.words import IN, OUT
from society.fixtures.models import Fixture
from society.fixtures.queries import engine_terms, first_at_hand, rules_of_all, with_rules_set
from society.fixtures.rules import FixtureState, TakesPart
from society.handicaps.queries.figures import cuts_of, records_of
from society.handicaps.rules.season import HandicapRules
from society.handicaps.rules.used import Used, days_too_old, used
from society.web.templatetags.look import count_of, money, names
from society.web.who import (
    HANDICAPPERS,
    ORGANISERS,
    SCORERS,
    SECRETARY,
    TREASURER,
    Who,
)

AHEAD = timedelta(days=14)  # how far ahead something is told
TREASURERS = frozenset({SECRETARY, TREASURER})
_DAY = timedelta(days=1)
ANSWER_WITHIN = timedelta(days=7)  # cuts of a result; after that it is late
_SETTLED = (CardState.RETURNED, CardState.CHECKED)
_BEFORE_PLAY = (FixtureState.OPEN, FixtureState.CLOSED, FixtureState.DRAWN)


@dataclass(slots=True)
class _Day:
    """One fixture with what the needs are read from."""

    fixture: Fixture
    state: FixtureState
    inside: list[Entry]
    cards: list[CardReading]
    drawn: bool
    rules: HandicapRules
    told_old: bool  # an officer has said how old a figure may be
    figures: dict[int, Used]
    taken: dict[int, Frozen]

    @property
    def moved(self) -> list[str]:
        """Names of those for whom another figure would be taken now than was taken."""
        return [
            one.player.name
            for one in self.inside
            if has_moved(self.taken.get(one.pk), self.figures.get(one.pk))
        ]

    @property
    def old(self) -> list[str]:
        """Names of those whose figure is older on the day than the rules allow."""
        if not self.told_old or not _terms(self.fixture).net:
            return []
        return [
            one.player.name
            for one in self.inside
            if days_too_old(self.rules, self.figures.get(one.pk), self.fixture.starts_on)
        ]

    @property
    def frozen(self) -> bool:
        """Whether handicaps are taken."""
        return any(one.frozen_at for one in self.fixture.competitions.all())

    @property
    def lacking(self) -> list[str]:
        """Names of those in whose record has nothing that serves, where a handicap is needed."""
        if not _terms(self.fixture).net:
            return []
        return [one.player.name for one in self.inside if one.pk not in self.figures]

    def need(self, due: date, title: str, words: str, route: str, verb: str, whose: str) -> Todo:
        """One thing to do about the fixture, on a page of it."""
        url = reverse(route, args=[self.fixture.public_id])
        return Todo(day=due, title=title, words=words, url=url, verb=verb, whose=whose)


ORGANISER, SCORER = "secretary or captain", "scorer"
HANDICAPPER, TREASURY = "handicap secretary", "treasurer"


def needs_of(
    running: Sequence[Fixture], who: Who, at: datetime, currency: str = "GBP"
) -> list[Todo]:
    """What waits for this officer within a fortnight, what is overdue first.

    A constant number of queries for any number of fixtures.
    """
    if not who.is_officer:
        return []
    today = day_of(at)
    near = [one for one in running if one.starts_on <= today + 2 * AHEAD]
    found: list[Todo] = []
    for day in _days(near, today):
        if who.may(ORGANISERS):
            found += [*_entries(day, at), *_draw(day, today), *_finish(day, today)]
        if who.may(ORGANISERS | HANDICAPPERS):
            found += _changed(day, organises=who.may(ORGANISERS))
        if who.may(HANDICAPPERS):
            found += [*_handicaps(day), *_old(day)]
        if who.may(SCORERS):
            found += _cards(day, today)
        if who.may(TREASURERS):
            found += _fees(day, today, currency)
    found += _cuts(who)
    told = [
        replace(one, overdue=one.act and one.day < today, soon=one.day <= today + 2 * _DAY)
        for one in found
        if one.day <= today + AHEAD
    ]
    return sorted(told, key=lambda one: one.rank)


def _days(fixtures: Sequence[Fixture], today: date) -> list[_Day]:
    """Entries, cards, draws and handicaps of all these fixtures, each read once."""
    inside: defaultdict[int, list[Entry]] = defaultdict(list)
    rows = Entry.objects.filter(fixture__in=fixtures).with_step().select_related("player")
    for entry in rows.order_by("place_at", "pk"):
        if entry.step in IN:
            inside[entry.fixture_id].append(entry)
    cards: defaultdict[int, list[CardReading]] = defaultdict(list)
    for reading in cards_over(begun_rounds(fixtures, today)):
        if step_of(reading.start) not in OUT:
            cards[reading.start.round.fixture_id].append(reading)
    drawn = set(
        DrawRun.objects.filter(round__fixture__in=fixtures).values_list("round__fixture", flat=True)
    )
    rules, set_ = rules_of_all(fixtures), with_rules_set(fixtures)
    figures = _figures(fixtures, inside, rules)
    frozen = Frozen.objects.filter(start__round__fixture__in=fixtures).select_related("start")
    taken = {row.start.entry_id: row for row in frozen.order_by("number")}
    return [
        _Day(
            fixture=one,
            state=FixtureState(one.state),
            inside=inside[one.pk],
            cards=cards[one.pk],
            drawn=one.pk in drawn,
            rules=rules[one.pk],
            told_old=one.pk in set_,
            figures=figures[one.pk],
            taken=taken,
        )
        for one in fixtures
    ]


def _cuts(who: Who) -> Iterable[Todo]:
    """What final results propose and nobody has answered."""
    for one in waiting_cuts(who):
        yield Todo(
            day=one.day + ANSWER_WITHIN,
            title=f"{one.words}: {one.name}",
            words="Nothing moves before that. Confirm them, change one, or leave one.",
            url=one.url,
            verb="Answer",
            whose=HANDICAPPER,
        )


# who is in ---------------------------------------------------------------------------------


def _entries(day: _Day, at: datetime) -> Iterable[Todo]:
    fixture, today = day.fixture, day_of(at)
    name, closes = fixture.name, fixture.entries_close_at
    if fixture.ends_on < today and not day.frozen:
        yield day.need(
            fixture.ends_on,
            f"Say who played in {name}",
            "Its day is over. Tick who played and take handicaps, or cancel it.",
            "entries:played", "Tick who played", ORGANISER,
        )  # fmt: skip
        return
    if day.state is FixtureState.PLANNED and fixture.entries_open_at is None and not day.inside:
        yield day.need(
            fixture.starts_on - 2 * AHEAD,
            f"Open entries for {name}",
            "Members see it and cannot enter yet, and no hour is set to open them.",
            "desk:steps", "Open entries", ORGANISER,
        )  # fmt: skip
    if day.state is FixtureState.OPEN and (closes is None or closes <= at):
        due = day_of(closes) if closes else fixture.starts_on - _DAY
        words = "The hour to close them has come." if closes else "No hour is set to close them."
        yield day.need(due, f"Close entries for {name}", words, "desk:steps", "Close entries",
                       ORGANISER)  # fmt: skip
    if day.inside and not day.frozen and day.state not in (FixtureState.OPEN,):
        yield day.need(
            fixture.starts_on - _DAY,
            f"Take handicaps for {name}",
            f"{count_of(len(day.inside), 'player is,players are')} in. "
            "From then on everyone sees what they play off, and cards can be handed in.",
            "desk:handicaps", "Take handicaps", ORGANISER,
        )  # fmt: skip


def _draw(day: _Day, today: date) -> Iterable[Todo]:
    fixture = day.fixture
    if day.state is not FixtureState.CLOSED or fixture.starts_on < today or not day.inside:
        return
    if day.drawn:
        yield day.need(
            fixture.starts_on - _DAY,
            f"Publish the draw for {fixture.name}",
            "It is made, and members do not see it yet.",
            "desk:draw", "Go to the draw", ORGANISER,
        )  # fmt: skip
        return
    if fixture.starts_on == today:
        return
    yield day.need(
        fixture.starts_on - 2 * _DAY,
        f"Draw the groups for {fixture.name}",
        "If there is to be a draw. Without one, players name their marker on the card.",
        "desk:draw", "Go to the draw", ORGANISER,
    )  # fmt: skip


def _handicaps(day: _Day) -> Iterable[Todo]:
    if not day.lacking or day.frozen:
        return
    shown = names(day.lacking[:3])
    if len(day.lacking) > 3:
        shown = f"{', '.join(day.lacking[:3])} and {len(day.lacking) - 3} more"
    fixture = day.fixture
    yield Todo(
        day=fixture.starts_on - _DAY,
        title=f"{count_of(len(day.lacking), 'player,players')} without a handicap "
        f"in {fixture.name}",
        words=f"{none_found_words(day.rules).rstrip('.')}: {shown}.",
        url=reverse("desk:players"),
        verb="Go to the players",
        whose=HANDICAPPER,
    )


def _old(day: _Day) -> Iterable[Todo]:
    """Figures that will be older on the day of play than the rules of the season allow."""
    if day.frozen or not day.old:
        return
    fixture, days = day.fixture, day.rules.stale_days or 0
    shown = names(day.old[:3])
    if len(day.old) > 3:
        shown = f"{', '.join(day.old[:3])} and {len(day.old) - 3} more"
    yield Todo(
        day=fixture.starts_on - _DAY,
        title=f"{count_of(len(day.old), 'old handicap,old handicaps')} in {fixture.name}",
        words=f"Older than {count_of(days, 'day,days')} on the day: {shown}.",
        url=reverse("desk:stale"),
        verb="See old and missing handicaps",
        whose=HANDICAPPER,
    )


def _changed(day: _Day, *, organises: bool) -> Iterable[Todo]:
    """Figures that would be others now than were taken: told, never changed by themselves.

    Both the organiser, who takes them over, and the handicap secretary, who answers for them, are
    told; whoever is both is told once.
    """
    if not day.frozen or not day.moved:
        return
    title = f"{count_of(len(day.moved), 'handicap,handicaps')} of {day.fixture.name} changed"
    many = len(day.moved) > 1
    shown = names(day.moved[:3])
    if len(day.moved) > 3:
        shown = f"{', '.join(day.moved[:3])} and {len(day.moved) - 3} more"
    words = (
        f"The figures of {shown} are others now."
        if many
        else (f"The figure of {shown} is another one now.")
    )
    it = "each" if many else "it"
    what = (
        f"Take {it} over with a reason, or leave it."
        if organises
        else f"The secretary or the captain takes {it} over with a reason, or leaves it as it was "
        "taken."
    )
    yield day.need(
        day.fixture.ends_on,
        title,
        f"{words} {what}",
        "desk:handicaps", "See both figures", ORGANISER if organises else HANDICAPPER,
    )  # fmt: skip


def _figures(
    fixtures: Sequence[Fixture],
    inside: dict[int, list[Entry]],
    rules: Mapping[int, HandicapRules],
) -> dict[int, dict[int, Used]]:
    """Fixture id → what each who is in would be taken at on its day, by entry id.

    Two queries for any number of fixtures.
    """
    players = {one.player_id for entries in inside.values() for one in entries}
    lines, cuts = records_of(players), cuts_of(players, date.max)
    found: dict[int, dict[int, Used]] = {}
    for fixture in fixtures:
        taken = found.setdefault(fixture.pk, {})
        for entry, whom in zip(inside[fixture.pk], whom_of(inside[fixture.pk]), strict=True):
            one = used(
                rules[fixture.pk],
                whom,
                lines.get(entry.player_id, []),
                cuts.get(entry.player_id, []),
                fixture.starts_on,
            )
            if one is not None:
                taken[entry.pk] = one
    return found


def _terms(fixture: Fixture) -> Terms:
    round_, competition = first_at_hand(fixture)
    return engine_terms(competition, round_.holes)


# cards and the result ----------------------------------------------------------------------


def _cards(day: _Day, today: date) -> Iterable[Todo]:
    if not day.cards:
        return
    out = [one for one in day.cards if one.state is CardState.OUT]
    open_ = [one for one in day.cards if one.state not in (CardState.OUT, *_SETTLED)]
    fixture = day.fixture
    if out:
        listed = [one.start.entry.player.name for one in out[:3]]
        more = f" and {len(out) - 3} more" if len(out) > 3 else ""
        shown = f"{', '.join(listed)}{more}" if more else names(listed)
        title = f"{count_of(len(out), 'card,cards')} of {fixture.name} to come in"
        yield day.need(fixture.ends_on, title, f"Still out: {shown}.", "cards:in_out",
                       "Cards in and out", SCORER)  # fmt: skip
    if open_:
        title = f"{count_of(len(open_), 'card,cards')} of {fixture.name} to settle"
        words = "A signature is missing, or somebody asked about it."
        yield day.need(fixture.ends_on, title, words, "cards:in_out", "Cards in and out", SCORER)


def _finish(day: _Day, today: date) -> Iterable[Todo]:
    if not day.frozen or day.fixture.ends_on > today:
        return
    ready = bool(day.cards) and all(one.state in _SETTLED for one in day.cards)
    if not ready and day.fixture.ends_on == today and day.state is not FixtureState.REVIEWING:
        return
    words = (
        "Every card is in and settled."
        if ready
        else "Cards that stay out or unsigned get their ruling in the same step."
    )
    yield day.need(
        day.fixture.ends_on,
        f"Make the result of {day.fixture.name} final",
        words,
        "desk:make_final", "Make it final", ORGANISER,
    )  # fmt: skip


# money -------------------------------------------------------------------------------------


def _fees(day: _Day, today: date, currency: str) -> Iterable[Todo]:
    """What the day brings in: a thing to know, since payments are kept elsewhere."""
    fixture, fees = day.fixture, day.fixture.fees.all()
    over = fixture.starts_on < today - AHEAD / 2
    if not fees or not day.inside or over or day.state is FixtureState.PLANNED:
        return
    members = sum(one.as_member for one in day.inside)
    heads = {
        TakesPart.EVERYBODY.value: len(day.inside),
        TakesPart.MEMBERS.value: members,
        TakesPart.GUESTS.value: len(day.inside) - members,
    }
    total = sum(fee.amount * heads[fee.who] for fee in fees)
    guests = len(day.inside) - members
    words = count_of(members, "member,members")
    words += f" and {count_of(guests, 'guest,guests')}" if guests else ""
    found = day.need(
        fixture.starts_on,
        f"{money(total, currency)} to collect for {fixture.name}",
        f"{words} {'are' if len(day.inside) > 1 else 'is'} in so far."
        if day.state is FixtureState.OPEN
        else f"{words}.",
        "desk:fixture", "See the day", TREASURY,
    )  # fmt: skip
    yield replace(found, act=False)
