"""The list of players with their handicaps, and one player's own page."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet
from django.db.models.functions import Length, Lower

from scoring.rules.values import HandicapKind
from society.desk.queries.record import line_words
from society.desk.queries.results import results_of_player
from society.entries.models import Entry
from society.entries.rules.words import IN, Step
from society.fixtures.models import Season
from society.fixtures.queries import present_season, season_rules_on
from society.handicaps.queries.figures import figures_on
from society.handicaps.queries.record import all_records, record_of, with_newest
from society.handicaps.rules.figures import (
    KIND_NAMES,
    Figure,
    Source,
    standing_lines,
    written_of,
)
from society.handicaps.rules.season import HandicapRules, brief
from society.handicaps.rules.used import Used
from society.members.models import Player
from society.members.queries import names_of, players_on_the_list

HOW_IT_STANDS: dict[str, str] = {
    Step.ENTERED: "entered",
    Step.TAKEN: "entered",
    Step.WAITING: "on the waiting list",
    Step.OFFERED: "a place is offered",
    Step.LAPSED: "let an offer pass",
    Step.BUMPED: "on the waiting list",
    Step.WITHDRAWN: "withdrew",
    Step.ABSENT: "did not turn up",
}


def list_of_players(search: str, on: date) -> QuerySet[Player]:
    """Players whose name, number, e-mail or home club holds every word, with newest handicap."""
    found = players_on_the_list()
    for word in search.split():
        found = found.filter(
            Q(name__icontains=word)
            | Q(number__icontains=word)
            | Q(email__icontains=word)
            | Q(home_club__icontains=word)
        )
    return with_newest(found, on).annotate(name_sort=Lower("name"), number_length=Length("number"))


@dataclass(frozen=True, slots=True)
class TakenToday:
    """What a player would be taken at today, for a list of players.

    `value`: an index with its tenth; None where nothing on the record serves. `words`: what the
    figure is called and, where the society changed it, the figure it comes from.
    """

    value: Decimal | None
    words: str


class PlayedOff:
    """What the present season takes for each player of a list today."""

    def __init__(self, season: Season, today: date) -> None:
        self.season = season
        self._today = today
        self._rules: HandicapRules = season_rules_on(season, today)

    @property
    def brief(self) -> str:
        """Which handicap it is, in a sentence."""
        return brief(self._rules)

    def of(self, players: Iterable[Player]) -> dict[int, TakenToday]:
        """The figure of each player by row number. Three queries for any number of players.

        `players`: as `list_of_players` gives them.
        """
        listed = list(players)
        found = figures_on(listed, self._rules, self._today)
        return {one.pk: _taken(found[one.pk]) if one.pk in found else _none(one) for one in listed}


def played_off_today(today: date) -> PlayedOff | None:
    """What the present season takes; None where there is no season. Two queries at most."""
    season = present_season(today)
    return PlayedOff(season, today) if season else None


def _taken(used: Used) -> TakenToday:
    said = [used.called]
    if not used.changed and used.base.source is Source.STATED:
        said[0] += " as stated"
    if used.other is not None:
        said.append(f"the lower of two, the other is {used.other.figure}")
    if used.changed:
        done = ", with society cuts" if used.cuts else ""
        said.append(f"from {used.base.figure}{done}")
    if used.capped:
        said.append(f"at most {used.maximum}")
    value = round(used.value, 1) if used.kind is HandicapKind.INDEX else used.value
    return TakenToday(value, ", ".join(said))


def _none(player: Any) -> TakenToday:
    """Nothing serves; what else stands on the record is said, so that nobody looks for it."""
    if player.handicap is None:
        return TakenToday(None, "")
    kind = HandicapKind(player.handicap_kind)
    line = f"{KIND_NAMES[kind]} {written_of(kind, player.handicap)}"
    return TakenToday(None, f"nothing the season takes; on the record: {line}")


def standing_handicaps(on: date) -> list[tuple[Player, Figure | None]]:
    """Everybody on the list by name, once for each figure in force on a day. Two queries."""
    records = all_records()
    lines: list[tuple[Player, Figure | None]] = []
    for player in players_on_the_list().order_by(Lower("name"), "pk"):
        standing = standing_lines(records.get(player.public_id, ()), on)
        lines += [(player, figure) for figure in standing] or [(player, None)]
    return lines


def handicap_lines(player: Player) -> list[dict[str, Any]]:
    """The record of a player, newest first, ready to be shown."""
    lines = list(record_of(player))
    names = names_of(line.by for line in lines)
    return [
        {
            "value": None if line.ended else line.value,
            "words": line_words(line.kind, line.source),
            "valid_from": line.valid_from,
            "at": line.at,
            "by": names[line.by],
            "why": line.reason,
        }
        for line in lines
    ]


def fixtures_of(player: Player) -> list[dict[str, Any]]:
    """The fixtures a player entered, newest first, with how the entry stands."""
    entries = list(
        Entry.objects.filter(player=player)
        .with_step()
        .select_related("fixture")
        .order_by("-fixture__starts_on", "-pk")
    )
    results = results_of_player(player.public_id, [entry.fixture for entry in entries])
    return [
        {
            "fixture": entry.fixture,
            "entry": entry,
            "words": HOW_IT_STANDS[entry.step],
            "result": results.get(entry.fixture_id, ""),
            "in_field": entry.step in IN,
        }
        for entry in entries
    ]
