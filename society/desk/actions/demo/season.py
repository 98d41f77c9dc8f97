"""Around the fixtures of the invented society: who paid, who joined when, rules, and the title."""

from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction

from society.desk.actions.demo.diary import acting
from society.desk.actions.demo.saturday import Saturday
from society.fixtures.models import Season
from society.members.actions.players import note_joined, note_subscriptions
from society.members.models import Account, Player
from society.members.rules import SubscriptionState
from society.merit.actions import seal_table, set_rules, start_table
from society.merit.models import MeritTable
from society.merit.rules.values import MeritRules, NewMembers, PointsFrom, Unpaid

LAST_RULES = MeritRules(best=5, minimum=3, turning_up=Fraction(1))
RULES = MeritRules(
    best=6,
    minimum=2,
    turning_up=Fraction(1),
    bonus_pin=Fraction(1),
    new_members=NewMembers.PRO_RATA,
    unpaid=Unpaid.UNRANKED,
)
TOTALS = MeritRules(points=PointsFrom.TOTAL, best=3, minimum=2)
OWING = ("Barnaby Stoneacre", "Gus Fennimarsh")  # have not paid this season
PAID_LATE = "Clement Wherryman"
EXCUSED = "Basil Thistlepot"


def start_tables(season: Season, rules: MeritRules, by_whom: Account, at: datetime) -> MeritTable:
    """The order of merit of a season, and beside it a table of Stableford totals."""
    by = acting(by_whom, at)
    table = start_table(season=season, name="Order of merit", rules=rules, by=by, at=at)
    start_table(season=season, name="Three best cards", rules=TOTALS, by=by, at=at)
    return table


def make_major(
    table: MeritTable, rules: MeritRules, day: Saturday, officer: Account, at: datetime
) -> None:
    """The day counts twice in the order of merit."""
    competition = day.standing.competitions.get(number=1)
    set_rules(
        table=table,
        name=table.name,
        rules=replace(rules, majors=(competition.public_id,)),
        words="Agreed by the committee.",
        by=acting(officer, at),
        at=at,
    )


def give_the_title(season: Season, captain: Account, at: datetime) -> None:
    """Every table of a season that is over is sealed."""
    for table in MeritTable.objects.filter(season=season).order_by("number"):
        seal_table(table=table, by=acting(captain, at), at=at)


def pay(season: Season, treasurer: Account, at: datetime) -> None:
    """The subscriptions of a season: most are paid, one is excused, a few are owing."""
    members = Player.objects.filter(kind="member").exclude(name__in=(*OWING, PAID_LATE, EXCUSED))
    _note(season, list(members), SubscriptionState.PAID, treasurer, at)
    ill = list(Player.objects.filter(name=EXCUSED))
    _note(season, ill, SubscriptionState.EXCUSED, treasurer, at, "Ill since the winter.")


def pay_late(season: Season, treasurer: Account, at: datetime) -> None:
    """One more has paid, when some fixtures had been played."""
    late = list(Player.objects.filter(name=PAID_LATE))
    _note(season, late, SubscriptionState.PAID, treasurer, at)


def note_new(names: list[str], day: date, secretary: Account, at: datetime) -> None:
    """The day some members joined."""
    for player in Player.objects.filter(name__in=names).order_by("pk"):
        note_joined(player=player, joined_on=day, by=acting(secretary, at), at=at)


def _note(
    season: Season,
    players: list[Player],
    state: SubscriptionState,
    treasurer: Account,
    at: datetime,
    words: str = "",
) -> None:
    note_subscriptions(
        players=players,
        period=season.public_id,
        state=state,
        on=at.date(),
        words=words,
        by=acting(treasurer, at),
        at=at,
    )
