"""Two invented seasons: the last one whole, this one half played, today's cards coming in."""

from collections.abc import Callable
from datetime import datetime, time, timedelta
from functools import partial
from zoneinfo import ZoneInfo

from scoring.cards.rules.words import Capacity, Record
from scoring.results.actions.ruling import rule
from society.desk.actions.demo import coming, cuts, played_for
from society.desk.actions.demo.diary import Diary, acting
from society.desk.actions.demo.plan import Plan
from society.desk.actions.demo.plans import (
    BEACON,
    CAPTAIN,
    CUP,
    HARBOUR,
    JEM,
    LAST,
    LAST_CAPTAIN,
    LAST_SEASON,
    MEDAL,
    MEMBER,
    PLATE,
    PLAYED,
    SEASON,
    TO_COME,
)
from society.desk.actions.demo.saturday import Saturday, both_have_phones
from society.desk.actions.demo.season import (
    LAST_RULES,
    RULES,
    give_the_title,
    make_major,
    note_new,
    pay,
    pay_late,
    start_tables,
)
from society.desk.actions.demo.society import (
    begin,
    give_offices,
    handicaps_of_the_month,
    invite_everybody,
    mark_as_ours,
    newcomers,
)
from society.desk.actions.due import run_due
from society.desk.actions.final import make_final
from society.desk.queries.final import readiness
from society.fixtures.actions.seasons import start_season
from society.fixtures.models import Season
from society.fixtures.queries import the_competition
from society.members.models import Account, Society
from society.merit.rules.values import MeritRules

NINE_THIRTY = time(9, 30)
EARLY = ("Gideon Lampwright", "Sabina Eelbrook")  # join before the season begins
LATER = ("Hal Tumbledown", "Marigold Overstrand-Penhallow")  # after its first fixture


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
    _clock(diary, since=-527)
    hester = _account("Hester Quillfeather")
    last = _year(diary, secretary, LAST_SEASON, LAST_RULES, LAST, major=LAST_CAPTAIN)
    diary.put(diary.moment(LAST_SEASON[1], "20:00"), lambda at: give_the_title(last, hester, at))
    diary.put(diary.moment(-160, "20:00"), lambda at: newcomers(at, secretary, EARLY))
    diary.live(until=diary.moment(SEASON[0] - 31))
    season = _year(diary, secretary, SEASON, RULES, PLAYED, major=CAPTAIN, cutting=True)
    _members(diary, season, secretary)
    scorer = _account("Mercy Larkspindle")
    _today(diary, Saturday(diary, season, secretary, PLATE), scorer)
    harbour = Saturday(diary, season, secretary, coming.harbour(HARBOUR, now.astimezone(zone)))
    harbour.announce(planned=-20, opened=-11, first_time=NINE_THIRTY)
    diary.put(diary.moment(-20, "10:20"), partial(played_for.set_out, harbour))
    coming.fill(diary, harbour)
    beacon = Saturday(diary, season, secretary, BEACON)
    beacon.announce(planned=-13, opened=-6, first_time=NINE_THIRTY)
    beacon.gather(first=-5, last=-2)
    for plan in TO_COME:
        later = Saturday(diary, season, secretary, plan)
        later.announce(planned=-12, opened=plan.days - 35, first_time=time(10, 0))
    diary.put(now, _what_is_due)
    return diary.live()


def _clock(diary: Diary, *, since: int) -> None:
    """The clock of a server, once a week: what has to happen by then, and old letters go."""
    for days in range(since, 1, 7):
        diary.put(diary.moment(days, "06:30"), _what_is_due)


def _what_is_due(at: datetime) -> None:
    happened = run_due(at=at)
    assert not happened.failed, happened.failed  # noqa: S101 - else it is no demo


def _members(diary: Diary, season: Season, secretary: Account) -> None:
    """Who pays and who joins while the season runs."""
    treasurer = _account("Constance Merrigold")
    diary.put(diary.moment(-95, "20:00"), lambda at: newcomers(at, secretary, LATER))
    for names, days in ((EARLY, -160), (LATER, -95)):
        noted = partial(note_new, list(names), diary.moment(days).date(), secretary)
        diary.put(diary.moment(max(days, -130), "20:30"), noted)
    diary.put(diary.moment(-94, "20:00"), lambda at: pay(season, treasurer, at))
    diary.put(diary.moment(-60, "20:00"), lambda at: pay_late(season, treasurer, at))


def _account(name: str) -> Account:
    return Account.objects.get(name=name)


def _year(
    diary: Diary,
    secretary: Account,
    days: tuple[int, int],
    rules: MeritRules,
    fixtures: tuple[Plan, ...],
    *,
    major: Plan,
    cutting: bool = False,
) -> Season:
    """A season with its tables, begun a month before its first day; fixtures that are over.

    `cutting`: the society cuts handicaps in it; what the last fixture proposes still waits.
    """
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
    if cutting:
        cuts.set_cut_rules(season, secretary, at)
    table = start_tables(season, rules, secretary, at)
    scorer = _account("Mercy Larkspindle")
    for plan in fixtures:
        day = Saturday(diary, season, secretary, plan)
        _past(diary, day, scorer)
        if plan is major:
            planned = diary.moment(plan.days - 42, "21:00")
            diary.put(planned, partial(make_major, table, rules, day, secretary))
        diary.put(diary.moment(plan.days + 2, "20:30"), handicaps_of_the_month)
        if cutting and plan is not CUP:
            diary.put(diary.moment(plan.days + 5, "21:00"), partial(cuts.answer, day))
    return season


def _past(diary: Diary, day: Saturday, scorer: Account) -> None:
    """A fixture that is over: planned six weeks before, played, made final that evening."""
    days = day.plan.days
    day.announce(planned=days - 42, opened=days - 35, first_time=NINE_THIRTY)
    diary.put(diary.moment(days - 42, "10:20"), partial(played_for.set_out, day))
    day.gather(first=days - 34, last=days - 8)
    day.draw(
        closed=diary.moment(days - 6, "18:00"),
        taken=diary.moment(days - 5, "19:00"),
        drawn=diary.moment(days - 4, "20:00"),
    )
    day.miss(diary.moment(days, "09:45"))
    diary.put(diary.moment(days, "13:00"), lambda at: _cards_in(diary, day, scorer, at))
    diary.put(diary.moment(days, "19:00"), lambda at: _settle(day, scorer, at))
    if day.plan.misread:
        captain = _account("Hester Quillfeather")
        again = partial(played_for.put_right, day, captain, scorer)
        diary.put(diary.moment(days + 3, "18:30"), again)


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


def _settle(day: Saturday, scorer: Account, at: datetime) -> None:
    """The evening: a ruling where there is one, then the final result by the captain."""
    captain = _account("Hester Quillfeather")
    by = acting(captain, at)
    played_for.write_winners(day, scorer, at)
    played_for.draw_lots(day, captain, at)
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
    diary.put(diary.moment(-42, "10:20"), partial(played_for.set_out, day))
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
