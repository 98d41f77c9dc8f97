"""Offers, questions on entering, late withdrawals and walk-ups, as pages."""

from datetime import timedelta

import pytest
import time_machine

from society.entries.actions import entering
from society.entries.models import Entry, EntryStep
from society.entries.queries import in_the_field, waiting
from society.fixtures.models import Fixture
from tests.conftest import signed_in
from tests.factories.entries import BY, entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, PlayerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


def text(response):
    return " ".join(response.content.decode().split())


def address(fixture, what=""):
    return f"/fixtures/{fixture.public_id}/{what}"


def own_entry(fixture, player, at, step="entered", until=None):
    entry = Entry.objects.create(
        fixture=fixture, player=player, as_member=True, category="men", place_at=at
    )
    EntryStep.objects.create(entry=entry, kind=step, until=until, at=at, by=BY)
    return entry


class TestOffer:
    @pytest.fixture
    def entry(self, player, at):
        fixture = saturday(name="Lantern Plate", places=1)
        return own_entry(fixture, player, at, "offered", at + timedelta(hours=8))

    def test_two_buttons_on_the_member_s_pages(self, member, entry):
        for where in ("/", address(entry.fixture)):
            page = text(member.get(where))
            assert "A place is offered to you." in page
            assert 'until <span class="num">Wed 15 Apr, 19:00</span>' in page
            assert page.count('name="answer" value="take"') == 1
            assert page.count('name="answer" value="decline"') == 1

    def test_taken(self, member, entry):
        answer = member.post(address(entry.fixture, "offer/"), {"answer": "take"}, follow=True)
        assert "You are in for Lantern Plate." in text(answer)
        assert in_the_field(entry.fixture).get() == entry

    def test_declined(self, member, entry):
        answer = member.post(address(entry.fixture, "offer/"), {"answer": "decline"}, follow=True)
        assert "The place in Lantern Plate is declined." in text(answer)
        assert not waiting(entry.fixture).exists()

    def test_too_late_is_409_with_the_hour(self, member, entry, at):
        with time_machine.travel(at + timedelta(hours=8), tick=False):
            answer = member.post(address(entry.fixture, "offer/"), {"answer": "take"})
        assert answer.status_code == 409
        assert "The offer stood until Wed 15 Apr, 19:00." in text(answer)

    @pytest.mark.parametrize("answer", ["", "perhaps"])
    def test_no_answer_is_409(self, member, entry, answer):
        given = member.post(address(entry.fixture, "offer/"), {"answer": answer})
        assert given.status_code == 409
        assert EntryStep.objects.count() == 1

    def test_the_officer_sees_the_hour_and_answers(self, secretary, entry):
        page = text(secretary.get(address(entry.fixture, "entries/")))
        assert 'Place offered</span> until <span class="num">Wed 15 Apr, 19:00' in page
        answer = secretary.post(
            address(entry.fixture, "offer/"), {"answer": "take", "entry": entry.public_id}
        )
        assert answer["Location"] == address(entry.fixture, "entries/")
        assert in_the_field(entry.fixture).get() == entry

    def test_another_member_finds_nothing(self, entry, society):
        other = PlayerFactory()
        client = signed_in(AccountFactory(players=[other]))
        answer = client.post(
            address(entry.fixture, "offer/"), {"answer": "take", "entry": entry.public_id}
        )
        assert answer.status_code == 404

    def test_a_host_answers_for_a_guest(self, member, player, at):
        fixture = saturday(places=1)
        guest = PlayerFactory(name="Gwen Guest", kind="guest")
        entry = own_entry(fixture, guest, at, "offered", at + timedelta(hours=8))
        Entry.objects.update(host=player, as_member=False)
        assert "A place is offered to Gwen Guest." in text(member.get(address(fixture)))
        member.post(address(fixture, "offer/"), {"answer": "take", "entry": entry.public_id})
        assert in_the_field(fixture).get() == entry


class TestRulesBeforeEntering:
    def test_places_and_withdrawing_are_read_before_entering(self, member, at):
        fixture = saturday(
            places=24,
            guest_places="behind",
            free_until=at + timedelta(days=1),
            late_words="The fee is still due.",
        )
        page = text(member.get(address(fixture)))
        assert "members come before guests" in page
        assert "Withdrawing is free until Thursday 16 April at 11:00." in page
        assert "After that: The fee is still due." in page
        assert "After that: The fee is still due." in text(member.get("/"))

    def test_a_full_fixture_says_that_a_guest_makes_room(self, member, at, machine):
        fixture = saturday(places=1, guest_places="behind")
        entering.enter(
            fixture=fixture,
            player=PlayerFactory(kind="guest"),
            host=PlayerFactory(),
            by=machine,
            at=at,
        )
        page = text(member.get(address(fixture)))
        assert "a guest makes room for you" in page
        assert "Wait for a place" not in page
        assert "You are in" in text(member.post(address(fixture, "enter/"), follow=True))

    def test_late_is_said_before_and_kept_after(self, member, player, at):
        fixture = saturday(free_until=at, late_words="The fee is still due.")
        entry = own_entry(fixture, player, at)
        page = text(member.get(address(fixture, f"withdraw/?entry={entry.public_id}")))
        assert "The time to withdraw freely is over." in page
        assert "The fee is still due." in page
        answer = member.post(address(fixture, "withdraw/"), {"entry": entry.public_id}, follow=True)
        assert "It is kept as a late withdrawal. The fee is still due." in text(answer)
        assert EntryStep.objects.order_by("-pk")[0].late

    def test_in_time_nothing_of_it_is_said(self, member, player, at):
        fixture = saturday(free_until=at + timedelta(minutes=1))
        entry = own_entry(fixture, player, at)
        assert "late" not in text(
            member.get(address(fixture, f"withdraw/?entry={entry.public_id}"))
        )


class TestAsk:
    @pytest.fixture
    def fixture(self):
        return saturday(
            name="Lantern Plate", asks="meal diet buggy partner time", meals="Soup\nPie"
        )

    def test_the_button_leads_to_the_questions(self, member, player, fixture):
        where = address(fixture, f"enter/ask/?player={player.public_id}")
        assert f'href="{where}"' in text(member.get(address(fixture)))
        page = text(member.get(where))
        assert "Only the organisers see this." in page
        assert '<input type="radio" name="meal" value="Soup"' in page

    def test_nothing_asked_is_one_press(self, member):
        fixture = saturday()
        assert f'action="{address(fixture, "enter/")}"' in text(member.get(address(fixture)))

    def test_answered_with_the_entry(self, member, player, fixture):
        other = PlayerFactory()
        answer = member.post(
            address(fixture, "enter/ask/"),
            {"meal": "Pie", "diet": "no nuts", "partner": other.public_id, "time_wish": "later"},
            follow=True,
        )
        assert "You are in for Lantern Plate." in text(answer)
        entry = Entry.objects.get()
        assert (entry.meal, entry.diet, entry.partner) == ("Pie", "no nuts", other)

    def test_what_is_wrong_stands_beside_its_field_and_nothing_is_kept(self, member, fixture):
        answer = member.post(
            address(fixture, "enter/ask/"),
            {"meal": "Caviar", "partner": "nobody", "diet": "x" * 201},
        )
        assert answer.status_code == 422
        assert sorted(answer.context["form"].errors) == ["diet", "meal", "partner"]
        assert not Entry.objects.exists()

    def test_an_older_page_enters_and_is_asked_then(self, member, fixture):
        answer = member.post(address(fixture, "enter/"))
        entry = Entry.objects.get()
        assert answer["Location"] == address(fixture, f"wishes/?entry={entry.public_id}")

    def test_closed_meanwhile_is_409(self, member, fixture):
        Fixture.objects.update(state="closed")
        assert member.post(address(fixture, "enter/ask/"), {"meal": "Pie"}).status_code == 409
        assert not Entry.objects.exists()

    @pytest.mark.parametrize(
        ("state", "words"),
        [("planned", "not open yet"), ("closed", "Entries are closed"), ("final", "is final")],
    )
    def test_nothing_is_asked_where_nobody_can_enter(self, member, fixture, state, words):
        Fixture.objects.update(state=state)
        answer = member.get(address(fixture, "enter/ask/"))
        assert answer.status_code == 409
        assert words in text(answer)

    def test_who_is_in_already_is_led_to_the_answers(self, member, player, fixture, at):
        entry = own_entry(fixture, player, at)
        answer = member.get(address(fixture, "enter/ask/"))
        assert answer["Location"] == address(fixture, f"wishes/?entry={entry.public_id}")

    def test_changed_until_closing(self, member, player, fixture, at):
        entry = own_entry(fixture, player, at)
        where = address(fixture, f"wishes/?entry={entry.public_id}")
        assert where in text(member.get(address(fixture)))
        data = {"entry": entry.public_id, "meal": "Soup", "time_wish": "earlier"}
        assert member.post(address(fixture, "wishes/"), data)["Location"] == address(fixture)
        assert Entry.objects.get().time_wish == "earlier"
        Fixture.objects.update(state="closed")
        answer = member.post(address(fixture, "wishes/"), data | {"meal": "Pie"})
        assert answer.status_code == 409
        assert "Ask the organiser" in text(answer)
        assert Entry.objects.get().meal == "Soup"

    def test_nobody_reads_another_s_diet(self, member, fixture):
        entry = entered(fixture)
        Entry.objects.update(diet="no nuts")
        assert member.get(address(fixture, f"wishes/?entry={entry.public_id}")).status_code == 404
        assert "no nuts" not in text(member.get(address(fixture)))

    def test_the_organiser_reads_and_counts(self, secretary, scorer, fixture):
        one, other = entered(fixture, name="Ida"), entered(fixture, name="Wilf")
        Entry.objects.filter(pk=one.pk).update(
            answered=True, meal="Pie", diet="no nuts", buggy=True, buggy_with=other.player
        )
        page = text(secretary.get(address(fixture, "entries/extras/")))
        assert "<dt>heads</dt><dd>2</dd>" in page
        assert "<dt>meal</dt><dd>1</dd>" in page
        assert "<dt>diet</dt><dd>1</dd>" in page
        assert "<dt>buggy</dt><dd>1</dd>" in page
        assert "Pie; diet: no nuts" in page
        assert "Buggy with Wilf" in page
        assert "<dt>not asked yet</dt><dd>1</dd>" in page
        assert scorer.get(address(fixture, "entries/extras/")).status_code == 403

    def test_nothing_asked_says_where_to_ask(self, secretary):
        page = text(secretary.get(address(saturday(), "entries/extras/")))
        assert "Nothing is asked on entering" in page


class TestWalkUp:
    def test_a_new_guest_on_one_form(self, secretary):
        fixture = saturday(state="closed")
        host = PlayerFactory()
        data = {
            "name": "Gwen Guest",
            "category": "women",
            "host": host.public_id,
            "handicap": "20.1",
        }
        answer = secretary.post(address(fixture, "entries/walk-up/"), data, follow=True)
        assert "Gwen Guest is in." in text(answer)
        assert Entry.objects.get().host == host

    @pytest.mark.parametrize(
        ("data", "field"),
        [
            ({}, "player"),
            ({"name": "Gwen Guest"}, "category"),
            ({"name": "Gwen Guest", "category": "men"}, "host"),
            ({"name": "Gwen Guest", "category": "men", "handicap": "many"}, "handicap"),
            ({"player": "nobody"}, "player"),
        ],
    )
    def test_what_is_wrong_stands_beside_its_field(self, secretary, data, field):
        answer = secretary.post(address(saturday(), "entries/walk-up/"), data)
        assert answer.status_code == 422
        assert field in answer.context["form"].errors
        assert not Entry.objects.exists()

    def test_not_both(self, secretary):
        data = {"player": PlayerFactory().public_id, "name": "Gwen Guest", "category": "men"}
        answer = secretary.post(address(saturday(), "entries/walk-up/"), data)
        assert "name" in answer.context["form"].errors


class TestRecord:
    def test_by_season_and_on_the_player_s_page(self, secretary, captain, member, machine, at):
        fixture = saturday(free_until=at, name="Lantern Plate")
        entry = entered(fixture, name="Ida Late")
        entering.withdraw(entry=entry, words="Car broke down", by=machine, at=at)
        page = text(secretary.get(f"/seasons/{fixture.season.public_id}/withdrawals/"))
        assert "Ida Late" in page
        assert "Car broke down" in page
        own = f"/players/{entry.player.public_id}/"
        assert "Late withdrawals and no-shows" in text(captain.get(own))
        assert "Late withdrawals and no-shows" not in text(member.get(own))

    def test_an_empty_season_says_so(self, secretary):
        season = saturday().season
        assert "None this season" in text(
            secretary.get(f"/seasons/{season.public_id}/withdrawals/")
        )

    def test_the_organiser_excuses_whoever_told_in_time(self, secretary, at):
        fixture = saturday(free_until=at)
        one, other = entered(fixture), entered(fixture)
        assert "Told us in time" in text(
            secretary.get(address(fixture, f"entries/{one.public_id}/out/"))
        )
        secretary.post(
            address(fixture, f"entries/{one.public_id}/out/"), {"how": "withdrawn", "in_time": "on"}
        )
        answer = secretary.post(
            address(fixture, f"entries/{other.public_id}/out/"), {"how": "withdrawn"}, follow=True
        )
        assert "kept as a late withdrawal" in text(answer)
        late = EntryStep.objects.filter(late=True)
        assert [step.entry_id for step in late] == [other.pk]


class TestReopen:
    def test_with_another_deadline(self, secretary, at):
        fixture = saturday(state="closed", entries_close_at=at)
        where = address(fixture, "entries/reopen/")
        late = secretary.post(where, {"words": "Two more", "closes_at": "2026-04-15T10:00"})
        assert late.status_code == 422
        assert "closes_at" in late.context["form"].errors
        secretary.post(where, {"words": "Two more", "closes_at": "2026-04-16T18:00"})
        fixture.refresh_from_db()
        assert fixture.state == "open"
        assert fixture.entries_close_at.isoformat() == "2026-04-16T17:00:00+00:00"
