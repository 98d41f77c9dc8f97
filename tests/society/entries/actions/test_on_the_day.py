"""On the day: who does not turn up, who turns up, and what stays on record."""

from datetime import UTC, datetime, time
from decimal import Decimal

import pytest

from society.desk.queries.log import who_did_what
from society.entries.actions import entering
from society.entries.actions.drawing import make_draw, publish_draw
from society.entries.actions.freezing import take_handicaps
from society.entries.actions.walking_up import walk_up
from society.entries.bridge.draws import groups_with_room
from society.entries.models import Entry, Start
from society.entries.queries import in_the_field, records, standing_frozen
from society.entries.rules.draw import DrawMethod
from society.fixtures.queries import the_round
from society.members.models import Player
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.entries import entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db

THE_DAY = datetime(2026, 4, 18, 9, 0, tzinfo=UTC)


def drawn(at, machine, players=23, **values):
    """A published draw of so many, in fours and threes from 10:00 every eight minutes."""
    fixture = saturday(**({"state": "closed"} | values))
    for number in range(players):
        entered(fixture, name=f"Player {number:02}")
    take_handicaps(fixture=fixture, by=machine, at=at)
    make_draw(
        fixture=fixture,
        method=DrawMethod.RANDOM,
        seed="41207",
        interval=8,
        first_time=time(10, 0),
        by=machine,
        at=at,
    )
    publish_draw(fixture=fixture, by=machine, at=at)
    return fixture


def groups(fixture):
    """Number → (time, names in order) of every group."""
    found = {}
    rows = Start.objects.filter(round__fixture=fixture, group__isnull=False)
    for start in rows.select_related("entry__player").order_by("group", "place"):
        found.setdefault(start.group, (start.time, []))[1].append(start.entry.player.name)
    return found


class TestNoShow:
    """Story 20: one player fails to show from a four."""

    def test_a_four_becomes_a_three_and_nobody_else_moves(self, at, machine):
        fixture = drawn(at, machine)
        before = groups(fixture)
        assert [len(names) for _, names in before.values()] == [3, 4, 4, 4, 4, 4]
        assert before[6][0] == time(10, 40)
        missing = before[4][1][1]
        entry = Entry.objects.get(fixture=fixture, player__name=missing)
        entering.mark_absent(entry=entry, by=machine, at=THE_DAY)
        after = groups(fixture)
        assert after[4] == (before[4][0], [name for name in before[4][1] if name != missing])
        assert {n: after[n] for n in after if n != 4} == {n: before[n] for n in before if n != 4}

    def test_the_three_left_mark_each_other_in_a_ring(self, at, machine):
        fixture = drawn(at, machine)
        entry = Entry.objects.get(player__name=groups(fixture)[4][1][1])
        entering.mark_absent(entry=entry, by=machine, at=THE_DAY)
        starts = Start.objects.filter(round__fixture=fixture, group=4)
        marked_by = {start.entry_id: start.marker_id for start in starts}
        assert sorted(marked_by) == sorted(marked_by.values())
        assert all(player != marker for player, marker in marked_by.items())

    def test_the_log_says_so(self, at, machine):
        fixture = drawn(at, machine)
        missing = groups(fixture)[4][1][1]
        entry = Entry.objects.get(player__name=missing)
        entering.mark_absent(entry=entry, words="No call", by=machine, at=THE_DAY)
        latest = who_did_what(fixture, machine)[0]
        assert latest.words.endswith(f"noted that {missing} did not turn up.")
        assert latest.reason == "No call"

    def test_the_place_stays_empty(self, at, machine):
        fixture = drawn(at, machine, places=23)
        entered(fixture, step="waiting")
        entry = in_the_field(fixture).first()
        left = entering.mark_absent(entry=entry, by=machine, at=THE_DAY)
        assert (left.moved, left.offered) == ((), ())


class TestWalkUp:
    def test_a_player_on_the_list_is_in_a_group_with_the_handicap_taken(self, at, machine):
        fixture = drawn(at, machine, players=7, places=7)
        player = PlayerFactory(name="Late Comer")
        handicap(player, "12.3")
        [(number, label), alone] = groups_with_room(fixture)
        assert label.startswith("Group 1, 10:00: Player")
        came = walk_up(fixture=fixture, player=player, group=number, by=machine, at=THE_DAY)
        assert came.frozen.value == Decimal("12.3")
        assert groups(fixture)[1][1][-1] == "Late Comer"
        assert [n for n, _ in groups_with_room(fixture)] == [alone[0]]
        assert Start.objects.get(entry=came.entry).marker is not None

    def test_a_new_guest_with_a_stated_handicap_alone(self, at, machine):
        fixture = drawn(at, machine, players=8)
        host = in_the_field(fixture).first().player
        came = walk_up(
            fixture=fixture,
            name="New Guest",
            category="men",
            host=host,
            handicap=Decimal("20.1"),
            group=3,
            by=machine,
            at=THE_DAY,
        )
        assert came.entry.host == host
        frozen = standing_frozen(the_round(fixture))[came.entry.pk]
        assert (frozen.value, frozen.source_entry.source) == (Decimal("20.1"), "stated")
        assert groups(fixture)[3] == (time(10, 16), ["New Guest"])
        assert "alone in group 3" in came.grouped.words

    def test_what_is_typed_counts_and_not_an_older_record(self, at, machine):
        fixture = drawn(at, machine, players=7)
        player = PlayerFactory()
        handicap(player, "30.0")
        came = walk_up(
            fixture=fixture, player=player, handicap=Decimal("24.0"), by=machine, at=THE_DAY
        )
        assert came.frozen.value == Decimal("24.0")
        assert came.grouped is None
        assert Start.objects.get(entry=came.entry).group is None

    def test_whoever_waited_takes_a_place(self, at, machine):
        fixture = drawn(at, machine, players=7)
        waiting = entered(fixture, step="waiting")
        came = walk_up(fixture=fixture, player=waiting.player, by=machine, at=THE_DAY)
        assert (came.entry.pk, came.entry.step) == (waiting.pk, "taken")

    def test_without_a_handicap_it_is_said(self, at, machine):
        fixture = drawn(at, machine, players=7)
        came = walk_up(fixture=fixture, player=PlayerFactory(), by=machine, at=THE_DAY)
        assert (came.frozen, came.lacks) == (None, True)

    def test_nothing_is_kept_if_one_part_is_refused(self, at, machine):
        fixture = drawn(at, machine, players=8)
        host = in_the_field(fixture).first().player
        before = Player.objects.count(), Entry.objects.count()
        for wrong in ({"group": 1}, {"group": 9}, {"handicap": Decimal("99.0")}):
            with pytest.raises((BadInput, WrongState)):
                walk_up(
                    fixture=fixture,
                    name="New Guest",
                    category="men",
                    host=host,
                    by=machine,
                    at=THE_DAY,
                    **wrong,
                )
        assert (Player.objects.count(), Entry.objects.count()) == before

    def test_a_guest_needs_a_host_and_somebody_must_be_named(self, at, machine):
        fixture = drawn(at, machine, players=7)
        with pytest.raises(BadInput, match="guest of"):
            walk_up(fixture=fixture, name="G", category="men", by=machine, at=THE_DAY)
        with pytest.raises(BadInput, match="Choose a player"):
            walk_up(fixture=fixture, by=machine, at=THE_DAY)

    def test_organisers_only_and_not_after_the_result(self, at, machine):
        fixture = drawn(at, machine, players=7)
        player = PlayerFactory()
        with pytest.raises(NotYours):
            walk_up(fixture=fixture, player=player, by=Who(account="x"), at=THE_DAY)
        with pytest.raises(WrongState):
            walk_up(fixture=saturday(state="final"), player=player, by=machine, at=THE_DAY)


class TestRecord:
    def test_late_withdrawals_and_no_shows_and_nothing_else(self, at, machine):
        fixture = saturday(free_until=at)
        late, absent, back, waits = (entered(fixture) for _ in range(4))
        entered(fixture, step="withdrawn")
        entering.withdraw(entry=late, words="Ill", by=machine, at=at)
        entering.mark_absent(entry=absent, by=machine, at=at)
        entering.withdraw(entry=back, by=machine, at=at)
        entering.enter(fixture=fixture, player=back.player, by=machine, at=at)
        found = records(season=fixture.season)
        assert {(one.entry.pk, one.absent, one.words) for one in found} == {
            (late.pk, False, "Ill"),
            (absent.pk, True, ""),
        }
        assert [one.entry.pk for one in records(player=late.player)] == [late.pk]
        assert records(player=waits.player) == []
        assert records(season=saturday().season) == []


def test_the_log_shows_each_offer_and_who_made_room(at, machine):
    """Story 18's last words, and the guest who made room, read out."""
    fixture = saturday(
        places=1, guest_places="behind", offer_until=time(20), starts_on=THE_DAY.date()
    )
    guest = PlayerFactory(name="Gwen Guest", kind="guest")
    entering.enter(fixture=fixture, player=guest, host=PlayerFactory(), by=machine, at=at)
    for name in ("Ida Member", "Wilf Member"):
        entering.enter(fixture=fixture, player=PlayerFactory(name=name), by=machine, at=at)
    entering.withdraw(entry=in_the_field(fixture).get(), by=machine, at=at)
    said = [line.words for line in who_did_what(fixture, machine)]
    assert "entered Ida Member; Gwen Guest made room and heads the waiting list." in said[2]
    assert "withdrew Ida Member; the place is offered to Wilf Member until Wed 15 Apr" in said[0]
