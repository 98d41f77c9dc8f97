"""Whose handicap is old, and who has none of the kind that the season asks for."""

from dataclasses import dataclass
from datetime import date

from society.fixtures.models import Season
from society.fixtures.queries import present_season, season_rules_on
from society.handicaps.queries.figures import figures_on
from society.handicaps.rules.figures import KIND_NAMES
from society.handicaps.rules.season import HandicapRules, brief
from society.handicaps.rules.used import Line, days_too_old
from society.members.models import Player
from society.members.queries import members_on_the_list


@dataclass(frozen=True, slots=True)
class OldFigure:
    """A member whose figure is older than the rules allow, and how old it is."""

    player: Player
    base: Line
    days: int


@dataclass(frozen=True, slots=True)
class StalePage:
    """The lists of one day. `season`: the one whose rules are asked; None where none runs.

    `old`: the oldest first; `missing`: by name. `kind`: of figure that the season asks for.
    `allowed`: days a figure may be old; None: no limit is set.
    """

    day: date
    season: Season | None
    played_off: str
    kind: str
    allowed: int | None
    old: tuple[OldFigure, ...]
    missing: tuple[Player, ...]


def stale_page(today: date) -> StalePage:
    """Every member's figure of today against the rules of the season. At most six queries."""
    season = present_season(today)
    rules = season_rules_on(season, today) if season else HandicapRules()
    members = list(members_on_the_list().order_by("name", "pk"))
    figures = figures_on(members, rules, today)
    old = [
        OldFigure(one, figures[one.pk].base, days)
        for one in members
        if (days := days_too_old(rules, figures.get(one.pk), today))
    ]
    return StalePage(
        day=today,
        season=season,
        played_off=brief(rules),
        kind=KIND_NAMES[rules.asked],
        allowed=rules.stale_days,
        old=tuple(sorted(old, key=lambda one: (-one.days, one.player.name))),
        missing=tuple(one for one in members if one.pk not in figures),
    )
