"""Reads of the society, its accounts and who acts."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.db.models.functions import Lower

from society.members.models import Account, Player, Society
from society.web.who import Who


def the_society() -> Society | None:
    """The one society of this database, or None before it is set up."""
    return Society.objects.filter(pk=1).first()


def society_zone() -> str:
    """The society's time zone by name; UTC before there is a society."""
    return Society.objects.filter(pk=1).values_list("time_zone", flat=True).first() or "UTC"


def who_for(account: Account, at: datetime) -> Who:
    """Who this account is at a moment: its players, and the offices held on that day."""
    day = at.astimezone(ZoneInfo(society_zone())).date()
    roles = (
        account.offices.filter(starts__lte=day)
        .filter(Q(ends__isnull=True) | Q(ends__gte=day))
        .values_list("role", flat=True)
    )
    players = tuple(account.players.order_by("name", "pk").values_list("public_id", flat=True))
    return Who(
        account=account.public_id,
        players=players,
        player=players[0] if len(players) == 1 else None,
        roles=frozenset(roles),
        name=account.name,
    )


def players_on_the_list() -> QuerySet[Player]:
    """Everyone who plays, merged doubles left out, by name."""
    return Player.objects.filter(merged_into__isnull=True).order_by(Lower("name"), "pk")
