"""Final results on the season page and on a player's page."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from society.desk.queries.results import final_places, results_of_player
from society.desk.queries.season import final_lines, latest_result, own_standing
from society.fixtures.models import Fixture, Season
from society.members.models import Player
from society.merit.actions import start_table
from society.merit.rules.values import MeritRules, PointsFrom
from society.web.who import Who
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, sealed_season

pytestmark = pytest.mark.django_db


@pytest.fixture
def season(society: object) -> Season:
    return sealed_season(
        {"Ada": [36, 30], "Bea": [34, 35], "Cy": [20, None], "Dot": [30, 31], "Eve": [36, 12]}
    )


def who(*names: str) -> Who:
    players = [Player.objects.get(name=name).public_id for name in names]
    return Who(account="a", players=tuple(players))


def test_the_latest_result_is_on_the_board(season: Season) -> None:
    latest = latest_result(season, who("Eve"))
    assert latest.fixture.name == "Fixture 2"
    assert [(h.place, h.name, h.value) for h in latest.honours] == [
        (1, "Bea", "35"), (2, "Dot", "31"), (3, "Ada", "30"), (4, "You", "12"),
    ]  # fmt: skip
    assert latest_result(sealed_season({}), who()) is None


def test_a_tie_is_told_on_the_board(society: object) -> None:
    season = sealed_season({"Ada": [36], "Bea": [36], "Cy": [20]})
    whys = [honour.why for honour in latest_result(season, who()).honours]
    assert all("the place is shared" in why for why in whys[:2])
    assert whys[2] == ""


def test_each_final_fixture_says_who_won_and_how_i_did(season: Season) -> None:
    fixtures = list(Fixture.objects.filter(season=season).order_by("starts_on"))
    lines = final_lines(fixtures, who("Dot"))
    first, second = (lines[fixture.pk] for fixture in fixtures)
    assert (first.won, first.won_words) == ("36", "Ada and Eve won")
    assert (second.won, second.won_words) == ("35", "Bea won")
    assert (second.mine, second.mine_words) == ("31", "You, 2nd")
    assert lines[fixtures[0].pk].mine_words == "You, 4th"
    assert final_lines([saturday()], who()) == {}


def test_my_own_standing(season: Season) -> None:
    assert own_standing(season, who("Ada")) is None  # no table yet
    rules = MeritRules(points=PointsFrom.TOTAL, best=1)
    start_table(season=season, name="Order of merit", rules=rules, by=OFFICER, at=AT)
    mine = own_standing(season, who("Dot"))
    assert (mine.place, mine.of) == (4, 5)
    assert mine.words == "31 points, 5 behind Ada."
    assert [(s.month, s.value, s.dropped) for s in mine.scores] == [
        ("Jan", "30", True), ("Feb", "31", False),
    ]  # fmt: skip
    assert own_standing(season, who()) is None
    assert own_standing(season, who("Cy", "Dot")).words == "Dot: 31 points, 5 behind Ada."


def test_a_players_results(season: Season) -> None:
    dot = Player.objects.get(name="Dot").public_id
    fixtures = list(Fixture.objects.filter(season=season).order_by("starts_on"))
    assert list(results_of_player(dot, fixtures).values()) == [
        "4th, 30 points", "2nd, 31 points",
    ]  # fmt: skip


def test_the_pages_show_them(season: Season, secretary: Client) -> None:
    html = secretary.get(reverse("desk:season_of", args=[season.public_id])).content.decode()
    assert "Latest result, final" in html
    assert "Bea won" in html
    dot = Player.objects.get(name="Dot").public_id
    html = secretary.get(reverse("desk:player", args=[dot])).content.decode()
    assert "2nd, 31 points" in html


def test_statements_do_not_depend_on_how_many() -> None:
    small = sealed_season({"Ada": [36]})
    large = sealed_season({f"P{n}": [30, 31, 32] for n in range(9)})

    def statements(season: Season) -> int:
        fixtures = list(Fixture.objects.filter(season=season))
        with CaptureQueriesContext(connection) as said:
            assert len(final_places(fixtures)) == len(fixtures)
        return len(said)

    assert statements(small) == statements(large) == 2
