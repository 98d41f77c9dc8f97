"""Members before guests, and a free place as an offer: story 18 of the practice of societies.

How societies order members and guests is common practice, no source; the story is the one the
organisers agreed on and stands here line by line.
"""

import json
from datetime import UTC, datetime, time, timedelta

import pytest

from society.audit.models import AuditLine
from society.entries.actions import deadlines, entering, offers
from society.entries.models import Entry, EntryStep
from society.entries.queries import in_the_field, offers_of, places_of, waiting
from society.fixtures.models import Fixture
from society.members.models import Letter
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db

CLOSES = datetime(2026, 4, 16, 18, 0, tzinfo=UTC)


def oneself(player):
    return Who(account="acc", players=(player.public_id,), player=player.public_id, name="A. B")


def names(entries):
    return [entry.player.name for entry in entries]


def steps(entry):
    return list(EntryStep.objects.filter(entry=entry).order_by("pk").values_list("kind", flat=True))


def told(kind):
    """Who was written to about it, by name."""
    return sorted(
        letter.player.name for letter in Letter.objects.filter(kind=kind).select_related("player")
    )


def full_day(at, machine, *, members=21, guests=3, **values):
    """24 places, all taken: 21 members and 3 guests, the guests not the last to have entered."""
    settings = {"places": members + guests, "guest_places": "behind", "entries_close_at": CLOSES}
    fixture = saturday(**(settings | values))
    for number in range(1, members + 1):
        if number <= guests:
            host = PlayerFactory(name=f"Host {number}")
            entering.enter(
                fixture=fixture,
                player=PlayerFactory(name=f"Guest {number}", kind="guest"),
                host=host,
                by=machine,
                at=at + timedelta(minutes=10 * number + 5),
            )
        entering.enter(
            fixture=fixture,
            player=PlayerFactory(name=f"Member {number}"),
            by=machine,
            at=at + timedelta(minutes=10 * number),
        )
    return fixture


@pytest.fixture
def late(at):
    """After everyone of `full_day` has entered."""
    return at + timedelta(hours=6)


class TestStory18:
    def test_before_closing_a_22nd_member_gets_a_place(self, at, late, machine):
        fixture = full_day(at, machine)
        assert (places_of(fixture).taken, places_of(fixture).queue) == (24, 0)
        her = PlayerFactory(name="Zoe")
        entry = entering.enter(fixture=fixture, player=her, by=oneself(her), at=late)
        assert entry.step == "entered"
        assert (places_of(fixture).taken, places_of(fixture).queue) == (24, 1)

    def test_and_the_guest_who_entered_last_heads_the_waiting_list(self, at, late, machine):
        fixture = full_day(at, machine)
        her = PlayerFactory(name="Zoe")
        entering.enter(fixture=fixture, player=her, by=oneself(her), at=late)
        assert names(waiting(fixture)) == ["Guest 3"]
        assert steps(waiting(fixture).get()) == ["entered", "bumped"]
        second = PlayerFactory(name="Yve")
        entering.enter(fixture=fixture, player=second, by=oneself(second), at=late)
        assert names(waiting(fixture)) == ["Guest 2", "Guest 3"]

    def test_host_and_guest_are_told(self, at, late, machine):
        fixture = full_day(at, machine)
        her = PlayerFactory(name="Zoe")
        entering.enter(fixture=fixture, player=her, by=oneself(her), at=late)
        assert told("no place") == ["Guest 3", "Host 3"]
        assert "head of the waiting list" in Letter.objects.filter(kind="no place")[0].text

    def test_after_closing_guests_keep_their_places_and_she_joins_the_end(self, at, machine):
        fixture = full_day(at, machine)
        after = CLOSES + timedelta(hours=1)
        first = entering.enter(
            fixture=fixture, player=PlayerFactory(name="First"), by=machine, at=after
        )
        her = entering.enter(
            fixture=fixture, player=PlayerFactory(name="Zoe"), by=machine, at=after
        )
        assert (first.step, her.step) == ("waiting", "waiting")
        assert names(waiting(fixture)) == ["First", "Zoe"]
        assert in_the_field(fixture).filter(as_member=False).count() == 3
        assert told("no place") == []

    def test_the_closing_minute_itself_is_after(self, at, machine):
        fixture = full_day(at, machine)
        entry = entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=CLOSES)
        assert entry.step == "waiting"

    def test_the_first_waiting_member_is_offered_the_place_until_a_set_hour(
        self, at, late, machine
    ):
        fixture = full_day(at, machine, members=3, guests=1, offer_until=time(20))
        zoe = PlayerFactory(name="Zoe")
        entering.enter(fixture=fixture, player=zoe, by=machine, at=late)  # moves Guest 1 out
        for name in ("Wilf", "Xan"):
            entering.enter(fixture=fixture, player=PlayerFactory(name=name), by=machine, at=late)
        assert names(waiting(fixture)) == ["Guest 1", "Wilf", "Xan"]
        leaver = in_the_field(fixture).first()
        left = entering.withdraw(entry=leaver, by=machine, at=late)
        assert (names(left.offered), left.moved) == (["Wilf"], ())
        wilf = waiting(fixture).get(player__name="Wilf")
        assert offers_of([wilf]) == {wilf.pk: datetime(2026, 4, 15, 20, 0, tzinfo=UTC)}
        assert told("offered") == ["Wilf"]
        assert places_of(fixture).free == 0  # kept for Wilf

    def test_if_silent_it_passes_to_the_next_name_and_the_log_shows_each_offer(
        self, at, late, machine
    ):
        fixture = full_day(at, machine, members=3, guests=1, offer_until=time(20))
        for name in ("Zoe", "Wilf", "Xan"):
            entering.enter(fixture=fixture, player=PlayerFactory(name=name), by=machine, at=late)
        entering.withdraw(entry=in_the_field(fixture).first(), by=machine, at=late)
        silent_until = datetime(2026, 4, 15, 20, 0, tzinfo=UTC)
        assert deadlines.lapse_offers(by=Who.due(), at=silent_until - timedelta(minutes=1)) == 0
        assert deadlines.lapse_offers(by=Who.due(), at=silent_until) == 1
        assert deadlines.lapse_offers(by=Who.due(), at=silent_until) == 0
        wilf = Entry.objects.get(player__name="Wilf")
        assert steps(wilf) == ["waiting", "offered", "lapsed"]
        assert told("lapsed") == ["Wilf"]
        xan = waiting(fixture).get(player__name="Xan")
        assert offers_of([xan]) == {xan.pk: silent_until + timedelta(days=1)}
        # then the guest, who heads the list but comes after members
        deadlines.lapse_offers(by=Who.due(), at=silent_until + timedelta(days=1))
        guest = waiting(fixture).get()
        assert (guest.player.name, guest.step) == ("Guest 1", "offered")
        offered = [
            change["new"]["until"]
            for line in AuditLine.objects.order_by("number")
            for change in json.loads(line.changes)
            if isinstance(change.get("new"), dict) and change["new"].get("step") == "offered"
        ]
        assert offered == [f"2026-04-{day}T20:00+00:00" for day in (15, 16, 17)]


class TestOffers:
    @pytest.fixture
    def fixture(self, at, machine):
        fixture = saturday(places=1, offer_until=time(20))
        for name in ("In", "Wilf", "Xan"):
            entering.enter(fixture=fixture, player=PlayerFactory(name=name), by=machine, at=at)
        entering.withdraw(entry=in_the_field(fixture).get(), by=machine, at=at)
        return fixture

    @staticmethod
    def wilf(fixture):
        return waiting(fixture).get(player__name="Wilf")

    def test_taken_by_the_player_before_the_hour(self, fixture, at):
        entry = self.wilf(fixture)
        at = at + timedelta(hours=9, minutes=59)
        assert offers.take_offer(entry=entry, by=oneself(entry.player), at=at).step == "taken"
        assert names(in_the_field(fixture)) == ["Wilf"]
        assert names(waiting(fixture)) == ["Xan"]

    def test_not_at_the_hour_whether_or_not_the_clock_has_run(self, fixture, at):
        entry = self.wilf(fixture)
        with pytest.raises(WrongState, match="stood until"):
            offers.take_offer(entry=entry, by=oneself(entry.player), at=at + timedelta(hours=10))
        assert in_the_field(fixture).count() == 0

    def test_after_it_has_passed_it_cannot_be_taken(self, fixture, at):
        entry, hour = self.wilf(fixture), at + timedelta(hours=10)
        deadlines.lapse_offers(by=Who.due(), at=hour)
        with pytest.raises(WrongState, match="has passed"):
            offers.take_offer(entry=entry, by=oneself(entry.player), at=at)

    def test_taken_twice_is_told(self, fixture, at):
        entry = self.wilf(fixture)
        offers.take_offer(entry=entry, by=oneself(entry.player), at=at)
        with pytest.raises(WrongState, match="taken already"):
            offers.take_offer(entry=entry, by=oneself(entry.player), at=at)

    def test_declined_goes_to_the_next_at_once(self, fixture, at):
        entry = self.wilf(fixture)
        filled = offers.decline_offer(entry=entry, by=oneself(entry.player), at=at)
        assert names(filled.offered) == ["Xan"]
        assert steps(entry) == ["waiting", "offered", "withdrawn"]
        assert not EntryStep.objects.filter(entry=entry, late=True).exists()

    def test_nobody_else_answers(self, fixture, at):
        other = PlayerFactory()
        for deed in (offers.take_offer, offers.decline_offer):
            with pytest.raises(NotYours):
                deed(entry=self.wilf(fixture), by=oneself(other), at=at)

    def test_an_organiser_answers_for_them_and_a_host_for_a_guest(self, at, machine):
        fixture = saturday(places=1, offer_until=time(20))
        host = PlayerFactory(name="Host")
        entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
        guest = PlayerFactory(name="Guest", kind="guest")
        entering.enter(fixture=fixture, player=guest, host=host, by=machine, at=at)
        entering.withdraw(entry=in_the_field(fixture).get(), by=machine, at=at)
        assert told("offered") == ["Guest", "Host"]
        entry = waiting(fixture).get()
        assert offers.take_offer(entry=entry, by=oneself(host), at=at).step == "taken"

    def test_a_kept_place_is_not_given_to_a_newcomer(self, fixture, at, machine):
        new = entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
        assert new.step == "waiting"

    def test_an_offer_stands_two_hours_at_least(self, at, machine):
        fixture = saturday(places=1, offer_until=time(11, 30))
        for _ in range(2):
            entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
        entering.withdraw(entry=in_the_field(fixture).get(), by=machine, at=at)
        entry = waiting(fixture).get()
        assert offers_of([entry])[entry.pk] == datetime(2026, 4, 16, 11, 30, tzinfo=UTC)

    @pytest.mark.parametrize(
        "moment",
        [
            datetime(2026, 4, 17, 18, 30, tzinfo=UTC),  # the eve, too late for the hour
            datetime(2026, 4, 18, 8, 0, tzinfo=UTC),  # the day
        ],
    )
    def test_too_close_to_play_it_goes_at_once(self, moment, at, machine):
        fixture = saturday(places=1, offer_until=time(20))
        for _ in range(2):
            entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
        left = entering.withdraw(entry=in_the_field(fixture).get(), by=machine, at=moment)
        assert (len(left.moved), len(left.offered)) == (1, 0)

    def test_the_hour_is_the_societys_own(self, society, at, machine):
        fixture = saturday(places=1, offer_until=time(20))
        for _ in range(2):
            entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
        entering.withdraw(entry=in_the_field(fixture).get(), by=machine, at=at)
        entry = waiting(fixture).get()
        assert offers_of([entry])[entry.pk] == datetime(2026, 4, 15, 19, 0, tzinfo=UTC)


class TestGuestsWait:
    def test_until_closing_and_then_share_what_is_left(self, at, machine):
        fixture = saturday(places=3, guest_places="wait", entries_close_at=CLOSES)
        host = PlayerFactory()
        for number in (1, 2):
            guest = PlayerFactory(name=f"Guest {number}", kind="guest")
            entry = entering.enter(fixture=fixture, player=guest, host=host, by=machine, at=at)
            assert entry.step == "waiting"
        for _ in range(2):
            assert (
                entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at).step
                == "entered"
            )
        before = CLOSES - timedelta(minutes=1)
        assert deadlines.close_due(by=Who.due(), at=before) == 0
        assert deadlines.move_guests_in(by=Who.due(), at=before) == 0
        assert deadlines.close_due(by=Who.due(), at=CLOSES) == 1
        assert deadlines.move_guests_in(by=Who.due(), at=CLOSES) == 1
        assert names(in_the_field(fixture))[0] == "Guest 1"
        assert names(waiting(fixture)) == ["Guest 2"]
        assert deadlines.close_due(by=Who.due(), at=CLOSES) == 0
        assert deadlines.move_guests_in(by=Who.due(), at=CLOSES) == 0

    def test_before_closing_only_members_move_up(self, at, machine):
        fixture = saturday(places=1, guest_places="wait", entries_close_at=CLOSES)
        guest = PlayerFactory(name="Guest", kind="guest")
        entering.enter(fixture=fixture, player=guest, host=PlayerFactory(), by=machine, at=at)
        for name in ("One", "Two"):
            entering.enter(fixture=fixture, player=PlayerFactory(name=name), by=machine, at=at)
        assert names(waiting(fixture)) == ["Guest", "Two"]
        left = entering.withdraw(entry=in_the_field(fixture).get(), by=machine, at=at)
        assert names(left.moved) == ["Two"]


class TestTheClock:
    def test_entries_open_at_their_hour_once(self, at):
        fixture = saturday(state="planned", entries_open_at=at)
        assert deadlines.open_due(by=Who.due(), at=at - timedelta(seconds=1)) == 0
        assert deadlines.open_due(by=Who.due(), at=at) == 1
        fixture.refresh_from_db()
        assert fixture.state == "open"
        assert deadlines.open_due(by=Who.due(), at=at) == 0

    def test_what_an_officer_took_back_stays_planned(self, at):
        fixture = saturday(state="planned", entries_open_at=at)
        deadlines.open_due(by=Who.due(), at=at)
        Fixture.objects.filter(pk=fixture.pk).update(state="planned")
        assert deadlines.open_due(by=Who.due(), at=at + timedelta(hours=1)) == 0

    def test_nothing_is_written_when_nothing_is_due(self, at, machine):
        fixture = saturday(places=1, entries_close_at=CLOSES, guest_places="wait")
        entering.enter(fixture=fixture, player=PlayerFactory(), by=machine, at=at)
        before = AuditLine.objects.count()
        for act in (
            deadlines.open_due,
            deadlines.close_due,
            deadlines.lapse_offers,
            deadlines.move_guests_in,
        ):
            assert act(by=Who.due(), at=at) == 0
        assert AuditLine.objects.count() == before

    def test_opening_again_after_the_deadline_takes_another_one(self, at, machine):
        fixture = saturday(entries_close_at=at)
        deadlines.close_due(by=Who.due(), at=at)
        fixture.refresh_from_db()
        with pytest.raises(BadInput, match="before they open"):
            entering.reopen_entries(
                fixture=fixture, words="Two more places", closes_at=at, by=machine, at=at
            )
        later = at + timedelta(days=1)
        entering.reopen_entries(
            fixture=fixture, words="Two more places", closes_at=later, by=machine, at=at
        )
        assert deadlines.close_due(by=Who.due(), at=at + timedelta(minutes=1)) == 0
        assert Fixture.objects.get().entries_close_at == later

    def test_opening_again_without_one_stays_open_until_closed_by_hand(self, at, machine):
        fixture = saturday(state="closed", entries_close_at=at)
        entering.reopen_entries(fixture=fixture, words="Too few", by=machine, at=at)
        assert deadlines.close_due(by=Who.due(), at=at + timedelta(days=1)) == 0


class TestLate:
    def test_a_place_given_up_after_the_free_time_is_on_record(self, at):
        free = at + timedelta(hours=1)
        fixture = saturday(free_until=free, entries_close_at=CLOSES)
        for moment, late in ((free - timedelta(minutes=1), False), (free, True)):
            entry = entered(fixture)
            left = entering.withdraw(entry=entry, by=oneself(entry.player), at=moment)
            assert left.late is late
            assert EntryStep.objects.filter(entry=entry, late=True).exists() is late

    def test_without_a_time_of_its_own_it_is_late_after_closing(self, at, machine):
        fixture = saturday(entries_close_at=CLOSES, state="closed")
        assert entering.withdraw(entry=entered(fixture), by=machine, at=CLOSES).late

    def test_never_without_any_deadline_and_never_from_the_waiting_list(self, at, machine):
        assert not entering.withdraw(entry=entered(saturday()), by=machine, at=at).late
        fixture = saturday(free_until=at)
        entry = entered(fixture, step="waiting")
        assert not entering.withdraw(entry=entry, by=machine, at=at).late

    def test_an_organiser_who_was_told_in_time_says_so(self, at, machine):
        fixture = saturday(free_until=at)
        assert not entering.withdraw(entry=entered(fixture), in_time=True, by=machine, at=at).late
        own = entered(fixture)
        assert entering.withdraw(entry=own, in_time=True, by=oneself(own.player), at=at).late
