"""A newcomer plays some events before winning: counted, and told on page, paper and season.

Common practice, no source.
"""

from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scoring.results.printing import result_html
from scoring.results.queries.newcomers import newcomers_in, newcomers_in_all
from scoring.results.queries.standings import standing
from scoring.rules.strict_json import canonical
from society.desk.queries.cuts import cuts_to_propose
from society.desk.queries.day_papers import prize_giving
from society.desk.queries.season import final_lines
from society.fixtures.models import Fixture, SeasonHandicaps
from society.handicaps.rules.cuts.presets import PRESETS
from society.handicaps.rules.cuts.reading import cuts_object
from society.members.models import Player
from society.web.who import Who
from tests.factories.entries import BY, handicap
from tests.factories.results import AT, competition_of, sealed_season

pytestmark = pytest.mark.usefixtures("society")

SENTENCE = "New: may win from the third event; this is the second."
CUTS = next(cuts_object(preset.rules) for preset in PRESETS if preset.key == "three-two-one")


def season_of(events: int = 2, joined: date | None = date(2026, 2, 1)) -> list[Fixture]:
    """Four fixtures on the 18th of January to April; Nell joined after the first."""
    season = sealed_season(
        {"Nell": [30, 20, 40, 41], "Ada": [36, 30, 38, 39], "Bea": [34, 35, 20, 20]}
    )
    SeasonHandicaps.objects.create(
        season=season,
        number=1,
        valid_from=date(2026, 1, 1),
        rules=canonical({"basis": "with cuts", "newcomer_events": events, "cuts": CUTS}),
        at=AT,
        by=BY,
    )
    Player.objects.filter(name="Nell").update(joined_on=joined)
    return list(Fixture.objects.filter(season=season).order_by("starts_on"))


def counts(fixtures: list[Fixture]) -> list[list[int]]:
    return [list(newcomers_in(fixture).played.values()) for fixture in fixtures]


def test_events_count_from_the_day_of_joining() -> None:
    fixtures = season_of()
    # as a guest in January; the first two events as a member are February and March
    assert counts(fixtures) == [[], [0], [1], []]
    nell = Player.objects.get(name="Nell")
    assert newcomers_in(fixtures[2]).played == {nell.public_id: 1}


def test_who_joined_long_ago_or_plays_where_nothing_is_asked_is_not_new() -> None:
    assert counts(season_of(joined=None)) == [[], [], [], []]
    assert counts(season_of(events=0)) == [[], [], [], []]


def test_only_final_fixtures_with_a_returned_card_count() -> None:
    fixtures = season_of()
    Fixture.objects.filter(pk=fixtures[1].pk).update(state="void")
    assert counts(fixtures)[2:] == [[0], [1]]


def test_a_card_that_did_not_come_back_is_no_event() -> None:
    season = sealed_season({"Nell": [None, 40], "Ada": [36, 38]})
    SeasonHandicaps.objects.create(
        season=season, number=1, valid_from=date(2026, 1, 1),
        rules=canonical({"newcomer_events": 1}), at=AT, by=BY,
    )  # fmt: skip
    Player.objects.update(joined_on=date(2026, 1, 1))
    second = Fixture.objects.get(season=season, name="Fixture 2")
    assert newcomers_in(second).played == {Player.objects.get(name="Nell").public_id: 0}


def test_where_nothing_is_asked_one_query_says_so(django_assert_num_queries) -> None:
    season_of(events=0)
    fixtures = list(Fixture.objects.select_related("season"))
    with django_assert_num_queries(1):
        assert not any(one.played for one in newcomers_in_all(fixtures).values())


def test_reads_do_not_grow_with_the_field() -> None:
    fixtures = season_of()
    with CaptureQueriesContext(connection) as few:
        newcomers_in(fixtures[1])
    Player.objects.update(joined_on=date(2026, 2, 1))
    with CaptureQueriesContext(connection) as many:
        newcomers_in(fixtures[3])
    assert len(many) == len(few) <= 5


def test_the_result_says_who_is_new_and_who_wins_and_keeps_the_places(member: Client) -> None:
    third = season_of()[2]
    page = member.get(reverse("results:show", args=[third.public_id])).content.decode()
    assert SENTENCE in page
    assert "Nell is new and may not win yet. The winner is Ada, the first who may win." in page
    now = standing(competition_of(third))
    first = next(row for row in now.answer["standings"] if row["place"] == 1)
    assert now.name_of(first["player"]) == "Nell"
    paper = result_html(now, AT)
    assert SENTENCE in paper
    assert "The winner is Ada" in paper


def test_what_is_read_out_and_the_season_page_name_the_first_who_may_win() -> None:
    fixtures = season_of()
    told = prize_giving(fixtures[2]).lists[-1]
    assert "The winner is Ada" in told.winner
    assert [row.new for row in told.rows if row.name == "Nell"] == [SENTENCE]
    lines = final_lines(fixtures, Who(account="a"))
    assert lines[fixtures[2].pk].won_words == "Ada won"
    assert lines[fixtures[3].pk].won_words == "Nell won"  # the third event


def test_nobody_new_is_cut_as_winner() -> None:
    third, fourth = season_of()[2:]
    for fixture, winner in ((third, "Ada"), (fourth, "Nell")):
        for player in Player.objects.all():
            handicap(player)
        version = competition_of(fixture).versions.get()
        told = {one.player: one for one in cuts_to_propose(fixture, version).told}
        best = Player.objects.get(name=winner).public_id
        assert told[best].because.startswith("first with")
        if winner == "Ada":
            nell = Player.objects.get(name="Nell").public_id
            assert nell not in told or told[nell].new >= told[nell].old
