"""How the players of the reader's own account stand in a fixture."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from society.entries.models import Entry, Start
from society.entries.queries import offers_of, own_entries
from society.entries.rules.words import IN, OUT
from society.fixtures.models import Fixture
from society.fixtures.queries import rules_of
from society.handicaps.queries.figures import figures_for
from society.handicaps.rules.used import Used, Whom
from society.members.models import Player
from society.web.templatetags.look import in_words
from society.web.who import Who


@dataclass(frozen=True, slots=True)
class Mine:
    """One own player in one fixture. `start` is set once a draw was published.

    `offer`: until when a place may be taken, where one is offered.
    """

    player: Player
    entry: Entry | None = None
    handicap: Used | None = None
    start: Start | None = None
    offer: datetime | None = None
    hole: int | None = None  # on which the group begins; None where all begin on the first

    @property
    def standing(self) -> str:
        """in, waiting, or out (also: never entered)."""
        if self.entry is None or self.entry.step in OUT:
            return "out"
        return "in" if self.entry.step in IN else "waiting"


def own_players(who: Who) -> list[Player]:
    """The players this account acts for, by name."""
    return list(Player.objects.filter(public_id__in=who.players).order_by("name", "pk"))


def own_in(fixtures: Sequence[Fixture], players: Sequence[Player]) -> dict[int, list[Mine]]:
    """Fixture id → how each own player stands there, without handicaps and starts. One query."""
    entries = own_entries(list(fixtures), tuple(player.public_id for player in players))
    return {
        fixture.pk: [Mine(player, _entry(entries[fixture.pk], player)) for player in players]
        for fixture in fixtures
    }


def own_in_full(fixture: Fixture, players: Sequence[Player]) -> list[Mine]:
    """How each own player stands in one fixture, with the handicap on record and the start."""
    if not players:
        return []
    entries = own_entries([fixture], tuple(player.public_id for player in players))[fixture.pk]
    handicaps = handicaps_on(
        fixture, [Whom(one.pk, one.category, not one.is_member) for one in players]
    )
    starts = {
        start.entry_id: start
        for start in Start.objects.filter(entry__in=entries, group__isnull=False)
    }
    several = _several_begin(starts.values())
    ends = offers_of(entries)
    found = []
    for player in players:
        entry = _entry(entries, player)
        start = starts.get(entry.pk) if entry else None
        offer = ends.get(entry.pk) if entry else None
        hole = start.first_hole if start and (several or start.first_hole != 1) else None
        found.append(Mine(player, entry, handicaps.get(player.pk), start, offer, hole))
    return found


def _several_begin(starts: Iterable[Start]) -> bool:
    """Whether groups begin on more than one hole; asked only where a draw was published."""
    rounds = {start.round_id for start in starts}
    if not rounds:
        return False
    rows = Start.objects.filter(round__in=rounds, group__isnull=False)
    return rows.values("first_hole").distinct().count() > 1


def handicaps_on(fixture: Fixture, whom: Iterable[Whom]) -> dict[int, Used]:
    """What each would be taken at in the fixture on its day, by player id."""
    return figures_for(whom, rules_of(fixture), fixture.starts_on)


def day_of(at: datetime) -> date:
    """The calendar day of a moment in the zone of the page."""
    return timezone.localtime(at).date()


def until(moment: datetime, at: datetime) -> str:
    """How far off a moment is, in days: today, tomorrow, in five days; empty once past."""
    days = (day_of(moment) - day_of(at)).days
    if moment <= at or days < 0:
        return ""
    if days < 2:
        return "today" if days == 0 else "tomorrow"
    return f"in {in_words(days)} days"


def _entry(entries: Sequence[Entry], player: Player) -> Entry | None:
    return next((entry for entry in entries if entry.player_id == player.pk), None)
