"""A diary: deeds with their moments, done in order of time, each by who would have done it."""

import heapq
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from itertools import count
from zoneinfo import ZoneInfo

from society.members.models import Account, Player
from society.members.queries import who_for
from society.web.who import Who

Deed = Callable[[datetime], object]


@dataclass(slots=True)
class Diary:
    """Deeds wait here until their moment; a deed may put further ones in, never earlier ones.

    `today`: the day the demo is made for. `now`: the moment it is made; later deeds are dropped.
    """

    today: date
    now: datetime
    zone: ZoneInfo
    done: int = 0
    _waiting: list[tuple[datetime, int, Deed]] = field(default_factory=list)
    _numbers: count = field(default_factory=count)  # type: ignore[type-arg]

    def moment(self, days: int, at: str = "19:00") -> datetime:
        """So many days before (below zero) or after today, at an hour of the society's clock."""
        day = self.today + timedelta(days=days)
        return datetime.combine(day, time.fromisoformat(at), self.zone)

    def put(self, at: datetime, deed: Deed) -> None:
        """Have the deed done at that moment."""
        heapq.heappush(self._waiting, (at, next(self._numbers), deed))

    def live(self, until: datetime | None = None) -> int:
        """Do everything up to then, or up to now, in order of time; how many deeds in all."""
        until = min(until, self.now) if until else self.now
        while self._waiting and self._waiting[0][0] <= until:
            at, _, deed = heapq.heappop(self._waiting)
            deed(at)
            self.done += 1
        return self.done


def account_of(player: Player) -> Account | None:
    """The account that acts for the player, or None."""
    return player.accounts.order_by("pk").first()


def acting(account: Account, at: datetime, player: Player | None = None) -> Who:
    """Who this account was at that moment, marked as the demo's doing."""
    who = replace(who_for(account, at), means="demo")
    return who.acting_as(player.public_id) if player else who
