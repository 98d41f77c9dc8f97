"""The officers' pages: steps with what is missing, who did what, and the list to run."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from society.audit.actions import deed
from society.desk.queries.log import who_did_what
from society.desk.queries.steps import steps_of, steps_summary
from society.entries.actions import entering
from society.fixtures.actions import planning, states
from society.fixtures.bridge import plan_of
from society.fixtures.models import Fixture, RoundTee
from society.web.who import Who
from tests.factories.cards import ready
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, PlayerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


def text(response):
    return " ".join(response.content.decode().split())


def step(fixture, title, who, at):
    return next(one for one in steps_of(fixture, who, at) if one.title == title)


class TestSetUp:
    def test_says_what_is_played_and_links_to_the_form(self, machine, at):
        fixture = saturday(places=28)
        found = step(fixture, "Set up", machine, at)
        tee = fixture.rounds.get().tees.get().tee
        assert found.desc == f"Stableford, {tee.name} tee at {tee.course.name}, 95 %"
        assert (found.number, found.state, found.count, found.unit) == (1, "ink", 28, "places")
        assert found.url == f"/fixtures/{fixture.public_id}/change/"

    def test_a_category_without_a_tee_is_missing(self, machine, at):
        fixture = saturday()
        entered(fixture, category="women")
        found = step(fixture, "Set up", machine, at)
        assert (found.state, found.state_words) == ("act", "Choose a tee")
        assert found.desc == "No tee for women yet"
        tee = fixture.rounds.get().tees.get().tee
        RoundTee.objects.create(round=fixture.rounds.get(), category="women", tee=tee)
        assert step(fixture, "Set up", machine, at).state == "ink"

    def test_a_scorer_reads_it_without_the_link(self, at):
        scorer = Who(account="s", roles=frozenset({"scorer"}))
        assert step(saturday(), "Set up", scorer, at).url is None


class TestEntries:
    @pytest.mark.parametrize(
        ("state", "inside", "expected"),
        [
            ("planned", 0, ("act", "Open entries")),
            ("planned", 1, ("pencil", "Not open to members")),
            ("open", 0, ("pencil", "Open")),
            ("closed", 0, ("act", "Nobody is in")),
            ("closed", 1, ("ink", "Closed")),
            ("drawn", 1, ("ink", "Closed")),
            ("cancelled", 1, ("ink", "Kept")),
        ],
    )
    def test_state(self, machine, at, state, inside, expected):
        fixture = saturday(state=state)
        for _ in range(inside):
            entered(fixture)
        found = step(fixture, "Entries", machine, at)
        assert (found.state, found.state_words) == expected

    def test_past_the_deadline_they_want_closing(self, machine, at):
        fixture = saturday(state="open", entries_close_at=at)
        assert step(fixture, "Entries", machine, at).state_words == "Close entries"
        earlier = step(fixture, "Entries", machine, at - timedelta(seconds=1))
        assert earlier.state_words == "Open"

    def test_counts_members_guests_waiting_and_out(self, machine, at):
        fixture = saturday(places=3)
        entered(fixture)
        entered(fixture)
        entered(fixture, kind="guest")
        entered(fixture, step="waiting")
        entered(fixture, step="withdrawn")
        found = step(fixture, "Entries", machine, at)
        assert found.desc.replace("\u00a0", " ") == "2 members, 1 guest, 1 waiting, 1 out again"
        assert (found.count, found.unit) == (3, "of 3 places")


def test_the_summary_adds_up(machine, at):
    steps = steps_of(saturday(), machine, at)
    numbers = [int(word) for word in steps_summary(steps).split() if word.isdigit()]
    assert sum(numbers) == len(steps)
    assert [one.number for one in steps] == list(range(1, len(steps) + 1))


class TestStepsPage:
    def test_shows_steps_and_deeds(self, secretary):
        fixture = saturday(state="planned")
        page = text(secretary.get(f"/fixtures/{fixture.public_id}/steps/"))
        assert page.index("Set up</a>") < page.rindex("Entries</a>")
        assert f'action="/fixtures/{fixture.public_id}/open/"' in page

    def test_a_scorer_sees_no_deeds_of_organisers(self, scorer):
        fixture = saturday(state="planned")
        page = text(scorer.get(f"/fixtures/{fixture.public_id}/steps/"))
        assert "/open/" not in page
        assert "Who did what" in page

    @pytest.mark.parametrize("what", ["steps", "log"])
    def test_for_officers_only(self, member, what):
        assert member.get(f"/fixtures/{saturday().public_id}/{what}/").status_code == 403

    def test_not_there(self, secretary):
        assert secretary.get("/fixtures/nosuchthing22/steps/").status_code == 404

    def test_the_number_of_queries_does_not_grow(self, secretary, machine, at):
        fixture, counts = saturday(), []
        for wanted in (1, 3):
            while fixture.entries.count() < wanted:
                player = PlayerFactory()
                entering.enter(fixture=fixture, player=player, by=machine, at=at)
            with CaptureQueriesContext(connection) as queries:
                secretary.get(f"/fixtures/{fixture.public_id}/steps/")
            counts.append(len(queries))
        assert counts[0] == counts[1]


class TestWhoDidWhat:
    def test_reads_the_audit_in_plain_sentences(self, at):
        account = AccountFactory(name="Wilf Acornby")
        wilf = Who(account=account.public_id, roles=frozenset({"secretary"}), name="Wilf Acornby")
        fixture = saturday(state="planned", places=1)
        states.open_entries(fixture=fixture, by=wilf, at=at)
        first = entering.enter(fixture=fixture, player=PlayerFactory(name="A One"), by=wilf, at=at)
        entering.enter(fixture=fixture, player=PlayerFactory(name="B Two"), by=wilf, at=at)
        entering.withdraw(entry=first, words="A cold", by=wilf, at=at)
        other = Who(account="another", roles=frozenset({"captain"}))
        said = who_did_what(fixture, other)
        assert [line.words for line in said] == [
            "Wilf Acornby withdrew A One; B Two got the place.",
            "Wilf Acornby entered B Two.",
            "Wilf Acornby entered A One.",
            "Wilf Acornby opened entries.",
        ]
        assert said[0].reason == "A cold"
        assert who_did_what(fixture, wilf)[-1].words == "You opened entries."

    def test_a_member_entering_reads_as_that(self, member, player):
        fixture = saturday()
        member.post(f"/fixtures/{fixture.public_id}/enter/")
        other = Who(account="another", roles=frozenset({"captain"}))
        assert [line.words for line in who_did_what(fixture, other)] == ["Ivo Marrable entered."]

    def test_a_command_is_named(self, machine, at):
        fixture = saturday(state="open")
        entering.close_entries(fixture=fixture, by=machine, at=at)
        assert who_did_what(fixture, machine)[0].words == "The program (test) closed entries."

    def test_a_card_names_its_player_and_the_one_of_a_couple_who_wrote(self, at):
        fixture = saturday()
        start, other = ready(fixture)
        one = start.entry.player
        couple = Who(
            account=one.accounts.get().public_id, players=(one.public_id,), player=one.public_id
        )
        for what, about in (
            ("player figures written", start),
            ("certified as marker", other),
        ):
            with deed(by=couple, at=at, what=what, about=f"card:{about.public_id}"):
                pass
        reader = Who(account="another", roles=frozenset({"captain"}))
        assert [line.words for line in who_did_what(fixture, reader)] == [
            f"{one.name} certified {other.entry.player.name}’s card as marker.",
            f"{one.name} wrote their card.",
        ]

    def test_a_change_says_what_was_changed_and_members_read_why_the_day_moved(
        self, member, machine, at
    ):
        fixture = saturday()
        plan = replace(plan_of(fixture), day=date(2026, 4, 25), places=12)
        planning.change_fixture(
            fixture=fixture, plan=plan, edited=fixture.edited, words="Frost.", by=machine, at=at
        )
        (said,) = who_did_what(fixture, machine)
        assert said.words == (
            "The program (test) moved the day to Saturday 25 April and changed the number of "
            "places."
        )
        assert said.reason == "Frost."
        page = text(member.get(f"/fixtures/{fixture.public_id}/"))
        assert "Moved from Saturday 18 April" in page
        assert "Frost." in page

    def test_a_reason_written_beside_several_rows_is_read_once(self, machine, at):
        fixture = saturday()
        about = f"fixture:{fixture.public_id}"
        with deed(by=machine, at=at, what="result made final", about=about) as d:
            d.words("No card.")
            d.words("No card.")
            d.words("Not signed.")
        (said,) = who_did_what(fixture, machine)
        assert said.reason == "No card.; Not signed."

    def test_other_fixtures_stay_out(self, machine, at):
        entering.close_entries(fixture=saturday(), by=machine, at=at)
        assert who_did_what(saturday(), machine) == []

    def test_the_page_says_how_many_more(self, secretary, machine, at):
        fixture = saturday()
        for _ in range(10):
            entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
        page = text(secretary.get(f"/fixtures/{fixture.public_id}/steps/"))
        assert "Everything, 2 more" in page
        log = text(secretary.get(f"/fixtures/{fixture.public_id}/log/"))
        assert log.count("entered Player") == 10


class TestOrganise:
    @pytest.mark.parametrize(
        ("values", "todo"),
        [
            ({"state": "planned"}, "Open entries"),
            ({"state": "open"}, ""),
            ({"state": "closed"}, "Take handicaps"),
            ({"state": "open", "starts_on": date(2026, 4, 10)}, "Say who played"),
            ({"state": "open", "starts_on": date(2026, 4, 15)}, "Take handicaps"),
        ],
    )
    def test_says_what_each_needs(self, secretary, values, todo):
        saturday(name="Lantern Plate", **values)
        page = text(secretary.get("/organise/"))
        assert "Lantern Plate" in page
        assert ("tag-act" in page) == bool(todo)
        assert todo in page

    def test_what_is_over_stands_apart(self, scorer):
        saturday(name="Old Plate", state="final")
        page = text(scorer.get("/organise/"))
        assert "Nothing to run" in page
        assert page.index("Over</h2>") < page.index("Old Plate")

    def test_for_officers_only(self, member):
        assert member.get("/organise/").status_code == 403

    def test_the_number_of_queries_does_not_grow(self, secretary):
        counts = []
        for wanted in (1, 3):
            while Fixture.objects.count() < wanted:
                entered(saturday())
            with CaptureQueriesContext(connection) as queries:
                secretary.get("/organise/")
            counts.append(len(queries))
        assert counts[0] == counts[1]
