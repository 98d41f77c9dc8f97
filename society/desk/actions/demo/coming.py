"""The open fixture of the invented society: full, a guest out again, a place offered to a member.

Members come before guests there until entries close. So the last member to find no place gets that
of the guest, and who comes after waits; then somebody withdraws, and the place is offered.
"""

from dataclasses import replace
from datetime import datetime, time, timedelta
from functools import partial

from society.desk.actions.demo.diary import Diary
from society.desk.actions.demo.plan import Plan
from society.desk.actions.demo.plans import MEMBER
from society.desk.actions.demo.saturday import Saturday
from society.members.models import Player

NOON, EVENING = time(12), time(20)
IN = (
    "Rufus Candlewick",
    "Wilf Acornby",
    "Nan Underbough",
    "Constance Merrigold",
    "Tobias Wrenfeather",
    "Ida Clamberfoot",
    "Amos Ploverby",
    "Bess Tattersnipe",
    "Maud Snowberry",
    "Orla Wickerby",
    "Noll Hatchbarrow",
    "Philippa Mossgrove",
    "Barnaby Stoneacre",
    "Dilys Ferncastle",
    "Lottie Cobblestrand",
    "Theodora Hobblethwaite-Carrowmere",
    "Hal Tumbledown",
    "Cuthbert Gooseacre",
    "Winnie Sedgebottom",
)
GETS_THE_GUESTS_PLACE = "Sabina Eelbrook"
WAITS = (MEMBER, "Piet Underbough", "Clement Wherryman")
GOES = "Winnie Sedgebottom"


def offers_end(now: datetime) -> time:
    """The hour until which offers stand: noon or evening, whichever is far from now."""
    return NOON if now.time() >= time(10, 30) else EVENING


def harbour(plan: Plan, now: datetime) -> Plan:
    """The plan with an hour for offers that leaves time to look at one."""
    return replace(plan, offer_until=offers_end(now))


def fill(diary: Diary, day: Saturday) -> None:
    """Entries up to the last place, those who wait, and a place given up ten minutes ago."""
    for number, name in enumerate(IN):
        days, place = divmod(number, 3)
        at = diary.moment(days - 10, "08:40") + timedelta(minutes=291 * place + 7 * number)
        diary.put(at, partial(_enters, day, name))
    (guest,) = day.plan.guests
    diary.put(diary.moment(-2, "12:10"), partial(day.bring, guest))
    diary.put(diary.moment(-2, "18:40"), partial(_enters, day, GETS_THE_GUESTS_PLACE))
    for number, name in enumerate(WAITS):
        at = diary.moment(-2, "20:15") + timedelta(minutes=9 * number)
        diary.put(at, partial(_enters, day, name))
    diary.put(diary.now - timedelta(minutes=10), partial(day.leave, GOES))


def _enters(day: Saturday, name: str, at: datetime) -> None:
    day.take_place(Player.objects.get(name=name), at)
