"""Who won a season that is over: the head of its sealed table, for the board."""

from collections.abc import Sequence
from dataclasses import dataclass

from society.desk.queries.season import HONOURS, Honour
from society.fixtures.models import Season
from society.merit.models import MeritTable, MeritVersion
from society.merit.queries import sealed_season, standing_of, the_table, version_of
from society.merit.rules.rows import shown
from society.web.who import Who


@dataclass(frozen=True, slots=True)
class Title:
    """The sealed table, those at its head, and who sealed it."""

    table: MeritTable
    honours: Sequence[Honour]
    version: MeritVersion
    by: str


def title_of(season: Season, who: Who) -> Title | None:
    """The first table of a season as it is sealed; None as long as it is not."""
    table = the_table(season)
    if table is None:
        return None
    version = version_of(table)
    if version is None:
        return None
    sealed = sealed_season(version, standing_of(table))
    mine = who.players if len(who.players) == 1 else ()
    honours = [
        Honour(
            row.place,
            "You" if row.player in mine else sealed.standing.name_of(row.player),
            shown(row.total),
        )
        for row in sealed.standing.rows
        if row.place is not None and row.place <= HONOURS
    ]
    return Title(table, honours, version, sealed.by)
