"""Two invented seasons: the last one whole, this one half played, today's cards coming in."""

from collections.abc import Callable
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from scoring.cards.rules.words import Capacity, Record
from scoring.results.actions import rule
from society.desk.actions.demo.diary import Diary, acting
from society.desk.actions.demo.plans import (
    HARBOUR,
    JEM,
    LAST,
    LAST_SEASON,
    MEDAL,
    MEMBER,
    PLATE,
    PLAYED,
    SEASON,
    TO_COME,
)
from society.desk.actions.demo.saturday import Plan, Saturday, both_have_phones
from society.desk.actions.demo.society import (
    begin,
    give_offices,
    handicaps_of_the_month,
    invite_everybody,
    mark_as_ours,
    newcomers,
)
from society.desk.actions.final import make_final
from society.desk.queries.final import readiness
from society.fixtures.actions import start_season
from society.fixtures.models import Season
from society.fixtures.queries import the_competition
from society.members.models import Account, Society
from society.merit.actions import start_table
from society.merit.rules.values import MeritRules

NINE_THIRTY = time(9, 30)


def tell(now: datetime) -> int:
    """Load the whole story up to `now`; how many deeds were done.

    The database must be empty but for its tables.
    """
    zone = ZoneInfo("Europe/London")
    diary = Diary(today=now.astimezone(zone).date(), now=now, zone=zone)
    secretary = begin(diary.moment(-530, "19:00"))
    mark_as_ours(Society.objects.get(), diary.today)
    invite_everybody(diary.moment(-529, "19:30"), secretary)
    give_offices(diary.moment(-528, "20:00"), secretary)
    _year(diary, secretary, LAST_SEASON, best=5, minimum=3, fixtures=LAST)
    diary.live(until=diary.moment(SEASON[0] - 31))
    diary.put(diary.moment(-150, "20:00"), lambda at: newcomers(at, secretary))
    season = _year(diary, secretary, SEASON, best=6, minimum=2, fixtures=PLAYED)
    scorer = _account("Mercy Larkspindle")
    _today(diary, Saturday(diary, season, secretary, PLATE), scorer)
    coming = Saturday(diary, season, secretary, HARBOUR)
    coming.announce(planned=-20, opened=-11, first_time=NINE_THIRTY)
    coming.gather(first=-10, last=-1)
    for plan in TO_COME:
        later = Saturday(diary, season, secretary, plan)
        later.announce(planned=-12, opened=plan.days - 35, first_time=time(10, 0))
    return diary.live()


def _account(name: str) -> Account:
    return Account.objects.get(name=name)


def _year(
    diary: Diary,
    secretary: Account,
    days: tuple[int, int],
    *,
    best: int,
    minimum: int,
    fixtures: tuple[Plan, ...],
) -> Season:
    """A season with its table, begun a month before its first day; fixtures that are over."""
    at = diary.moment(days[0] - 30, "20:00")
    first, last = (diary.moment(day).date() for day in days)
    years = str(first.year) if first.year == last.year else f"{first.year}–{last.year % 100}"
    by = acting(secretary, at)
    season = start_season(
        name=f"Season {years}",
        starts_on=first,
        ends_on=last,
        handicap_kind="index",
        handicap_source="",
        by=by,
        at=at,
    )
    rules = MeritRules(best=best, minimum=minimum)
    start_table(season=season, name="Order of merit", rules=rules, by=by, at=at)
    scorer = _account("Mercy Larkspindle")
    for plan in fixtures:
        _past(diary, Saturday(diary, season, secretary, plan), scorer)
        diary.put(diary.moment(plan.days + 2, "20:30"), handicaps_of_the_month)
    return season


def _past(diary: Diary, day: Saturday, scorer: Account) -> None:
    """A fixture that is over: planned six weeks before, played, made final that evening."""
    days = day.plan.days
    day.announce(planned=days - 42, opened=days - 35, first_time=NINE_THIRTY)
    day.gather(first=days - 34, last=days - 8)
    day.draw(
        closed=diary.moment(days - 6, "18:00"),
        taken=diary.moment(days - 5, "19:00"),
        drawn=diary.moment(days - 4, "20:00"),
    )
    day.miss(diary.moment(days, "09:45"))
    diary.put(diary.moment(days, "13:00"), lambda at: _cards_in(diary, day, scorer, at))
    diary.put(diary.moment(days, "19:00"), lambda at: _settle(day, at))


def _cards_in(diary: Diary, day: Saturday, scorer: Account, at: datetime) -> None:
    """All cards of a day that is over, group after group."""
    for place, start in enumerate(day.starts()):
        if start.entry.player.name == day.plan.no_card:
            continue
        diary.put(at + timedelta(minutes=4 * place), _handing_in(day, start.pk, scorer))


def _handing_in(day: Saturday, start: int, scorer: Account) -> Callable[[datetime], None]:
    """The deed of one card, with its start read when the moment comes."""

    def deed(at: datetime) -> None:
        found = day.start(start)
        day.hand_in(at, found, scorer)

    return deed


def _settle(day: Saturday, at: datetime) -> None:
    """The evening: a ruling where there is one, then the final result by the captain."""
    by = acting(_account("Hester Quillfeather"), at)
    competition = the_competition(day.standing)
    if day.plan is MEDAL:
        rule(
            competition=competition,
            kind="penalty",
            entry=day.entry(JEM),
            hole=7,
            strokes=2,
            rule="14.7a",
            words="Played from a wrong place and said so before the card was returned.",
            by=by,
            at=at,
        )
    final_at = at + timedelta(minutes=20)
    open_cards = readiness(competition, by, final_at)
    make_final(
        fixture=day.standing,
        no_return=[card.entry for card in open_cards.out],
        accept=[card.entry for card in open_cards.unsettled],
        by=by,
        at=final_at,
    )


def _today(diary: Diary, day: Saturday, scorer: Account) -> None:
    """The day being played: some groups are in, one has things to settle, others are out."""
    midnight = diary.moment(0, "00:00")
    began = max(midnight, diary.now - timedelta(hours=5))
    first_time = began.astimezone(diary.zone).time().replace(second=0, microsecond=0)
    first_time = first_time.replace(minute=first_time.minute // 10 * 10)
    day.announce(planned=-42, opened=-35, first_time=first_time)
    day.gather(first=-34, last=-8)
    day.draw(
        closed=diary.moment(-6, "18:00"),
        taken=diary.moment(-5, "19:00"),
        drawn=diary.moment(-4, "20:00"),
    )
    hour_ago = max(midnight, diary.now - timedelta(hours=1))
    step = (diary.now - hour_ago) / 40
    diary.put(hour_ago, lambda at: _coming_in(diary, day, scorer, at, step))


def _coming_in(diary: Diary, day: Saturday, scorer: Account, at: datetime, step: timedelta) -> None:
    starts = day.starts()
    mine = next(start.group for start in starts if start.entry.player.name == MEMBER)
    others = sorted({start.group for start in starts if start.group and start.group != mine})
    done = set(others[:-3])
    for place, start in enumerate(start for start in starts if start.group in done):
        diary.put(at + step * place, _handing_in(day, start.pk, scorer))
    for number, start in enumerate(start for start in starts if start.group == mine):
        diary.put(at + step * (24 + 2 * number), _unsettled(day, start.pk))


def _unsettled(day: Saturday, start: int) -> Callable[[datetime], None]:
    """Cards that want something: a signature, or a difference of one stroke to settle."""

    def deed(at: datetime) -> None:
        found = day.start(start)
        if not both_have_phones(found):
            return
        figures = day.score(found)
        digest = day.write(at, found, figures)
        if found.entry.player.name == MEMBER:
            day.sign(at, found, Capacity.PLAYER, digest)
        elif found.marker and found.marker.player.name == MEMBER:
            other = list(figures)
            other[13] = (other[13] or 5) + 1
            day.write(at, found, other, Record.MARKER)

    return deed
