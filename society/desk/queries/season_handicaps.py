"""Which handicap a season is played off, in words: as it stands, and as it stood before."""

import json
from dataclasses import dataclass
from datetime import date, datetime

from society.fixtures.models import Season, SeasonHandicaps
from society.fixtures.queries import season_rules_on
from society.handicaps.rules.season import HandicapRules, read_rules, sentences
from society.members.models import Account


@dataclass(frozen=True, slots=True)
class Set:
    """One setting of the rules: from when, by whom, why, and all it says."""

    valid_from: date
    at: datetime
    by: str
    why: str
    sentences: list[str]
    standing: bool


@dataclass(frozen=True, slots=True)
class SeasonHandicapsPage:
    """`day`: the one the rules are shown for; `rules` in force on it; `earlier`: newest first."""

    day: date
    rules: HandicapRules
    sentences: list[str]
    settings: list[Set]


def season_handicaps_page(season: Season, today: date) -> SeasonHandicapsPage:
    """Rules as they stand today, or on the first or last day of a season that is not running."""
    day = min(max(today, season.starts_on), season.ends_on)
    rules = season_rules_on(season, day)
    rows = list(
        SeasonHandicaps.objects.filter(season=season)
        .select_related("words")
        .order_by("-valid_from", "-number")
    )
    who = {row.pk: json.loads(row.by).get("account") or "" for row in rows}
    names = dict(
        Account.objects.filter(public_id__in=who.values()).values_list("public_id", "name")
    )
    standing = next((row for row in rows if row.valid_from <= day), None)
    return SeasonHandicapsPage(
        day=day,
        rules=rules,
        sentences=sentences(rules),
        settings=[
            Set(
                row.valid_from,
                row.at,
                names.get(who[row.pk], ""),
                row.reason,
                sentences(read_rules(row.rules)),
                row is standing,
            )
            for row in rows
        ],
    )
