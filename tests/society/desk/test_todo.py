"""What a member must do and what waits for the officers: sentences, days, links, overdue first."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from society.desk.queries.mine import own_players
from society.desk.queries.needs import needs_of
from society.desk.queries.todo import running_fixtures, todo_of
from society.entries.models import EntryStep, Start
from society.fixtures.models import FeeLine, Fixture
from society.members.models import Player
from society.web.who import Who
from tests.conftest import signed_in
from tests.factories.cards import FIVES, FOURS, start_of
from tests.factories.entries import BY, entered
from tests.factories.fixtures import SeasonFactory, saturday
from tests.factories.members import AccountFactory, OfficeFactory, PlayerFactory
from tests.factories.results import paper

pytestmark = pytest.mark.usefixtures("society")
AT = datetime(2026, 4, 18, 16, 0, tzinfo=UTC)  # the evening of the factory's Saturday
TODAY = date(2026, 4, 18)


@pytest.fixture
def season():
    return SeasonFactory(name="2026")


def who_is(*players: Player, roles: tuple[str, ...] = ()) -> Who:
    ids = tuple(player.public_id for player in players)
    return Who(account="a", players=ids, roles=frozenset(roles))


def todo(who: Who, at: datetime = AT):
    return todo_of(running_fixtures(), own_players(who), who, at)


def titles(who: Who, at: datetime = AT) -> list[str]:
    return [one.title for one in todo(who, at)]


def needs(*roles: str, at: datetime = AT):
    return needs_of(running_fixtures(), who_is(roles=roles), at)


def need_titles(*roles: str, at: datetime = AT) -> list[str]:
    return [one.title.replace("\xa0", " ") for one in needs(*roles, at=at)]


def playing(season, *names: str, **values: object) -> list[Start]:
    """A fixture with handicaps taken; the first two mark each other."""
    fixture = saturday(season=season, state="closed", name="Lantern Plate", **values)
    fixture.competitions.update(frozen_at=AT - timedelta(days=1))
    starts = [start_of(fixture.rounds.get(), entered(fixture, name=name)) for name in names]
    if len(starts) > 1:
        for one, other in ((starts[0], starts[1]), (starts[1], starts[0])):
            one.marker = other.entry
            one.save()
    return starts


class TestMember:
    def test_nothing_for_whoever_plays_for_nobody(self, season):
        saturday(season=season)
        assert todo(who_is()) == []

    def test_what_closes_within_a_fortnight_is_to_be_entered(self, season):
        player = PlayerFactory(name="Ivo Marrable")
        for days, name in ((30, "Far Cup"), (3, "Near Cup")):
            saturday(
                season=season, name=name, starts_on=TODAY + timedelta(days=days + 6),
                entries_close_at=AT + timedelta(days=days),
            )  # fmt: skip
        saturday(season=season, name="Past Cup", starts_on=TODAY, entries_close_at=AT)
        saturday(season=season, name="Planned Cup", state="planned",
                 entries_close_at=AT + timedelta(days=1))  # fmt: skip
        found = todo(who_is(player))
        assert [one.title for one in found] == ["Enter Near Cup, Monday 27 April"]
        assert found[0].words.endswith("Entries close on Tuesday 21 April at 16:00, in three days.")
        near = Fixture.objects.get(name="Near Cup")
        assert found[0].url == f"/fixtures/{near.public_id}/#enter"
        assert todo_of(running_fixtures(), [player], who_is(player), AT, shown=near.pk) == []

    def test_an_offer_names_its_hour_and_lapses(self, season):
        fixture = saturday(season=season, name="Plate", starts_on=TODAY + timedelta(days=7))
        entry = entered(fixture, step="waiting", name="Ivo Marrable")
        ends = AT + timedelta(days=1)
        EntryStep.objects.create(entry=entry, kind="offered", until=ends, at=AT, by=BY)
        found = todo(who_is(entry.player))
        assert [one.title for one in found] == ["A place in Plate is free for you to take"]
        assert "until Sunday 19 April at 16:00" in found[0].words
        assert (found[0].day, found[0].at) == (TODAY + timedelta(days=1), ends)
        assert titles(who_is(entry.player), ends) == []

    def test_an_offer_to_ones_guest_is_ones_own_to_take(self, season):
        host = PlayerFactory(name="Ivo Marrable")
        entry = entered(saturday(season=season, name="Plate"), step="waiting", name="Gus Guest",
                        kind="guest")  # fmt: skip
        entry.host = host
        entry.save()
        EntryStep.objects.create(
            entry=entry, kind="offered", until=AT + timedelta(days=1), at=AT, by=BY
        )
        assert titles(who_is(host)) == ["A place for Gus in Plate is free for you to take"]

    def test_a_card_is_to_be_handed_in_on_the_day_and_missing_after_it(self, season):
        start, _ = playing(season, "Ivo Marrable", "Hester Quill")
        ivo = who_is(start.entry.player)
        today = todo(ivo)[0]
        assert (today.title, today.overdue) == ("Hand in your card after play", False)
        assert today.url == f"/cards/{start.public_id}/"
        later = todo(ivo, AT + timedelta(days=2))[0]
        assert (later.title, later.overdue) == ("Your card for Lantern Plate is missing", True)
        assert titles(ivo, AT - timedelta(days=1)) == []

    def test_whoever_wrote_signs_and_so_does_the_marker(self, season):
        mine, hers = playing(season, "Ivo Marrable", "Hester Quill")
        paper(hers, FOURS, record="player")
        assert "Sign Hester’s card" in titles(who_is(mine.entry.player))
        assert titles(who_is(hers.entry.player)) == ["Sign your card"]

    def test_a_difference_is_told_to_both(self, season):
        mine, hers = playing(season, "Ivo Marrable", "Hester Quill")
        paper(hers, FOURS, record="player")
        paper(hers, FIVES, record="marker")
        assert "Settle Hester’s card" in titles(who_is(mine.entry.player))
        assert titles(who_is(hers.entry.player)) == ["Settle your card"]

    def test_a_typed_card_asks_nothing_of_its_player(self, season):
        mine, hers = playing(season, "Ivo Marrable", "Hester Quill")
        paper(hers, FOURS)
        assert titles(who_is(hers.entry.player)) == []

    def test_who_withdrew_owes_no_card(self, season):
        mine, _ = playing(season, "Ivo Marrable", "Hester Quill")
        EntryStep.objects.create(entry=mine.entry, kind="withdrawn", at=AT, by=BY)
        assert titles(who_is(mine.entry.player)) == []

    def test_while_the_result_is_checked_no_card_can_be_handed_in(self, season):
        start, _ = playing(season, "Ivo Marrable", "Hester Quill")
        Fixture.objects.update(state="reviewing")
        assert titles(who_is(start.entry.player)) == []

    def test_a_fresh_result_is_news_and_no_task(self, season):
        fixture = saturday(season=season, name="Plate", state="final")
        entry = entered(fixture)
        found = todo(who_is(entry.player))
        assert [(one.title, one.act) for one in found] == [("The result of Plate is out", False)]
        assert titles(who_is(entry.player), AT + timedelta(days=11)) == []
        assert titles(who_is(PlayerFactory())) == []

    def test_what_is_overdue_comes_first(self, season):
        start, _ = playing(season, "Ivo Marrable", "Hester Quill")
        saturday(season=season, name="Cup", starts_on=date(2026, 5, 2),
                 entries_close_at=AT + timedelta(days=2))  # fmt: skip
        found = todo(who_is(start.entry.player), AT + timedelta(days=1))
        assert [one.overdue for one in found] == [True, False]

    def test_of_several_players_each_is_named(self, season):
        nan, piet = PlayerFactory(name="Nan Under"), PlayerFactory(name="Piet Under")
        saturday(season=season, name="Cup", starts_on=date(2026, 5, 2),
                 entries_close_at=AT + timedelta(days=2))  # fmt: skip
        assert "Nan and Piet: not in yet." in todo(who_is(nan, piet))[0].words


class TestOfficers:
    def test_members_have_no_office(self, season):
        saturday(season=season)
        assert needs() == []

    def test_entries_to_open_and_to_close(self, season):
        saturday(season=season, name="New", state="planned", starts_on=TODAY + timedelta(days=20))
        saturday(season=season, name="Later", state="planned", starts_on=TODAY + timedelta(days=90))
        saturday(season=season, name="By the clock", state="planned",
                 starts_on=TODAY + timedelta(days=20), entries_open_at=AT)  # fmt: skip
        saturday(season=season, name="Over time", starts_on=TODAY + timedelta(days=4),
                 entries_close_at=AT - timedelta(hours=1))  # fmt: skip
        assert need_titles("captain") == ["Open entries for New", "Close entries for Over time"]
        assert need_titles("scorer") == []

    def test_handicaps_then_the_draw(self, season):
        fixture = saturday(season=season, name="Plate", state="closed",
                           starts_on=TODAY + timedelta(days=5))  # fmt: skip
        entered(fixture)
        found = needs("secretary")
        assert [(one.title, one.day) for one in found] == [
            ("Draw the groups for Plate", TODAY + timedelta(days=3)),
            ("Take handicaps for Plate", TODAY + timedelta(days=4)),
        ]
        assert not any(one.overdue for one in found)

    def test_who_has_no_handicap_is_named_to_the_handicap_secretary(self, season):
        fixture = saturday(season=season, name="Plate", starts_on=TODAY + timedelta(days=5))
        entered(fixture)
        entered(fixture, index=None, name="Noah None")
        found = needs("handicap_secretary")
        assert [one.title.replace("\xa0", " ") for one in found] == [
            "1 player without a handicap in Plate"
        ]
        assert found[0].words == "No index in force on the day: Noah None."
        fixture.competitions.update(terms='{"basis":"gross","format":"stableford"}')
        assert needs("handicap_secretary") == []

    def test_only_the_kind_and_source_that_is_asked_for_counts(self, season):
        fixture = saturday(season=season, name="Plate", handicap_source="society")
        entered(fixture)  # an index of the association
        assert need_titles("handicap_secretary") == ["1 player without a handicap in Plate"]

    def test_cards_on_the_day_and_the_result_after_it(self, season):
        first, second = playing(season, "Ivo Marrable", "Hester Quill")
        assert need_titles("scorer") == ["2 cards of Lantern Plate to come in"]
        paper(first, FOURS)
        paper(second, FOURS, record="player")
        assert need_titles("scorer") == ["1 card of Lantern Plate to settle"]
        assert need_titles("captain") == ["1 card of Lantern Plate to settle"]
        later = needs("captain", at=AT + timedelta(days=1))
        assert {one.title for one in later if "final" in one.title} == {
            "Make the result of Lantern Plate final"
        }
        assert all(one.overdue for one in later)
        paper(second, FOURS)
        assert need_titles("captain") == ["Make the result of Lantern Plate final"]
        assert need_titles("scorer") == []

    def test_a_day_that_passed_without_anything(self, season):
        saturday(season=season, name="Plate", state="planned", starts_on=TODAY - timedelta(days=3))
        found = needs("secretary")
        assert [(one.title, one.overdue) for one in found] == [("Say who played in Plate", True)]

    def test_the_treasurer_reads_what_a_day_brings(self, season):
        fixture = saturday(season=season, name="Plate", state="closed",
                           starts_on=TODAY + timedelta(days=5))  # fmt: skip
        FeeLine.objects.create(fixture=fixture, name="Golf", amount=3000)
        FeeLine.objects.create(fixture=fixture, name="Green fee", amount=1250, who="guests")
        entered(fixture)
        entered(fixture)
        entered(fixture, kind="guest")
        found = needs("treasurer")
        assert [(one.title, one.act) for one in found] == [
            ("£102.50 to collect for Plate", False)  # 3 × 30.00 + 12.50
        ]
        assert found[0].words.replace("\xa0", " ") == "2 members and 1 guest."

    def test_the_number_of_queries_does_not_grow(self, season):
        counts = []
        for wanted in (1, 3):
            while Fixture.objects.count() < 2 * wanted:
                first, _ = playing(season, "Ivo Marrable", "Hester Quill")
                paper(first, FOURS)
                entered(saturday(season=season, state="closed", starts_on=date(2026, 4, 25)))
            who = who_is(*Player.objects.filter(name="Ivo Marrable"), roles=("secretary",))
            with CaptureQueriesContext(connection) as queries:
                running = running_fixtures()
                todo_of(running, own_players(who), who, AT)
                needs_of(running, who, AT)
            counts.append(len(queries))
        assert counts[0] == counts[1]
        assert counts[0] < 40


class TestPage:
    @pytest.fixture(autouse=True)
    def _clock(self):
        with time_machine.travel(AT, tick=False):
            yield

    def test_an_officer_who_plays_sees_both(self, season):
        start, _ = playing(season, "Ivo Marrable", "Hester Quill")
        account = AccountFactory(players=[start.entry.player])
        OfficeFactory(account=account, role="captain")
        page = " ".join(signed_in(account).get("/").content.decode().split())
        assert page.index("For you to do") < page.index("What needs doing")
        assert "Hand in your card after play" in page
        assert f'href="/cards/fixture/{start.round.fixture.public_id}/"' in page

    def test_links_lead_where_the_reader_may_go(self, season):
        first, second = playing(season, "Ivo Marrable", "Hester Quill")
        paper(second, FOURS, record="player")
        entered(saturday(season=season, state="closed", starts_on=date(2026, 4, 25)), index=None)
        saturday(season=season, state="planned", starts_on=date(2026, 5, 3))
        for role in ("secretary", "captain", "treasurer", "handicap_secretary", "scorer"):
            account = AccountFactory()
            OfficeFactory(account=account, role=role)
            client = signed_in(account)
            for one in needs(role):
                assert client.get(one.url).status_code == 200, (role, one.title)
        member = signed_in(AccountFactory(players=[first.entry.player]))
        for one in todo(who_is(first.entry.player)):
            assert member.get(one.url).status_code == 200, one.title

    def test_an_earlier_season_is_only_looked_at(self, season):
        start, _ = playing(season, "Ivo Marrable", "Hester Quill")
        account = AccountFactory(players=[start.entry.player])
        page = signed_in(account).get(f"/season/{season.public_id}/").content.decode()
        assert "For you to do" not in page
