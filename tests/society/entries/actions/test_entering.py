"""Comings and goings: who gets a place, who waits, who may, and what is written down."""

import json
from datetime import timedelta

import pytest

from society.audit.models import AuditLine
from society.entries.actions import entering
from society.entries.models import Entry, EntryStep
from society.entries.queries import field, gone, in_the_field, places_of, waiting
from society.fixtures.models import Fixture
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db


def oneself(player):
    """The player's own account, no office."""
    return Who(account="acc", players=(player.public_id,), player=player.public_id, name="A. B")


def enter(fixture, by=None, at=None, **values):
    player = values.pop("player", None) or PlayerFactory()
    return entering.enter(fixture=fixture, player=player, by=by or oneself(player), at=at, **values)


def steps(entry):
    return list(EntryStep.objects.filter(entry=entry).order_by("pk").values_list("kind", flat=True))


def names(entries):
    return [entry.player.name for entry in entries]


class TestEnter:
    def test_a_member_takes_a_place(self, at):
        fixture, player = saturday(), PlayerFactory(category="women")
        entry = enter(fixture, player=player, at=at)
        assert (entry.player, entry.as_member, entry.category) == (player, True, "women")
        assert entry.place_at == at
        assert steps(entry) == ["entered"]
        line = AuditLine.objects.get()
        assert (line.deed, line.about) == ("entered", f"fixture:{fixture.public_id}")
        assert json.loads(line.changes)[0] == {
            "about": f"entry:{entry.public_id}",
            "new": "entered",
        }

    def test_full_means_waiting(self, at):
        fixture = saturday(places=1)
        assert enter(fixture, at=at).step == "entered"
        second = enter(fixture, at=at)
        assert (second.step, steps(second)) == ("waiting", ["waiting"])
        assert (places_of(fixture).taken, places_of(fixture).queue) == (1, 1)

    def test_no_limit_means_no_queue(self, at):
        fixture = saturday(places=None)
        assert {enter(fixture, at=at).step for _ in range(3)} == {"entered"}

    def test_twice_is_told_and_writes_nothing(self, at):
        fixture, player = saturday(), PlayerFactory()
        enter(fixture, player=player, at=at)
        with pytest.raises(entering.AlreadyIn, match="is in already"):
            enter(fixture, player=player, at=at)
        assert EntryStep.objects.count() == AuditLine.objects.count() == 1

    def test_waiting_twice_is_told(self, at):
        fixture, player = saturday(places=1), PlayerFactory()
        enter(fixture, at=at)
        enter(fixture, player=player, at=at)
        with pytest.raises(entering.AlreadyIn, match="on the waiting list already"):
            enter(fixture, player=player, at=at)

    def test_coming_back_goes_to_the_end(self, at, machine):
        fixture, back = saturday(places=1), PlayerFactory(name="Back")
        enter(fixture, player=PlayerFactory(name="In"), at=at)
        first = enter(fixture, player=back, at=at)
        enter(fixture, player=PlayerFactory(name="Other"), at=at + timedelta(minutes=1))
        entering.withdraw(entry=first, by=oneself(back), at=at + timedelta(minutes=2))
        again = enter(fixture, player=back, at=at + timedelta(minutes=3))
        assert again.pk == first.pk
        assert names(waiting(fixture)) == ["Other", "Back"]
        assert steps(again) == ["waiting", "withdrawn", "waiting"]

    def test_nobody_passes_the_queue(self, at):
        fixture = saturday(places=1)
        enter(fixture, at=at)
        enter(fixture, at=at)
        Fixture.objects.update(places=2)  # nobody has given the new place out yet
        assert enter(fixture, at=at).step == "waiting"

    @pytest.mark.parametrize(
        ("state", "words"),
        [
            ("planned", "not open yet"),
            ("closed", "Ask the organiser"),
            ("drawn", "Ask the organiser"),
            ("reviewing", "Ask the organiser"),
            ("final", "is final"),
            ("cancelled", "is cancelled"),
            ("void", "is void"),
        ],
    )
    def test_members_enter_in_open_only(self, at, state, words):
        with pytest.raises(WrongState, match=words):
            enter(saturday(state=state), at=at)
        assert not Entry.objects.exists()

    @pytest.mark.parametrize("state", ["planned", "open", "closed", "drawn", "reviewing"])
    def test_the_organiser_enters_anyone_before_final(self, at, machine, state):
        assert enter(saturday(state=state), by=machine, at=at).step == "entered"

    @pytest.mark.parametrize("state", ["final", "cancelled", "void"])
    def test_nor_the_organiser_once_ended(self, at, machine, state):
        with pytest.raises(WrongState):
            enter(saturday(state=state), by=machine, at=at)

    def test_the_deadline_binds_by_the_servers_clock(self, at):
        fixture = saturday(entries_close_at=at)
        assert enter(fixture, at=at - timedelta(seconds=1)).step == "entered"
        with pytest.raises(WrongState, match="deadline has passed"):
            enter(fixture, at=at)

    def test_not_before_the_opening_hour(self, at):
        fixture = saturday(entries_open_at=at)
        with pytest.raises(WrongState, match="not open yet"):
            enter(fixture, at=at - timedelta(seconds=1))
        assert enter(fixture, at=at).step == "entered"

    def test_the_row_counts_and_not_what_the_caller_holds(self, at):
        fixture = saturday(state="open")
        Fixture.objects.update(state="closed")
        with pytest.raises(WrongState):
            enter(fixture, at=at)

    def test_nobody_enters_another(self, at):
        with pytest.raises(NotYours):
            enter(saturday(), by=oneself(PlayerFactory()), at=at)

    def test_a_couple_enters_both(self, at):
        fixture, one, two = saturday(), PlayerFactory(), PlayerFactory()
        both = Who(account="acc", players=(one.public_id, two.public_id))
        enter(fixture, player=one, by=both, at=at)
        enter(fixture, player=two, by=both, at=at)
        assert in_the_field(fixture).count() == 2

    def test_who_left_the_society_is_refused(self, at, machine):
        gone_player = PlayerFactory(left_on=at.date())
        with pytest.raises(BadInput, match="no longer"):
            enter(saturday(), player=gone_player, by=machine, at=at)


class TestGuests:
    def test_a_guest_has_a_host(self, at, machine):
        fixture, host = saturday(), PlayerFactory()
        entry = enter(fixture, player=PlayerFactory(kind="guest"), host=host, by=machine, at=at)
        assert (entry.as_member, entry.host) == (False, host)

    def test_without_a_host_it_is_asked(self, at, machine):
        guest = PlayerFactory(kind="guest")
        for host in (None, PlayerFactory(kind="guest")):
            with pytest.raises(BadInput) as refusal:
                enter(saturday(), player=guest, host=host, by=machine, at=at)
            assert refusal.value.field == "host"

    def test_a_member_needs_none(self, at, machine):
        with pytest.raises(BadInput, match="needs no host"):
            enter(saturday(), host=PlayerFactory(), by=machine, at=at)

    def test_members_only_means_it(self, at, machine):
        fixture = saturday(guests_welcome=False)
        with pytest.raises(BadInput, match="members only"):
            enter(
                fixture,
                player=PlayerFactory(kind="guest"),
                host=PlayerFactory(),
                by=machine,
                at=at,
            )


class TestWithdraw:
    def test_the_first_waiting_gets_the_place_in_the_same_deed(self, at):
        fixture = saturday(places=1)
        first = enter(fixture, at=at)
        second = enter(fixture, player=PlayerFactory(name="Second"), at=at)
        enter(fixture, player=PlayerFactory(name="Third"), at=at + timedelta(seconds=1))
        moved = entering.withdraw(entry=first, words="A cold", by=oneself(first.player), at=at)
        assert names(moved.moved) == ["Second"]
        assert steps(second) == ["waiting", "taken"]
        assert names(in_the_field(fixture)) == ["Second"]
        assert names(waiting(fixture)) == ["Third"]
        line = AuditLine.objects.order_by("number").last()
        assert line.deed == "withdrawn"
        told = [change.get("new") for change in json.loads(line.changes)]
        assert "withdrawn" in told
        assert "taken" in told
        assert EntryStep.objects.get(entry=first, kind="withdrawn").reason == "A cold"

    def test_leaving_the_queue_moves_nobody(self, at):
        fixture = saturday(places=1)
        enter(fixture, at=at)
        queued = enter(fixture, at=at)
        assert entering.withdraw(entry=queued, by=oneself(queued.player), at=at).moved == ()
        assert in_the_field(fixture).count() == 1

    def test_twice_is_refused(self, at, machine):
        entry = entered(saturday())
        entering.withdraw(entry=entry, by=machine, at=at)
        with pytest.raises(WrongState, match="out already"):
            entering.withdraw(entry=entry, by=machine, at=at)

    @pytest.mark.parametrize("state", ["closed", "drawn", "reviewing", "final"])
    def test_members_withdraw_in_open_only(self, at, state):
        entry = entered(saturday(state=state))
        with pytest.raises(WrongState):
            entering.withdraw(entry=entry, by=oneself(entry.player), at=at)
        assert steps(entry) == ["entered"]

    @pytest.mark.parametrize("state", ["planned", "open", "closed", "drawn", "reviewing"])
    def test_the_organiser_withdraws_anyone_before_final(self, at, machine, state):
        entry = entered(saturday(state=state))
        entering.withdraw(entry=entry, by=machine, at=at)
        assert steps(entry) == ["entered", "withdrawn"]

    def test_not_after_the_deadline(self, at):
        entry = entered(saturday(entries_close_at=at))
        with pytest.raises(WrongState):
            entering.withdraw(entry=entry, by=oneself(entry.player), at=at)

    def test_nobody_withdraws_another(self, at):
        entry = entered(saturday())
        with pytest.raises(NotYours):
            entering.withdraw(entry=entry, by=oneself(PlayerFactory()), at=at)

    def test_once_the_result_is_checked_nobody_moves_in(self, at, machine):
        fixture = saturday(state="reviewing", places=1)
        first = entered(fixture)
        entered(fixture, step="waiting")
        assert entering.withdraw(entry=first, by=machine, at=at).moved == ()


class TestAbsent:
    def test_the_place_stays_empty(self, at, machine):
        fixture = saturday(state="closed", places=1)
        first, second = entered(fixture), entered(fixture, step="waiting")
        entering.mark_absent(entry=first, words="No word", by=machine, at=at)
        assert steps(first) == ["entered", "absent"]
        assert steps(second) == ["waiting"]
        assert list(gone(fixture)) == [first]

    def test_who_only_waited_cannot_be_absent(self, at, machine):
        entry = entered(saturday(), step="waiting")
        with pytest.raises(WrongState, match="had no place"):
            entering.mark_absent(entry=entry, by=machine, at=at)

    def test_for_organisers_only(self, at):
        entry = entered(saturday())
        with pytest.raises(NotYours):
            entering.mark_absent(entry=entry, by=oneself(entry.player), at=at)

    def test_not_once_final(self, at, machine):
        with pytest.raises(WrongState):
            entering.mark_absent(entry=entered(saturday(state="final")), by=machine, at=at)


class TestTick:
    def test_who_is_ticked_is_in_whatever_the_places(self, at, machine):
        fixture = saturday(state="planned", places=1)
        queued = entered(fixture, step="waiting")
        left = entered(fixture, step="withdrawn")
        new = PlayerFactory()
        newly = entering.tick_players(
            fixture=fixture, players=[queued.player, left.player, new], by=machine, at=at
        )
        assert len(newly) == 3
        assert steps(queued) == ["waiting", "taken"]
        assert steps(left) == ["withdrawn", "entered"]
        assert in_the_field(fixture).count() == 3
        assert AuditLine.objects.count() == 1

    def test_the_same_list_twice_changes_nothing(self, at, machine):
        fixture, player = saturday(), PlayerFactory()
        entering.tick_players(fixture=fixture, players=[player], by=machine, at=at)
        assert entering.tick_players(fixture=fixture, players=[player], by=machine, at=at) == []
        assert EntryStep.objects.count() == 1

    def test_unticking_is_asked_and_not_silent(self, at, machine):
        fixture = saturday()
        stays, goes = entered(fixture), entered(fixture)
        with pytest.raises(entering.StillToSay) as refusal:
            entering.tick_players(fixture=fixture, players=[stays.player], by=machine, at=at)
        assert refusal.value.entries == [goes]
        assert steps(goes) == ["entered"]
        assert not AuditLine.objects.exists()

    @pytest.mark.parametrize("said", ["withdrawn", "absent"])
    def test_what_is_said_is_written(self, at, machine, said):
        fixture = saturday()
        goes = entered(fixture)
        entering.tick_players(
            fixture=fixture, players=[], gone={goes.public_id: said}, by=machine, at=at
        )
        assert steps(goes) == ["entered", said]

    def test_a_word_that_is_no_answer_does_not_count(self, at, machine):
        fixture = saturday()
        goes = entered(fixture)
        with pytest.raises(entering.StillToSay):
            entering.tick_players(
                fixture=fixture, players=[], gone={goes.public_id: "entered"}, by=machine, at=at
            )

    def test_guests_stay(self, at, machine):
        fixture = saturday()
        guest = entered(fixture, kind="guest")
        entering.tick_players(fixture=fixture, players=[], by=machine, at=at)
        assert steps(guest) == ["entered"]

    def test_for_organisers_only(self, at):
        with pytest.raises(NotYours):
            entering.tick_players(fixture=saturday(), players=[], by=Who(account="a"), at=at)


class TestPlacesAndClosing:
    def test_more_places_move_the_first_waiting_in(self, at, machine):
        fixture = saturday(places=1)
        for name in ("One", "Two", "Three", "Four"):
            enter(fixture, player=PlayerFactory(name=name), at=at)
        Fixture.objects.update(places=3)
        moved = entering.change_places(fixture=fixture, by=machine, at=at)
        assert names(moved.moved) == ["Two", "Three"]
        assert names(waiting(fixture)) == ["Four"]

    def test_no_limit_moves_everyone_in(self, at, machine):
        fixture = saturday(places=1)
        enter(fixture, at=at)
        enter(fixture, at=at)
        Fixture.objects.update(places=None)
        entering.change_places(fixture=fixture, by=machine, at=at)
        assert not waiting(fixture).exists()

    def test_closing_and_opening_again(self, at, machine):
        fixture = saturday()
        entering.close_entries(fixture=fixture, by=machine, at=at)
        assert fixture.state == "closed"
        with pytest.raises(BadInput):
            entering.reopen_entries(fixture=fixture, words="", by=machine, at=at)
        entering.reopen_entries(fixture=fixture, words="Two more", by=machine, at=at)
        assert fixture.state == "open"
        assert [line.deed for line in AuditLine.objects.order_by("number")] == [
            "entries closed",
            "entries reopened",
        ]

    def test_for_organisers_only(self, at):
        scorer = Who(account="s", roles=frozenset({"scorer"}))
        fixture = saturday()
        for deed in (entering.close_entries, entering.change_places):
            with pytest.raises(NotYours):
                deed(fixture=fixture, by=scorer, at=at)
        with pytest.raises(NotYours):
            entering.reopen_entries(fixture=fixture, words="x", by=scorer, at=at)


def test_field_is_ordered_by_arrival_and_knows_the_last_step(at):
    fixture = saturday(places=1)
    one = enter(fixture, at=at)
    two = enter(fixture, at=at + timedelta(seconds=1))
    assert [(entry.pk, entry.step) for entry in field(fixture)] == [
        (one.pk, "entered"),
        (two.pk, "waiting"),
    ]
