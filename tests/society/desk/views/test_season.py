"""The season page: what is next, what the reader must do, and a new society's first steps."""

import re
from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from society.entries.actions.entering import enter
from society.entries.models import Entry
from society.fixtures.models import Fixture
from society.merit.actions import seal_table, start_table
from society.merit.rules.values import MeritRules, PointsFrom
from society.web.who import Who
from tests.conftest import signed_in
from tests.factories.entries import entered, handicap
from tests.factories.fixtures import SeasonFactory, saturday
from tests.factories.members import AccountFactory, PlayerFactory
from tests.factories.results import AT, OFFICER
from tests.factories.results import sealed_season as played_season

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


@pytest.fixture
def season():
    return SeasonFactory(name="2026")


def text(response):
    return " ".join(response.content.decode().split())


class TestSeason:
    def test_one_tap_enters(self, member, player, season):
        fixture = saturday(season=season, name="Lantern Plate", places=28)
        page = text(member.get("/"))
        assert "You have not entered yet" in page
        assert f'action="/fixtures/{fixture.public_id}/enter/"' in page
        assert page.count("btn-act") == 1
        answer = member.post(
            f"/fixtures/{fixture.public_id}/enter/",
            {"player": player.public_id, "from": "season"},
            follow=True,
        )
        assert answer.redirect_chain == [("/", 302)]
        assert "You are in for Lantern Plate." in text(answer)
        assert Entry.objects.get().player == player

    def test_says_who_is_in_and_offers_the_way_out(self, member, player, season, machine, at):
        fixture = saturday(season=season)
        entry = enter(fixture=fixture, player=player, by=machine, at=at)
        page = text(member.get("/"))
        assert "You are in" in page
        assert f"/fixtures/{fixture.public_id}/withdraw/?entry={entry.public_id}" in page
        assert "btn-act" not in page

    def test_an_account_with_several_players_gets_a_button_for_each(self, society, season):
        players = [PlayerFactory(name="Nan Underbough"), PlayerFactory(name="Piet Underbough")]
        saturday(season=season)
        page = text(signed_in(AccountFactory(players=players)).get("/"))
        assert "Enter Nan" in page
        assert "Enter Piet" in page
        assert page.count('class="btn btn-act"') == 1

    def test_a_full_fixture_says_that_one_would_wait(self, member, season):
        entered(saturday(season=season, places=1))
        assert "you would wait in order" in text(member.get("/"))

    def test_not_open_yet_says_when(self, member, season, at):
        saturday(season=season, state="open", entries_open_at=at + timedelta(days=1))
        page = text(member.get("/"))
        assert "Entries are not open yet" in page
        assert "They open on Thursday 16 April at 11:00" in page
        assert "/enter/" not in page

    def test_the_deadline_is_named_with_the_days_left(self, member, season, at):
        saturday(season=season, entries_close_at=at + timedelta(days=2))
        page = text(member.get("/"))
        assert "Entries close on Friday 17 April at 11:00, in two days." in page
        assert "Enter by Fri 17" in page

    def test_past_the_deadline_nothing_is_offered(self, member, season, at):
        saturday(season=season, entries_close_at=at)
        page = text(member.get("/"))
        assert "Entries are closed" in page
        assert "/enter/" not in page

    def test_lists_every_fixture_with_its_state(self, member, season):
        saturday(season=season, name="First Card", starts_on=date(2026, 3, 14), state="final")
        saturday(season=season, name="Called Off", starts_on=date(2026, 4, 1), state="cancelled")
        saturday(season=season, name="Maypole Cup", starts_on=date(2026, 5, 9), state="planned")
        page = text(member.get("/"))
        assert [page.index(name) > 0 for name in ("First Card", "Called Off", "Maypole Cup")]
        for words in ("Final", "Cancelled", "Planned"):
            assert words in page
        assert page.count("is-final") == 1

    def test_an_own_handicap_is_shown_by_the_rules_of_the_fixture(self, member, player, season):
        handicap(player, "-1.2", source="society")
        saturday(season=season, handicap_source="association")
        assert "your handicap" not in text(member.get("/"))
        Fixture.objects.update(handicap_source="society")
        assert "your handicap</a></dt><dd>+1.2" in text(member.get("/"))

    def test_another_season_has_its_own_address(self, member, season):
        old = SeasonFactory(name="2025", starts_on=date(2025, 1, 1), ends_on=date(2025, 12, 31))
        saturday(season=old, name="Old Plate", starts_on=date(2025, 5, 1), state="final")
        front = text(member.get("/"))
        assert "Old Plate" not in front
        assert f"/season/{old.public_id}/" in front
        assert "Old Plate" in text(member.get(f"/season/{old.public_id}/"))

    def test_a_season_that_is_not_there(self, member):
        assert member.get("/season/nosuchthing22/").status_code == 404

    def test_signed_out_is_led_to_the_sign_in(self, stranger, season):
        for address in ("/", f"/season/{season.public_id}/"):
            assert stranger.get(address).status_code == 302

    def test_wrong_method(self, member):
        assert member.post("/").status_code == 405

    def test_the_number_of_queries_does_not_grow(self, member, player, season, machine, at):
        counts = []
        for wanted in (1, 3):
            while Fixture.objects.count() < wanted:
                fixture = saturday(
                    season=season, starts_on=date(2026, 5, Fixture.objects.count() + 1)
                )
                enter(fixture=fixture, player=player, by=machine, at=at)
                entered(fixture)
            member.get("/")
            with CaptureQueriesContext(connection) as queries:
                member.get("/")
            counts.append(len(queries))
        assert counts[0] == counts[1]


class TestEmptySeason:
    """A season to come, of a society that has played before."""

    @pytest.fixture
    def new(self, season) -> str:
        saturday(season=season, name="Old Plate")
        PlayerFactory()
        made = SeasonFactory(name="2027", starts_on=date(2027, 1, 1), ends_on=date(2027, 12, 31))
        return f"/season/{made.public_id}/"

    def test_an_organiser_finds_the_ways_to_fill_it(self, secretary, new):
        page = text(secretary.get(new))
        assert "No fixtures yet in 2027" in page
        for way in (f"{new}calendar/", f"{new}calendar/copy/"):
            assert f'href="{way}"' in page
        assert "Copy 2026" in page
        assert "Four things to begin with" not in page

    def test_a_member_is_told_to_wait_and_finds_the_others(self, member, new):
        page = text(member.get(new))
        assert "Fixtures appear here once the organiser has planned them." in page
        assert "Other seasons: " in page
        assert "/calendar/" not in page


class TestNewSociety:
    def test_an_organiser_is_told_what_to_do_first(self, secretary):
        page = text(secretary.get("/"))
        assert page.index("Add a course") < page.index("Add the players")
        assert page.index("Start a season") < page.index("Plan a fixture")
        assert page.count("To do") == 4

    def test_what_is_done_is_ticked_off(self, secretary, season, player):
        page = text(secretary.get("/"))
        assert page.count("To do") == 2
        assert f"/seasons/{season.public_id}/fixtures/new/" in page

    def test_a_member_is_told_to_wait(self, member):
        page = text(member.get("/"))
        assert "No fixtures yet" in page
        assert "Add a course" not in page


def test_an_outsider_may_look_but_has_nothing_to_enter(outsider, season):
    fixture = saturday(season=season)
    assert "/enter/" not in text(outsider.get("/"))
    assert outsider.get(f"/fixtures/{fixture.public_id}/").status_code == 404
    assert Who(account="x").players == ()


class TestSeasonThatIsOver:
    def test_it_has_its_winners_on_the_board_once_it_is_sealed(self, member, player):
        season = played_season({"Ada": [36, 30], "Bea": [34, 38], player.name: [20, 21]})
        rules = MeritRules(points=PointsFrom.TOTAL)
        table = start_table(season=season, name="Order of merit", rules=rules, by=OFFICER, at=AT)
        page = text(member.get(reverse("desk:season_of", args=[season.public_id])))
        assert "Nothing to come" in page
        assert "Order of merit, final" not in page
        seal_table(table=table, by=OFFICER, at=AT)
        page = text(member.get(reverse("desk:season_of", args=[season.public_id])))
        assert "Nothing to come" not in page
        board = re.sub(r"<[^>]+>", "", page[page.index("Order of merit, final") :])
        places = [board.index(words) for words in ("Bea", "72", "Ada", "66", "version 1")]
        assert places == sorted(places)
