"""A society's draw from end to end: what is asked gathered, drawn, published, and a no-show.

The day of 23 players, and that of 21 and of 5, are worked examples of common practice, no source.
"""

from collections import Counter
from datetime import date, time
from itertools import combinations

import pytest

from scoring.results.bridge import event_document
from society.audit.models import AuditLine
from society.desk.actions.drawing import draw_fixture
from society.desk.queries.draw import draw_page, picked_players
from society.entries.actions.drawing import publish_draw, swap
from society.entries.actions.entering import mark_absent
from society.entries.actions.freezing import take_handicaps
from society.entries.bridge.draws import repeat, the_draw
from society.entries.models import DrawRun, Entry, EntryStep, Start
from society.entries.rules.asks import AskKind
from society.entries.rules.draw import DrawMethod
from society.entries.rules.groups import Groups, group_of
from society.fixtures.models import Fixture
from society.fixtures.queries import the_competition, the_round
from society.fixtures.rules import StartKind
from society.members.models import Letter
from society.web.refusals import BadInput, WrongState
from tests.factories.entries import BY, THEN, entered
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db
TEN = {"group_size": 4, "interval": 8, "first_time": time(10), "seed": "41207"}


def again(players, day: date, **values: object) -> tuple[Fixture, list[Entry]]:
    """Another fixture with the same people."""
    fixture = saturday(state="closed", starts_on=day, ends_on=day, **values)
    entries = [
        Entry.objects.create(
            fixture=fixture,
            player=player,
            as_member=True,
            category=player.category,
            place_at=THEN,
        )
        for player in players
    ]
    for entry in entries:
        EntryStep.objects.create(entry=entry, kind="entered", at=THEN, by=BY)
    return fixture, entries


def drawn(fixture: Fixture, at, machine, **values: object) -> Groups:
    told = {"method": DrawMethod.MIXED, "back": 8} | TEN | values
    run = draw_fixture(fixture=fixture, by=machine, at=at, **told)
    assert repeat(DrawRun.objects.get(pk=run.pk)) == the_draw(the_round(fixture)).drawn
    return the_draw(the_round(fixture)).groups


def pairs(groups: Groups, entries: list[Entry]) -> set[frozenset[int]]:
    player = {entry.key: entry.player_id for entry in entries}
    return {
        frozenset({player[a], player[b]}) for group in groups for a, b in combinations(group, 2)
    }


def test_the_draw_of_23_then_22(at, machine):
    players = [PlayerFactory() for _ in range(23)]
    last, before = again(players, date(2026, 4, 4))
    met = pairs(drawn(last, at, machine), before)
    publish_draw(fixture=last, by=machine, at=at)

    fixture, entries = again(players, date(2026, 4, 18), asks="buggy")
    captain, hester, ivo, guest, host = entries[:5]
    Entry.objects.filter(pk=hester.pk).update(buggy=True, buggy_with=ivo.player)
    Entry.objects.filter(pk=guest.pk).update(host=host.player, as_member=False)
    groups = drawn(fixture, at, machine, first=captain.public_id)

    assert [len(group) for group in groups] == [3, 4, 4, 4, 4, 4]
    draw = the_draw(the_round(fixture))
    assert [draw.time_of_group(n) for n in (1, 2, 6)] == [time(10), time(10, 8), time(10, 40)]
    assert captain.key in groups[0]
    assert group_of(groups, hester.key) == group_of(groups, ivo.key)
    assert group_of(groups, guest.key) == group_of(groups, host.key)
    together = {frozenset({a.player_id, b.player_id}) for a, b in ((hester, ivo), (guest, host))}
    assert pairs(groups, entries) & met <= together

    publish_draw(fixture=fixture, by=machine, at=at)
    missing = Entry.objects.get(key=groups[3][0])
    mark_absent(entry=missing, words="Not at the tee.", by=machine, at=at)
    now = the_draw(the_round(fixture)).groups
    assert now == (*groups[:3], groups[3][1:], *groups[4:])
    assert AuditLine.objects.order_by("number").last().deed == "absent"
    page = draw_page(fixture, machine)
    assert page.changes[0].words == f"{missing.player.name} left group 4, 10:24."


def test_21_make_three_fours_and_three_threes_and_5_a_two_and_a_three_with_a_warning(at, machine):
    fixture, _ = again([PlayerFactory() for _ in range(21)], date(2026, 4, 18))
    assert Counter(map(len, drawn(fixture, at, machine))) == {3: 3, 4: 3}
    fixture, _ = again([PlayerFactory() for _ in range(5)], date(2026, 4, 19))
    assert [len(group) for group in drawn(fixture, at, machine)] == [2, 3]
    assert "two and a three" in draw_page(fixture, machine).warnings[0]


def test_a_swap_says_in_words_what_it_breaks_before_it_is_done(at, machine):
    wilf, mercy, hester, ivo = (
        PlayerFactory(name=f"{name} Test") for name in ("Wilf", "Mercy", "Hester", "Ivo")
    )
    rest = [PlayerFactory() for _ in range(4)]
    for day in (3, 10):
        past, entries = again([wilf, mercy, *rest[:2]], date(2026, 4, day))
        drawn(past, at, machine)
        publish_draw(fixture=past, by=machine, at=at)
    fixture, entries = again([wilf, mercy, hester, ivo, *rest], date(2026, 4, 18), asks="buggy")
    entry = {found.player.name.split()[0]: found for found in entries[:4]}
    Entry.objects.filter(pk=entry["Hester"].pk).update(buggy=True, buggy_with=ivo)
    drawn(
        fixture,
        at,
        machine,
        pairs=[
            (entry["Wilf"].public_id, AskKind.TOGETHER, entry["Hester"].public_id),
            (entry["Wilf"].public_id, AskKind.APART, entry["Mercy"].public_id),
        ],
    )
    draw = the_draw(the_round(fixture))
    ids = [entry["Hester"].public_id, entry["Mercy"].public_id]
    breaks = picked_players(fixture, draw, ids).breaks
    assert "Hester Test would lose the buggy shared with Ivo Test." in breaks
    assert "Mercy Test would play with Wilf Test for the third time in a row." in breaks
    assert any("asked to be kept apart, and would play together" in words for words in breaks)
    assert the_draw(the_round(fixture)).groups == draw.groups  # looking changes nothing
    why = draw_page(fixture, machine).why
    assert (why.met, why.counted) == (3, 3)
    swap(fixture=fixture, one=entry["Hester"], other=entry["Mercy"], by=machine, at=at)
    why = draw_page(fixture, machine).why
    assert why.met < why.counted
    assert any(one.met is False and "share a buggy" in one.words for one in why.asked)


def test_sums_after_a_swap_are_shown_for_equal_teams(at, machine):
    fixture = saturday(state="closed")
    for index in ("4.0", "9.0", "13.0", "18.0", "22.0", "27.0", "31.0", "36.0"):
        entered(fixture, index=index)
    with pytest.raises(WrongState, match="Take handicaps first"):
        drawn(fixture, at, machine, method=DrawMethod.SNAKE)
    take_handicaps(fixture=fixture, by=machine, at=at)
    groups = drawn(fixture, at, machine, method=DrawMethod.SNAKE)
    page = draw_page(fixture, machine)
    sums = [group.total for group in page.groups]
    assert sums == [sum(player.playing for player in group.players) for group in page.groups]
    ids = [Entry.objects.get(key=groups[n][0]).public_id for n in (0, 1)]
    (said,) = (w for w in picked_players(fixture, page.draw, ids).breaks if "Sums" in w)
    one, other = (Entry.objects.get(public_id=found) for found in ids)
    swap(fixture=fixture, one=one, other=other, by=machine, at=at)
    after = [group.total for group in draw_page(fixture, machine).groups]
    assert said == (
        f"Sums: group 1 from {sums[0]} to {after[0]}, group 2 from {sums[1]} to {after[1]}."
    )


def test_two_tees_reach_the_starts_and_the_event_document(at, machine):
    fixture = saturday(state="closed")
    for _ in range(15):
        entered(fixture)
    take_handicaps(fixture=fixture, by=machine, at=at)
    groups = drawn(fixture, at, machine, start=StartKind.TWO_TEES)
    publish_draw(fixture=fixture, by=machine, at=at)
    starts = {start.entry.key: start for start in Start.objects.select_related("entry")}
    said = event_document(the_competition(fixture))["players"]
    for number, group in enumerate(groups, 1):
        for key in group:
            hole = 10 if number % 2 == 0 else 1
            assert (starts[key].first_hole, starts[key].time) == (
                hole,
                time(10, 8 * ((number - 1) // 2)),
            )
            assert said[key].get("first_hole", 1) == hole
    texts = Letter.objects.values_list("text", flat=True)
    assert sum("You start at 10:00 on hole 10, in group 2" in text for text in texts) == 4


def test_a_shotgun_starts_everyone_at_once_on_holes_of_their_own(at, machine):
    fixture, _ = again([PlayerFactory() for _ in range(8)], date(2026, 4, 18))
    drawn(fixture, at, machine, start=StartKind.SHOTGUN)
    publish_draw(fixture=fixture, by=machine, at=at)
    assert set(Start.objects.values_list("group", "first_hole", "time")) == {
        (1, 1, time(10)),
        (2, 2, time(10)),
    }
    page = draw_page(fixture, machine)
    assert [group.hole for group in page.groups] == ["1", "2"]


def test_what_cannot_be_asked_is_refused(at, machine):
    fixture, (one, *_) = again([PlayerFactory() for _ in range(8)], date(2026, 4, 18))
    with pytest.raises(BadInput, match="has a place"):
        drawn(fixture, at, machine, first="nobody")
    with pytest.raises(BadInput, match="two different"):
        drawn(fixture, at, machine, pairs=[(one.public_id, AskKind.APART, one.public_id)])
    with pytest.raises(WrongState, match="no leaders"):
        drawn(fixture, at, machine, method=DrawMethod.LEADERS)
    fixture.rounds.update(holes="first 9")
    with pytest.raises(BadInput, match="eighteen holes"):
        drawn(fixture, at, machine, start=StartKind.TWO_TEES)
    assert DrawRun.objects.count() == 0
