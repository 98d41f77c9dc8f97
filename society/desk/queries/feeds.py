"""What calendar feeds hold: a member's own fixtures and deadlines, and the society's dates."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Count, Max
from django.urls import reverse

from society.audit.models import AuditAbout, AuditLine
from society.courses.rules import RatedHoles
from society.entries.letters import Slip, slips
from society.entries.models import Entry, EntryStep
from society.entries.queries import own_entries
from society.entries.rules.words import IN, OUT, Step
from society.fixtures.models import Fixture, Round
from society.fixtures.rules import ENDED, FixtureState, StartKind
from society.members.models import Society
from society.members.queries import society_day
from society.web.feeds import Happening
from society.web.templatetags.look import clock, names
from society.web.who import Who

# How long a round takes, for the end of an event. Common practice, no source.
_ROUND = {18: timedelta(hours=4, minutes=30), 9: timedelta(hours=2, minutes=15)}
_KEPT = timedelta(days=400)  # older fixtures are in nobody's calendar any more
_OFF = frozenset({FixtureState.CANCELLED, FixtureState.VOID})


@dataclass(frozen=True, slots=True)
class Revised:
    """How often a fixture was changed, and when last: SEQUENCE and DTSTAMP."""

    times: int
    at: datetime


def society_feed(society: Society, at: datetime) -> list[Happening]:
    """The dates of the society's fixtures: names and days, and nothing about anybody."""
    fixtures = _fixtures(at)
    revised = _revised(fixtures, deeds="fixture")
    return [
        Happening(
            uid=_uid(society, f"fixture-{fixture.public_id}"),
            begins=fixture.starts_on,
            ends=fixture.ends_on,
            title=fixture.name,
            revised_at=revised[fixture.pk].at,
            revision=revised[fixture.pk].times,
            status="CANCELLED" if fixture.state in _OFF else "CONFIRMED",
            busy=False,
        )
        for fixture in fixtures
    ]


def own_feed(society: Society, who: Who, at: datetime) -> list[Happening]:
    """What concerns the players of one account: their fixtures, tee times, offers and deadlines."""
    fixtures = _fixtures(at)
    revised = _revised(fixtures)
    entries = own_entries(fixtures, who.players)
    rounds = {
        round_.fixture_id: round_
        for round_ in Round.objects.filter(fixture__in=fixtures, number=1).select_related(
            "course", "fixture"
        )
    }
    offers = _offers(entry for rows in entries.values() for entry in rows)
    found = []
    for fixture in fixtures:
        mine, round_ = entries[fixture.pk], rounds.get(fixture.pk)
        told = slips(round_) if round_ and any(entry.step in IN for entry in mine) else {}
        feed = _Own(society, fixture, round_, revised[fixture.pk], len(who.players) > 1)
        found += [feed.played(entry, told.get(entry.pk)) for entry in mine]
        found += [feed.offered(entry, offers[entry.pk]) for entry in mine if entry.pk in offers]
        found += feed.closing(mine)
    return found


@dataclass(frozen=True, slots=True)
class _Own:
    """The events of one fixture for one account; `several`: it acts for more than one player."""

    society: Society
    fixture: Fixture
    round: Round | None
    revised: Revised
    several: bool

    def played(self, entry: Entry, slip: Slip | None) -> Happening:
        """The fixture itself, at the player's tee time once it is published."""
        fixture, off = self.fixture, self.fixture.state in _OFF or entry.step in OUT
        waits = not off and entry.step not in IN
        begins: date | datetime = fixture.starts_on
        ends: date | datetime = fixture.ends_on
        title = self._for(entry, fixture.name)
        if slip is not None and slip.time is not None and self.round is not None and not off:
            begins = self._moment(self.round.day, slip.time)
            ends = begins + _ROUND[18 if RatedHoles(self.round.holes).count > 9 else 9]
            title = f"{title}, tee time {clock(slip.time)}"
        elif waits:
            title = f"{title} (waiting list)"
        return self._happening(
            f"entry-{entry.public_id}",
            begins,
            ends,
            title,
            status="CANCELLED" if off else "TENTATIVE" if waits else "CONFIRMED",
            words=self._words(slip) if not off else "",
            place=self.round.course.name if self.round else "",
            busy=not waits,
        )

    def offered(self, entry: Entry, until: datetime) -> Happening:
        """The hour by which an offered place has to be taken."""
        title = self._for(entry, f"Answer the offer of a place: {self.fixture.name}")
        return self._happening(f"offer-{entry.public_id}", until, until, title, busy=False)

    def closing(self, mine: Sequence[Entry]) -> list[Happening]:
        """The hour entries close: the last to enter or to withdraw by oneself."""
        closes = self.fixture.entries_close_at
        if closes is None or self.fixture.state in ENDED:
            return []
        into = any(entry.step not in OUT for entry in mine)
        title = f"Last hour to {'withdraw from' if into else 'enter'}: {self.fixture.name}"
        return [
            self._happening(f"closes-{self.fixture.public_id}", closes, closes, title, busy=False)
        ]

    def _words(self, slip: Slip | None) -> str:
        if slip is None:
            return ""
        hole = (
            ""
            if self.round is None or self.round.start == StartKind.ONE_TEE.value
            else (f" Start on hole {slip.hole}.")
        )
        company = f" With {names(slip.others)}." if slip.others else ""
        marks = f" You mark the card of {names(slip.marks)}." if slip.marks else ""
        return f"Group {slip.group}.{hole}{company}{marks}"

    def _for(self, entry: Entry, title: str) -> str:
        return f"{entry.player.name}: {title}" if self.several else title

    def _moment(self, day: date, at: time) -> datetime:
        return datetime.combine(day, at, tzinfo=ZoneInfo(self.society.time_zone))

    def _happening(
        self,
        what: str,
        begins: date | datetime,
        ends: date | datetime,
        title: str,
        *,
        status: str = "CONFIRMED",
        words: str = "",
        place: str = "",
        busy: bool = True,
    ) -> Happening:
        path = reverse("desk:fixture", args=[self.fixture.public_id])
        return Happening(
            uid=_uid(self.society, what),
            begins=begins,
            ends=ends,
            title=title,
            revised_at=self.revised.at,
            revision=self.revised.times,
            status=status,
            place=place,
            words=words,
            url=f"{settings.SITE_URL}{path}" if settings.SITE_URL else "",
            busy=busy,
        )


def _uid(society: Society, what: str) -> str:
    """Unique for ever and the same at every fetch: RFC 5545, section 3.8.4.7."""
    return f"{what}@{society.public_id}"


def _fixtures(at: datetime) -> list[Fixture]:
    since = society_day(at) - _KEPT
    return list(Fixture.objects.filter(ends_on__gte=since).order_by("starts_on", "pk"))


def _offers(entries: Iterable[Entry]) -> dict[int, datetime]:
    """Entry id → the hour of the offer that stands."""
    open_ones = [entry.pk for entry in entries if entry.step == Step.OFFERED]
    rows = EntryStep.objects.filter(entry__in=open_ones, kind=Step.OFFERED.value).order_by("pk")
    return {row.entry_id: row.until for row in rows if row.until is not None}


def _revised(fixtures: Sequence[Fixture], *, deeds: str = "") -> Mapping[int, Revised]:
    """Fixture id → how often deeds whose names begin so touched it, and when last. Two queries."""
    by_about = {f"fixture:{fixture.public_id}": fixture.pk for fixture in fixtures}
    times = dict.fromkeys(by_about.values(), 0)
    last: dict[int, datetime] = {}
    lines = AuditLine.objects.filter(about__in=list(by_about), deed__startswith=deeds)
    further = AuditAbout.objects.filter(about__in=list(by_about), line__deed__startswith=deeds)
    for rows in (lines, further):
        counted = rows.values_list("about").annotate(Count("pk"), Max("at")).order_by()
        for about, count, latest in counted:
            pk = by_about[about]
            times[pk] += count
            last[pk] = max(last.get(pk, latest), latest)
    # The same at every fetch also where no line says when, as with rows made by a test.
    return {
        fixture.pk: Revised(times[fixture.pk], last.get(fixture.pk, _new_year(fixture)))
        for fixture in fixtures
    }


def _new_year(fixture: Fixture) -> datetime:
    return datetime.combine(fixture.starts_on.replace(month=1, day=1), time(), tzinfo=UTC)
