"""Reads of entries: who is in, who waits, who left; how a fixture's places stand."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from society.entries.models import (
    CardPrint,
    CourseCard,
    DrawRun,
    DrawStep,
    Entry,
    EntryStep,
    Frozen,
    Start,
)
from society.entries.rules.words import IN, OUT, QUEUING, Crowd, Placing, Step, Wishes, placing
from society.fixtures.models import Fixture, Round, Season
from society.fixtures.rules import Extra, FixtureState, GuestPlaces
from society.members.models import Player


def field(fixture: Fixture) -> QuerySet[Entry]:
    """All entries by arrival, each with `step`, its last coming or going, and its player."""
    return (
        Entry.objects.filter(fixture=fixture)
        .with_step()
        .select_related("player", "host")
        .order_by("place_at", "pk")
    )


def in_the_field(fixture: Fixture) -> QuerySet[Entry]:
    """Those who have a place."""
    return field(fixture).filter(Q(step__in=IN))


def waiting(fixture: Fixture) -> QuerySet[Entry]:
    """The waiting list, first come first."""
    return field(fixture).filter(Q(step__in=QUEUING))


def gone(fixture: Fixture) -> QuerySet[Entry]:
    """Those who withdrew, let an offer pass, or did not turn up; `late`: too late to be free."""
    last = EntryStep.objects.filter(entry=OuterRef("pk")).order_by("-pk").values("late")[:1]
    return field(fixture).filter(Q(step__in=OUT)).annotate(late=Subquery(last))


@dataclass(frozen=True, slots=True)
class Places:
    """How the places of a fixture stand; `limit` is None for no limit.

    `queue` counts those with an offer, too: `offered` of them, each with a place kept free.
    """

    limit: int | None
    taken: int
    queue: int
    offered: int = 0
    guests_in: int = 0
    guests_waiting: int = 0  # those with an offer left out
    guest_places: GuestPlaces = GuestPlaces.ALIKE

    @property
    def free(self) -> int | None:
        """Places left that nobody has an offer of, never below nought; None for no limit."""
        return None if self.limit is None else max(self.limit - self.taken - self.offered, 0)

    @property
    def full(self) -> bool:
        """Whether a member who enters while entries are open goes on the waiting list."""
        return self.placing(as_member=True, before_closing=True) is Placing.WAIT

    @property
    def bumps(self) -> bool:
        """Whether a guest makes room for a member who enters while entries are open."""
        return self.placing(as_member=True, before_closing=True) is Placing.BUMP

    def placing(self, *, as_member: bool, before_closing: bool) -> Placing:
        """What becomes of whoever enters now."""
        crowd = Crowd(
            limit=self.limit,
            held=self.taken + self.offered,
            guests_in=self.guests_in,
            members_waiting=self.queue - self.offered - self.guests_waiting,
            guests_waiting=self.guests_waiting,
        )
        return placing(
            crowd,
            as_member=as_member,
            guest_places=self.guest_places,
            before_closing=before_closing,
        )


def places_of(fixture: Fixture) -> Places:
    """Places taken and waiting, counted now, in one query."""
    return places_among(
        fixture, Entry.objects.filter(fixture=fixture).with_step().only("as_member")
    )


def places_among(fixture: Fixture, entries: Iterable[Entry]) -> Places:
    """How places stand by all entries of a fixture, read before with `step`."""
    rows = [(entry.step, entry.as_member) for entry in entries]
    return Places(
        limit=fixture.places,
        taken=sum(step in IN for step, _ in rows),
        queue=sum(step in QUEUING for step, _ in rows),
        offered=sum(step == Step.OFFERED for step, _ in rows),
        guests_in=sum(step in IN and not member for step, member in rows),
        guests_waiting=sum(
            step in QUEUING and step != Step.OFFERED and not member for step, member in rows
        ),
        guest_places=GuestPlaces(fixture.guest_places),
    )


def offers_of(entries: Iterable[Entry]) -> dict[int, datetime]:
    """Until when those of these entries that have an offer may take it: entry id → moment."""
    offered = [entry.pk for entry in entries if entry.step == Step.OFFERED]
    if not offered:
        return {}
    rows = EntryStep.objects.filter(entry__in=offered, kind=Step.OFFERED.value).order_by("pk")
    return {row.entry_id: row.until for row in rows if row.until}


@dataclass(frozen=True, slots=True)
class Queued:
    """One who waits; `until` is set while a place is offered."""

    entry: Entry
    until: datetime | None


def with_offers(queue: Iterable[Entry]) -> list[Queued]:
    """Those who wait, each with the hour of an offer. At most one query."""
    entries = list(queue)
    ends = offers_of(entries)
    return [Queued(entry, ends.get(entry.pk)) for entry in entries]


def hosted(fixture: Fixture, players: tuple[str, ...]) -> list[Queued]:
    """Guests of these players (public ids) who are in or wait, with the hour of an offer."""
    if not players:
        return []
    rows = field(fixture).filter(Q(step__in=IN | QUEUING), host__public_id__in=players)
    return with_offers(rows)


def players_without_place(fixture: Fixture) -> QuerySet[Player]:
    """Everyone on the list who has no place, waiting or not, by name: who may turn up."""
    inside = in_the_field(fixture).values("player")
    return (
        Player.objects.filter(merged_into__isnull=True, left_on__isnull=True)
        .exclude(pk__in=inside)
        .order_by("name", "pk")
    )


def players_to_wish_for(fixture: Fixture, player: Player) -> QuerySet[Player]:
    """Whom a player may name as partner or sharer: members, and guests of this fixture."""
    guests = field(fixture).filter(Q(step__in=IN | QUEUING)).values("player")
    return (
        Player.objects.filter(merged_into__isnull=True, left_on__isnull=True)
        .filter(Q(kind="member") | Q(pk__in=guests))
        .exclude(pk=player.pk)
        .order_by("name", "pk")
    )


@dataclass(frozen=True, slots=True)
class Record:
    """A late withdrawal, or a no-show (`absent`), with the words that were written down."""

    entry: Entry
    absent: bool
    at: datetime
    words: str


def records(*, season: Season | None = None, player: Player | None = None) -> list[Record]:
    """Late withdrawals and no-shows of a season, of a player, or both; the latest first.

    Whoever came back after withdrawing late, and played, is not among them.
    """
    steps = EntryStep.objects.filter(
        Q(kind=Step.ABSENT.value) | Q(kind=Step.WITHDRAWN.value, late=True)
    ).select_related("words", "entry__player", "entry__host", "entry__fixture")
    if season is not None:
        steps = steps.filter(entry__fixture__season=season)
    if player is not None:
        steps = steps.filter(entry__player=player)
    last = EntryStep.objects.filter(entry=OuterRef("entry")).order_by("-pk").values("pk")[:1]
    return [
        Record(
            entry=step.entry,
            absent=step.kind == Step.ABSENT,
            at=step.at,
            words=step.words.text if step.words else "",
        )
        for step in steps.annotate(last=Subquery(last))
        .filter(pk=F("last"))
        .order_by("-entry__fixture__starts_on", "entry__player__name", "pk")
    ]


def places_by_fixture(fixtures: list[Fixture]) -> dict[int, Places]:
    """`places_of` for many fixtures, in one query: fixture id → places."""
    found: dict[int, list[Entry]] = {fixture.pk: [] for fixture in fixtures}
    rows = Entry.objects.filter(fixture__in=fixtures).with_step().only("fixture", "as_member")
    for entry in rows:
        found[entry.fixture_id].append(entry)
    return {fixture.pk: places_among(fixture, found[fixture.pk]) for fixture in fixtures}


def own_entries(fixtures: list[Fixture], players: tuple[str, ...]) -> dict[int, list[Entry]]:
    """Entries of these players (public ids): fixture id → entries with `step` and player."""
    found: dict[int, list[Entry]] = {fixture.pk: [] for fixture in fixtures}
    if players:
        rows = (
            Entry.objects.filter(fixture__in=fixtures, player__public_id__in=players)
            .with_step()
            .select_related("player", "host")
            .order_by("pk")
        )
        for entry in rows:
            found[entry.fixture_id].append(entry)
    return found


def members_to_tick() -> QuerySet[Player]:
    """Every member who has not left, by name: the list of who played."""
    return Player.objects.filter(
        Q(left_on__isnull=True), kind="member", merged_into__isnull=True
    ).order_by("name", "pk")


def players_to_enter(fixture: Fixture) -> QuerySet[Player]:
    """Everyone on the list who has no place and does not wait, by name."""
    standing = field(fixture).filter(Q(step__in=IN | QUEUING)).values("player")
    return (
        Player.objects.filter(merged_into__isnull=True, left_on__isnull=True)
        .exclude(pk__in=standing)
        .order_by("name", "pk")
    )


def wishes_of(fixture: Fixture) -> dict[int, Wishes]:
    """What everyone in the field asked for: entry id → wishes. One query.

    Whoever was named and has no place is left out; a shared buggy stands on both sides. What the
    fixture no longer asks for is left out as well.
    """
    entries = list(in_the_field(fixture))
    asked = set(fixture.asks.split())
    by_player = {entry.player_id: entry.pk for entry in entries}
    sharers: dict[int, set[int]] = {entry.pk: set() for entry in entries}
    if Extra.BUGGY in asked:
        for entry in entries:
            other = by_player.get(entry.buggy_with_id or 0)
            if entry.buggy and other is not None:
                sharers[entry.pk].add(other)
                sharers[other].add(entry.pk)
    return {
        entry.pk: Wishes(
            meal=entry.meal if Extra.MEAL in asked else "",
            diet=entry.diet if Extra.DIET in asked else "",
            buggy=Extra.BUGGY in asked and (entry.buggy or bool(sharers[entry.pk])),
            buggy_with=tuple(sorted(sharers[entry.pk])),
            partners=_partners(entry, by_player) if Extra.PARTNER in asked else (),
            earlier_or_later=entry.time_wish if Extra.TIME in asked else "",
            answered=entry.answered,
        )
        for entry in entries
    }


def _partners(entry: Entry, by_player: dict[int, int]) -> tuple[int, ...]:
    found = by_player.get(entry.partner_id or 0)
    return () if found is None else (found,)


@dataclass(frozen=True, slots=True)
class Unmet:
    """Somebody named who is not in: the draw cannot put the two together."""

    entry: Entry
    other: Player
    buggy: bool


def named_but_not_in(fixture: Fixture) -> list[Unmet]:
    """Sharers and partners who were named and have no place themselves, by entry."""
    entries = list(in_the_field(fixture).select_related("player", "buggy_with", "partner"))
    inside, asked = {entry.player_id for entry in entries}, set(fixture.asks.split())
    found = []
    for entry in entries:
        for other, extra in ((entry.buggy_with, Extra.BUGGY), (entry.partner, Extra.PARTNER)):
            if other is not None and extra in asked and other.pk not in inside:
                found.append(Unmet(entry, other, extra is Extra.BUGGY))
    return found


# handicaps taken ---------------------------------------------------------------------------


def handicaps_taken(fixture: Fixture) -> bool:
    """Whether handicaps were taken and the terms frozen."""
    return fixture.competitions.filter(frozen_at__isnull=False).exists()


def missing_handicaps(fixture: Fixture) -> list[Entry]:
    """Who is in the field without a frozen handicap, by arrival."""
    frozen = Frozen.objects.filter(start__round__fixture=fixture).values("start__entry")
    return list(in_the_field(fixture).exclude(pk__in=frozen))


def starts_of(round_: Round) -> dict[int, Start]:
    """The starts of a round, by entry id, each with entry, player, tee and marker."""
    rows = Start.objects.filter(round=round_).select_related(
        "entry__player", "entry__host", "tee", "marker__player"
    )
    return {start.entry_id: start for start in rows}


def standing_frozen(round_: Round) -> dict[int, Frozen]:
    """What each entry plays off, by entry id: the highest number counts. One query."""
    rows = (
        Frozen.objects.filter(start__round=round_)
        .select_related("start", "tee", "source_entry")
        .order_by("number")
    )
    return {frozen.start.entry_id: frozen for frozen in rows}


def current_course_cards(round_: Round) -> dict[tuple[int, str], CourseCard]:
    """The cards of the course, by tee id and category: the highest number counts. One query."""
    rows = CourseCard.objects.filter(round=round_).select_related("tee").order_by("number")
    return {(card.tee_id, card.category): card for card in rows}


# the draw ----------------------------------------------------------------------------------


def groups_before(round_: Round, players: Iterable[int], *, back: int) -> list[list[list[int]]]:
    """Who of these players (ids) was drawn with whom in the last rounds before this one.

    The latest round first, each its groups of two and more; those who withdrew or did not turn up
    are in none. A round in which none of them met counts too. Two queries.
    """
    rounds = list(
        Start.objects.filter(group__isnull=False, round__day__lt=round_.day)
        .exclude(round__fixture__state__in=[FixtureState.CANCELLED.value, FixtureState.VOID.value])
        .values_list("round", flat=True)
        .order_by("-round__day", "-round")
        .distinct()[:back]
    )
    found: dict[int, dict[int, list[int]]] = {pk: {} for pk in rounds}
    rows = Start.objects.filter(
        round__in=rounds, group__isnull=False, entry__player__in=list(players)
    ).values_list("round", "group", "entry__player")
    for pk, group, player in rows:
        found[pk].setdefault(group or 0, []).append(player)
    return [
        [sorted(group) for _, group in sorted(found[pk].items()) if len(group) > 1] for pk in rounds
    ]


def runs_of(round_: Round) -> list[DrawRun]:
    """Every draw that was made for a round, the first one first."""
    return list(DrawRun.objects.filter(round=round_).select_related("words").order_by("number"))


def steps_of_run(run: DrawRun) -> list[DrawStep]:
    """What was done with a draw, in order."""
    return list(DrawStep.objects.filter(run=run).select_related("words").order_by("pk"))


def last_prints(round_: Round) -> dict[str, CardPrint]:
    """The latest print of each card of a round, by the public id of its start."""
    rows = CardPrint.objects.filter(start__round=round_).select_related("start").order_by("pk")
    return {row.start.public_id: row for row in rows}
