"""Who is too new to win: by events since joining, on the result, in the season, for cuts.

That a newcomer plays some events before winning: common practice, no source.
"""

import re
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.queries.newcomers import newcomers_in, newcomers_in_all
from society.fixtures.actions import set_season_handicaps
from society.fixtures.models import Fixture, Season
from society.handicaps.rules.season import HandicapRules
from society.members.models import Player
from tests.factories.results import AT, OFFICER, sealed_season

pytestmark = pytest.mark.django_db


def season_of(events: int) -> tuple[Season, list[Fixture]]:
    """Four fixtures; Ida joined after the first, missed the second and leads the others."""
    season = sealed_season({"Ida Fell": [30, None, 40, 41], "Fenn Moor": [33, 32, 36, 35]})
    Player.objects.filter(name="Ida Fell").update(joined_on=date(2026, 2, 1))
    set_season_handicaps(
        season=season,
        rules=HandicapRules(newcomer_events=events),
        valid_from=season.starts_on,
        words="Agreed in winter.",
        by=OFFICER,
        at=AT,
    )
    return season, list(season.fixtures.order_by("starts_on"))


def test_events_are_counted_from_joining_and_up_to_the_day(society) -> None:
    _, fixtures = season_of(1)
    ida = Player.objects.get(name="Ida Fell").public_id
    # the first fixture lies before joining, the second was missed
    assert [newcomers_in(one).played for one in fixtures] == [{}, {}, {ida: 0}, {}]


def test_whoever_joined_on_no_known_day_is_not_new(society) -> None:
    _, fixtures = season_of(3)
    Player.objects.update(joined_on=None)
    assert not any(newcomers_in(one).played for one in fixtures)


def test_where_no_events_are_asked_for_nobody_is_new(society, django_assert_num_queries) -> None:
    _, fixtures = season_of(0)
    fixtures = list(
        Fixture.objects.select_related("season").filter(pk__in=[f.pk for f in fixtures])
    )
    with django_assert_num_queries(1):
        assert not any(one.played for one in newcomers_in_all(fixtures).values())


def test_places_stay_and_the_winner_is_the_first_who_may_win(society, member: Client) -> None:
    season, fixtures = season_of(2)
    shown = member.get(reverse("results:show", args=[fixtures[3].public_id])).content.decode()
    said = " ".join(re.sub(r"<[^>]+>", " ", shown).split())
    assert "Ida Fell is new and may not win yet. The winner is Fenn Moor" in said
    assert "New: may win from the third event; this is the second." in said
    rows = re.findall(r'class="name">([^<]+)<', shown)
    assert rows[:2] == ["Ida Fell", "Fenn Moor"]  # the places are as they were
    listed = member.get(reverse("desk:season_of", args=[season.public_id])).content.decode()
    told = " ".join(re.sub(r"<[^>]+>", " ", listed).split())
    assert "Fenn Moor won" in told
    assert "Ida Fell won" not in told
