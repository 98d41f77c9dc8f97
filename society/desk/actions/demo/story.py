"""The invented season: three results, a day being played, one with entries open, one planned."""

from collections.abc import Callable
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from scoring.cards.rules.words import Capacity, Record
from scoring.results.actions import rule
from society.desk.actions.demo.diary import Diary, acting
from society.desk.actions.demo.saturday import Guest, Plan, Saturday, both_have_phones
from society.desk.actions.demo.society import (
    begin,
    give_offices,
    invite_everybody,
    mark_as_ours,
)
from society.desk.actions.final import make_final
from society.desk.queries.final import readiness
from society.fixtures.actions import start_season
from society.fixtures.models import Season
from society.fixtures.queries import the_competition
from society.members.models import Account, Society
from society.merit.actions import start_table
from society.merit.rules.values import MeritRules

BOTH = {"men": "yellow", "women": "yellow"}
MEMBER = "Ivo Marrable"  # whose group today still has things to settle
ALWAYS = (
    MEMBER,
    "Augusta Rushlight",
    "Rufus Candlewick",
    "Nan Underbough",
    "Piet Underbough",
    "Wilf Acornby",
    "Mercy Larkspindle",
    "Hester Quillfeather",
)
PERCY = Guest("Percy Bluntspoon", "men", "24.0", "Jem Saltcote")
FLORA = Guest("Flora Dabblecote", "women", "19.8", "Orla Wickerby")

FIRST = Plan(
    "First Card", "Kettlemoor", -84, "stableford", {"men": "white", "women": "red"}, 26,
    guests=(FLORA,), always=ALWAYS, withdraws=("Gus Fennimarsh",),
    about="The season begins on the moor. Soup and bread from one o'clock.",
)  # fmt: skip
MEDAL = Plan(
    "Beck Medal", "Oddling Sands", -56, "medal", BOTH, 24, always=(*ALWAYS, "Jem Saltcote"),
    absent="Linus Quagmoor", no_card="Greta Foxlantern",
    about="Every putt is holed. The medal has been played for since the society began.",
)  # fmt: skip
CUP = Plan(
    "Millrace Cup", "Upper Quince", -28, "stableford", {"men": "yellow", "women": "red"}, 27,
    guests=(PERCY,), always=ALWAYS, leaves_late="Tobias Wrenfeather",
    about="Eighteen holes by the mill, then the draw for the winter pairs.",
)  # fmt: skip
PLATE = Plan(
    "Lantern Plate", "Oddling Sands", 0, "stableford", BOTH, 25, places=28,
    guests=(PERCY, FLORA), always=ALWAYS, leaves_late="Silas Brambleknot", swaps_for=MEMBER,
    about="The day with the longest drive to the course and the best soup.",
)  # fmt: skip
HARBOUR = Plan(
    "Harbour Stableford", "Kettlemoor", 17, "stableford-28", BOTH, 17, places=20,
    always=("Rufus Candlewick", "Wilf Acornby"), about="White tees are being mended: all yellow.",
)  # fmt: skip
FROST = Plan("Frost Nine", "Upper Quince", 45, "nine", BOTH, 0, places=24)

NINE_THIRTY = time(9, 30)


def tell(now: datetime) -> int:
    """Load the whole story up to `now`; how many deeds were done.

    The database must be empty but for its tables.
    """
    zone = ZoneInfo("Europe/London")
    diary = Diary(today=now.astimezone(zone).date(), now=now, zone=zone)
    secretary = begin(diary.moment(-140, "19:00"))
    mark_as_ours(Society.objects.get(), diary.today)
    invite_everybody(diary.moment(-139, "19:30"), secretary)
    give_offices(diary.moment(-138, "20:00"), secretary)
    season = _season(diary, secretary)
    scorer = _account("Mercy Larkspindle")
    for plan in (FIRST, MEDAL, CUP):
        _past(diary, Saturday(diary, season, secretary, plan), scorer)
    _today(diary, Saturday(diary, season, secretary, PLATE), scorer)
    coming = Saturday(diary, season, secretary, HARBOUR)
    coming.announce(planned=-20, opened=-11, first_time=NINE_THIRTY)
    coming.gather(first=-10, last=-1)
    later = Saturday(diary, season, secretary, FROST)
    later.announce(planned=-12, opened=10, first_time=time(10, 0))
    return diary.live()


def _account(name: str) -> Account:
    return Account.objects.get(name=name)


def _season(diary: Diary, secretary: Account) -> Season:
    at = diary.moment(-137, "20:00")
    first, last = diary.moment(-120).date(), diary.moment(120).date()
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
    start_table(season=season, name="Order of merit", rules=MeritRules(best=2), by=by, at=at)
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
        found = next(row for row in day.starts() if row.pk == start)
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
            entry=day.entry("Jem Saltcote"),
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
        found = next(row for row in day.starts() if row.pk == start)
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
