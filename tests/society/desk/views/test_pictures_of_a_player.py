"""The pictures on a player's page: who sees which, what stands beside them, what if there is none.

The season is made of cards off scratch, so that points can be counted by hand: `scoring(36)` is par
on every hole.
"""

import re
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from society.members.models import Player
from tests.factories.entries import handicap
from tests.factories.members import PlayerFactory
from tests.factories.results import scoring, sealed_season

pytestmark = pytest.mark.django_db


def read(client: Client, player: Player) -> str:
    html = client.get(reverse("desk:player", args=[player.public_id])).content.decode()
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def season_of(*points: int) -> Player:
    """One player with a card in a final result for each figure, and another in the field."""
    sealed_season({"Ida Clamber": points, "Nan Under": [30] * len(points)})
    return Player.objects.get(name="Ida Clamber")


def test_where_points_are_lost_adds_up(secretary: Client) -> None:
    # 36 and 37 off scratch: one under par on hole 1 the second time, level with par elsewhere
    words = read(secretary, season_of(36, 37))
    assert "2 cards, each counted as Stableford" in words
    assert "On no hole number were points lost to net par." in words
    assert "1 2 5 2.50 1 won" in words  # hole 1: twice, 2 + 3 points
    assert "2 2 4 2.00 0" in words


def test_the_worst_hole_is_named(secretary: Client) -> None:
    # 19: one over on every hole but the first, which is level
    assert scoring(19)[0] < scoring(18)[0]
    words = read(secretary, season_of(19))
    assert "Fewest on holes 2, 3, 4" in words
    assert "1.00 a time, where net par is 2" in words


def test_only_the_player_and_officers_see_where_points_are_lost(
    secretary: Client, member: Client
) -> None:
    player = season_of(30)
    assert "Where points are lost" in read(secretary, player)
    assert "Where points are lost" not in read(member, player)


def test_the_player_sees_it(member: Client, player: Player) -> None:
    assert "Where points are lost" in read(member, player)
    assert "No card is in a final result yet." in read(member, player)


def test_the_handicap_over_time_has_its_figures_beside_it(member: Client) -> None:
    player = PlayerFactory()
    for value, month in (("18.2", 1), ("17.0", 3), ("17.6", 5)):
        handicap(player, value, valid_from=date(2026, month, 1))
    words = read(member, player)
    assert "From 18.2 on Thu 1 Jan 2026 to 17.6 on Fri 1 May 2026; the lowest was 17.0" in words
    assert "Sun 1 Mar 2026 17.0 association" in words


def test_a_plus_handicap_is_written_as_people_do(member: Client) -> None:
    player = PlayerFactory()
    handicap(player, "-1.2")
    handicap(player, "0.4", valid_from=date(2026, 3, 1))
    words = read(member, player)
    assert "From +1.2 on" in words
    assert "the lowest was +1.2" in words


def test_one_figure_is_no_way_yet(member: Client) -> None:
    player = PlayerFactory()
    handicap(player, "18.2")
    assert "One figure is kept so far." in read(member, player)


def test_without_a_record_nothing_is_drawn(member: Client) -> None:
    assert "over time" not in read(member, PlayerFactory())
