"""Entering and withdrawing by a member, and the officers' list, as pages."""

from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from society.entries.actions import entering
from society.entries.models import Entry, EntryStep
from society.entries.queries import in_the_field, waiting
from society.handicaps.models import HandicapEntry
from society.members.models import Player
from tests.conftest import signed_in
from tests.factories.entries import entered, handicap
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


def steps(entry):
    return list(EntryStep.objects.filter(entry=entry).order_by("pk").values_list("kind", flat=True))


class TestEnter:
    def test_a_member_enters_and_comes_back_to_the_fixture(self, member, player):
        fixture = saturday(name="Lantern Plate")
        answer = member.post(address(fixture, "enter/"), follow=True)
        assert answer.redirect_chain == [(address(fixture), 302)]
        assert "You are in for Lantern Plate." in text(answer)
        assert Entry.objects.get().player == player

    def test_from_the_season_page_one_comes_back_there(self, member):
        answer = member.post(address(saturday(), "enter/"), {"from": "season"})
        assert answer["Location"] == "/"

    def test_any_other_word_leads_to_the_fixture(self, member):
        fixture = saturday()
        answer = member.post(address(fixture, "enter/"), {"from": "https://example.org/"})
        assert answer["Location"] == address(fixture)

    def test_a_full_fixture_tells_the_number_in_the_queue(self, member):
        fixture = saturday(name="Lantern Plate", places=1)
        entered(fixture)
        entered(fixture, step="waiting")
        page = text(member.post(address(fixture, "enter/"), follow=True))
        assert "You are on the waiting list for Lantern Plate, number 2." in page

    def test_a_second_tap_does_no_harm(self, member):
        fixture = saturday()
        member.post(address(fixture, "enter/"))
        answer = member.post(address(fixture, "enter/"), follow=True)
        assert "Ivo Marrable is in already." in text(answer)
        assert EntryStep.objects.count() == 1

    def test_closed_answers_409_with_the_sentence(self, member):
        answer = member.post(address(saturday(state="closed"), "enter/"))
        assert answer.status_code == 409
        assert "Entries are closed. Ask the organiser." in text(answer)

    def test_the_deadline_binds_when_the_page_was_opened_before(self, member, at):
        fixture = saturday(entries_close_at=at + timedelta(minutes=1))
        assert "/enter/" in text(member.get(address(fixture)))
        with time_machine.travel(at + timedelta(minutes=1), tick=False):
            assert member.post(address(fixture, "enter/")).status_code == 409

    def test_several_players_are_asked_which(self, society):
        players = [PlayerFactory(), PlayerFactory()]
        client, fixture = signed_in(AccountFactory(players=players)), saturday()
        assert client.post(address(fixture, "enter/")).status_code == 409
        client.post(address(fixture, "enter/"), {"player": players[1].public_id})
        assert Entry.objects.get().player == players[1]

    def test_somebody_else_cannot_be_entered(self, member):
        other = PlayerFactory()
        answer = member.post(address(saturday(), "enter/"), {"player": other.public_id})
        assert answer.status_code == 404
        assert not Entry.objects.exists()

    def test_the_audit_knows_account_and_player(self, member, player):
        member.post(address(saturday(), "enter/"))
        by = EntryStep.objects.get().by
        assert player.public_id in by
        assert player.accounts.get().public_id in by

    def test_no_write_on_get(self, member):
        assert member.get(address(saturday(), "enter/")).status_code == 405


class TestWithdraw:
    def test_is_asked_once_and_then_done(self, member, player, machine, at):
        fixture = saturday(name="Lantern Plate", places=1)
        entry = entering.enter(fixture=fixture, player=player, by=machine, at=at)
        queued = entered(fixture, step="waiting")
        where = f"{address(fixture, 'withdraw/')}?entry={entry.public_id}"
        page = text(member.get(where))
        assert "The first on the waiting list gets the place at once." in page
        assert steps(entry) == ["entered"]
        answer = member.post(address(fixture, "withdraw/"), {"entry": entry.public_id}, follow=True)
        assert "Your entry for Lantern Plate is withdrawn." in text(answer)
        assert steps(entry) == ["entered", "withdrawn"]
        assert steps(queued) == ["waiting", "taken"]

    def test_somebody_else_s_entry_is_not_there(self, member):
        entry = entered(saturday())
        for answer in (
            member.get(address(entry.fixture, f"withdraw/?entry={entry.public_id}")),
            member.post(address(entry.fixture, "withdraw/"), {"entry": entry.public_id}),
        ):
            assert answer.status_code == 404

    def test_closed_answers_409(self, member, player, machine, at):
        fixture = saturday(state="closed")
        entering.enter(fixture=fixture, player=player, by=machine, at=at)
        answer = member.post(address(fixture, "withdraw/"))
        assert answer.status_code == 409
        assert in_the_field(fixture).count() == 1


class TestManage:
    def test_lists_who_is_in_waits_and_left(self, secretary):
        fixture = saturday(places=1)
        entered(fixture, name="In Here")
        entered(fixture, name="Waits Here", step="waiting")
        entered(fixture, name="Left Here", step="withdrawn")
        entered(fixture, name="Never Came", step="absent")
        page = text(secretary.get(address(fixture, "entries/")))
        assert page.index("In Here") < page.index("Waits Here") < page.index("Left Here")
        assert "Never Came</b> did not turn up" in page

    def test_a_scorer_reads_without_forms(self, scorer):
        page = text(scorer.get(address(saturday(), "entries/")))
        assert "Who is in" in page
        assert "Enter someone" not in page

    def test_once_ended_there_are_no_forms(self, secretary):
        assert "Enter someone" not in text(
            secretary.get(address(saturday(state="final"), "entries/"))
        )

    def test_the_number_of_queries_does_not_grow(self, secretary):
        fixture, counts = saturday(), []
        for wanted in (1, 3):
            while fixture.entries.count() < wanted:
                entered(fixture)
            with CaptureQueriesContext(connection) as queries:
                secretary.get(address(fixture, "entries/"))
            counts.append(len(queries))
        assert counts[0] == counts[1]


class TestAdd:
    def test_the_organiser_enters_anyone_in_any_state(self, captain):
        fixture, player = saturday(state="closed"), PlayerFactory(name="Orla Wickerby")
        answer = captain.post(
            address(fixture, "entries/add/"), {"player": player.public_id}, follow=True
        )
        assert "Orla Wickerby is in for" in text(answer)
        assert in_the_field(fixture).get().player == player

    def test_a_known_guest_with_a_host(self, secretary):
        fixture = saturday()
        guest, host = PlayerFactory(kind="guest"), PlayerFactory()
        data = {"player": guest.public_id}
        answer = secretary.post(address(fixture, "entries/add/"), data)
        assert answer.status_code == 422
        assert "guest of" in " ".join(answer.context["add_form"].errors["host"])
        secretary.post(address(fixture, "entries/add/"), data | {"host": host.public_id})
        assert in_the_field(fixture).get().host == host

    def test_once_final_it_answers_409(self, secretary):
        fixture, player = saturday(state="final"), PlayerFactory()
        answer = secretary.post(address(fixture, "entries/add/"), {"player": player.public_id})
        assert answer.status_code == 409
        assert not in_the_field(fixture).exists()

    def test_who_is_in_is_no_longer_offered(self, secretary):
        entry = entered(saturday())
        answer = secretary.post(
            address(entry.fixture, "entries/add/"), {"player": entry.player.public_id}
        )
        assert answer.status_code == 422
        assert EntryStep.objects.count() == 1


class TestGuest:
    def data(self, **values):
        host = PlayerFactory(name="Ida Clamberfoot")
        return {
            "name": "Percy Bluntspoon",
            "category": "men",
            "handicap": "+1.2",
            "host": host.public_id,
            "home_club": "",
        } | values

    def test_a_new_guest_comes_with_the_figure_stated(self, secretary):
        fixture = saturday()
        secretary.post(address(fixture, "entries/guest/"), self.data())
        entry = in_the_field(fixture).get()
        assert (entry.player.name, entry.player.kind) == ("Percy Bluntspoon", "guest")
        assert entry.host.name == "Ida Clamberfoot"
        line = HandicapEntry.objects.get()
        assert (str(line.value), line.kind, line.source) == ("-1.2", "index", "stated")

    def test_without_a_figure_it_can_follow(self, captain):
        fixture = saturday()
        captain.post(address(fixture, "entries/guest/"), self.data(handicap=""))
        assert in_the_field(fixture).count() == 1
        assert not HandicapEntry.objects.exists()

    @pytest.mark.parametrize(
        ("values", "field"),
        [
            ({"name": ""}, "name"),
            ({"handicap": "-1.2"}, "handicap"),
            ({"handicap": "about 20"}, "handicap"),
            ({"handicap": "54.1"}, "handicap"),
            ({"host": ""}, "host"),
        ],
    )
    def test_what_is_wrong_stands_beside_its_field(self, secretary, values, field):
        answer = secretary.post(address(saturday(), "entries/guest/"), self.data(**values))
        assert answer.status_code == 422
        assert field in answer.context["guest_form"].errors
        assert not Player.objects.filter(kind="guest").exists()

    def test_a_refusal_leaves_nobody_behind(self, secretary):
        fixture = saturday(state="final")
        answer = secretary.post(address(fixture, "entries/guest/"), self.data())
        assert answer.status_code == 409
        assert "This fixture is final" in text(answer)
        assert not Player.objects.filter(kind="guest").exists()


class TestPlayed:
    def test_ticks_stand_for_who_is_in(self, secretary):
        fixture = saturday()
        entry, other = entered(fixture), PlayerFactory()
        page = text(secretary.get(address(fixture, "entries/played/")))
        assert f'value="{entry.player.public_id}" checked' in page
        assert f'value="{other.public_id}" checked' not in page

    def test_namesakes_are_told_apart_wherever_one_is_chosen(self, secretary):
        fixture = saturday()
        handicap(PlayerFactory(name="Tom Reedy"), "9.9")
        handicap(PlayerFactory(name="tom reedy", number="27"), "15.1")
        handicap(PlayerFactory(name="Ada Zephyr"), "-1.2")
        handicap(PlayerFactory(name="Bea Quill", kind="guest"), "-1.2")
        PlayerFactory(name="Bea Quill", kind="guest", home_club="Fen End")
        ticks = text(secretary.get(address(fixture, "entries/played/")))
        for called in ("Tom Reedy, handicap 9.9<", "tom reedy, number 27<", ">Ada Zephyr<"):
            assert called in ticks
        entries = text(secretary.get(address(fixture, "entries/")))
        assert entries.count("Tom Reedy, handicap 9.9<") == 3  # the player, and twice the host
        assert "Bea Quill, handicap +1.2 (guest)<" in entries
        assert "Bea Quill, Fen End (guest)<" in entries

    def test_the_list_is_kept(self, secretary):
        fixture = saturday(state="planned")
        players = [PlayerFactory(), PlayerFactory()]
        answer = secretary.post(
            address(fixture, "entries/played/"),
            {"player": [player.public_id for player in players]},
            follow=True,
        )
        assert "2 ticked, 2 of them new." in text(answer)
        assert in_the_field(fixture).count() == 2

    def test_who_is_no_longer_ticked_is_asked_about(self, secretary):
        fixture = saturday()
        stays, goes = entered(fixture), entered(fixture, name="Bess Tattersnipe")
        data = {"player": [stays.player.public_id]}
        answer = secretary.post(address(fixture, "entries/played/"), data)
        assert answer.status_code == 422
        assert "Bess Tattersnipe" in text(answer)
        assert steps(goes) == ["entered"]
        secretary.post(
            address(fixture, "entries/played/"), data | {f"said-{goes.public_id}": "absent"}
        )
        assert steps(goes) == ["entered", "absent"]
        assert steps(stays) == ["entered"]

    def test_without_members_it_says_what_to_do(self, secretary):
        assert "No members yet" in text(secretary.get(address(saturday(), "entries/played/")))


class TestOut:
    @pytest.mark.parametrize("how", ["withdrawn", "absent"])
    def test_says_what_happened(self, secretary, how):
        entry = entered(saturday())
        where = address(entry.fixture, f"entries/{entry.public_id}/out/")
        assert secretary.get(where).status_code == 200
        answer = secretary.post(where, {"how": how, "words": "A cold"})
        assert answer["Location"] == address(entry.fixture, "entries/")
        assert steps(entry) == ["entered", how]
        assert EntryStep.objects.last().reason == "A cold"

    def test_tells_who_got_the_place(self, secretary):
        fixture = saturday(places=1)
        entry = entered(fixture, name="Goes Away")
        entered(fixture, name="Comes In", step="waiting")
        where = address(fixture, f"entries/{entry.public_id}/out/")
        page = text(secretary.post(where, {"how": "withdrawn"}, follow=True))
        assert "Goes Away is out. Comes In got the place; tell them." in page

    def test_nothing_chosen_is_asked_again(self, secretary):
        entry = entered(saturday())
        where = address(entry.fixture, f"entries/{entry.public_id}/out/")
        assert secretary.post(where, {"how": "vanished"}).status_code == 422
        assert steps(entry) == ["entered"]

    def test_an_entry_of_another_fixture_is_not_there(self, secretary):
        entry = entered(saturday())
        where = address(saturday(), f"entries/{entry.public_id}/out/")
        assert secretary.get(where).status_code == 404


class TestClosing:
    def test_close_and_reopen(self, captain):
        fixture = saturday(state="open")
        captain.post(address(fixture, "entries/close/"))
        fixture.refresh_from_db()
        assert fixture.state == "closed"
        assert captain.post(address(fixture, "entries/reopen/"), {"words": ""}).status_code == 422
        captain.post(address(fixture, "entries/reopen/"), {"words": "Two more asked"})
        fixture.refresh_from_db()
        assert fixture.state == "open"

    def test_a_wrong_state_answers_409(self, captain):
        assert captain.post(address(saturday(state="drawn"), "entries/close/")).status_code == 409


@pytest.mark.parametrize("what", ["add", "guest", "played", "close", "reopen"])
@pytest.mark.parametrize("who", ["member", "scorer", "outsider"])
def test_the_organisers_deeds_are_theirs(what, who, request):
    fixture = saturday()
    answer = request.getfixturevalue(who).post(address(fixture, f"entries/{what}/"))
    assert answer.status_code == 403
    assert not waiting(fixture).exists()
