"""Who in a field is new, by the season's rules on the fixture's day."""

from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache

from django.db.models import Q

from scoring.results.models import ResultVersion
from scoring.results.rules import NOT_RETURNED
from scoring.rules.strict_json import read_json
from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.fixtures.queries import rules_of_all
from society.fixtures.rules import FixtureState
from society.handicaps.rules.newcomers import Newcomers
from society.members.models import Player

# A result that is open again stands until its next version is sealed.
_SEALED = (FixtureState.FINAL.value, FixtureState.REVIEWING.value)


def newcomers_in(fixture: Fixture) -> Newcomers:
    """Those in a fixture who may not win yet, with the rule they are held to."""
    return newcomers_in_all([fixture])[fixture.pk]


def newcomers_in_all(fixtures: Sequence[Fixture]) -> dict[int, Newcomers]:
    """The same for many fixtures with their seasons at hand, by row number.

    New is a member who joined on a known day, not after the fixture's, and has since returned a
    card in fewer final fixtures of an earlier day than the season asks for. Four queries for any
    number of fixtures and players; one where no season asks for any.
    """
    asked = {pk: rules.newcomer_events for pk, rules in rules_of_all(fixtures).items()}
    members = _members([one for one in fixtures if asked[one.pk]])
    came = _came({player.pk: player for found in members.values() for player in found})
    return {
        one.pk: Newcomers(
            asked[one.pk],
            {
                player.public_id: count
                for player in members.get(one.pk, ())
                if (count := sum(day < one.starts_on for day in came[player.pk])) < asked[one.pk]
            },
        )
        for one in fixtures
    }


def _members(fixtures: Sequence[Fixture]) -> dict[int, list[Player]]:
    """By fixture, the members in it who had joined by its day, on a day that is known."""
    found: dict[int, dict[int, Player]] = {one.pk: {} for one in fixtures}
    if not fixtures:
        return {}
    days = {one.pk: one.starts_on for one in fixtures}
    rows = Entry.objects.filter(fixture__in=list(days), as_member=True)
    for entry in rows.select_related("player__merged_into"):
        player = entry.player.merged_into or entry.player
        if player.joined_on is not None and player.joined_on <= days[entry.fixture_id]:
            found[entry.fixture_id][player.pk] = player
    return {pk: list(players.values()) for pk, players in found.items()}


def _came(members: Mapping[int, Player]) -> dict[int, list[date]]:
    """The days of the final fixtures each came back from with a card since joining."""
    found: dict[int, dict[int, date]] = {pk: {} for pk in members}
    joined = {pk: one.joined_on for pk, one in members.items() if one.joined_on is not None}
    if not joined:
        return {}
    rows = Entry.objects.filter(
        Q(player__in=list(joined)) | Q(player__merged_into__in=list(joined)),
        fixture__state__in=_SEALED,
        fixture__starts_on__gte=min(joined.values()),
    ).values_list("fixture_id", "fixture__starts_on", "key", "player_id", "player__merged_into_id")
    mine = [(fixture, day, key, into or player) for fixture, day, key, player, into in rows]
    returned = _returned({fixture for fixture, *_ in mine})
    for fixture, day, key, player in mine:
        if day >= joined[player] and key in returned.get(fixture, ()):
            found[player][fixture] = day
    return {pk: list(days.values()) for pk, days in found.items()}


def _returned(fixtures: set[int]) -> dict[int, frozenset[str]]:
    """By fixture, the keys of those who returned a card, by the first competition. One query."""
    rows = ResultVersion.objects.filter(
        competition__fixture__in=fixtures, competition__number=1
    ).order_by("number")
    latest = dict(rows.values_list("competition__fixture_id", "outputs"))
    return {fixture_id: _came_back(outputs) for fixture_id, outputs in latest.items()}


@lru_cache(maxsize=64)
def _came_back(outputs: str) -> frozenset[str]:
    """The keys of a sealed answer with a card returned; a sealed text never changes."""
    answer = read_json(outputs)
    if not isinstance(answer, dict):
        raise TypeError("the outputs of a seal are an object")
    placed = {row["player"] for row in answer["standings"]}
    others = {row["player"] for row in answer["unplaced"] if row["status"] not in NOT_RETURNED}
    return frozenset(placed | others)
