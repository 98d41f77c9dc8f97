"""The list of players with their handicaps, and one player's own page."""

from datetime import date
from typing import Any

from django.db.models import Q, QuerySet
from django.db.models.functions import Length, Lower

from society.desk.queries.record import line_words
from society.desk.queries.results import results_of_player
from society.entries.models import Entry
from society.entries.rules.words import IN, Step
from society.handicaps.queries.record import all_records, record_of, with_newest
from society.handicaps.rules.figures import Figure, standing_lines
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
