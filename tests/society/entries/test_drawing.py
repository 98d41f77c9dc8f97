"""The draw as deeds: made, changed by hand, published, withdrawn, and what a leaver does."""

from datetime import time

import pytest

from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.entries.actions import drawing
from society.entries.bridge.draws import groups_of, repeat, the_draw
from society.entries.models import DrawRun, DrawStep, Entry, EntryStep, Start
from society.entries.rules.draw import DrawMethod
from society.entries.rules.groups import group_of, markers
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import NOBODY, Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday

pytestmark = pytest.mark.django_db


def closed(players: int, **values: object) -> tuple[Fixture, list[Entry]]:
    fixture = saturday(state="closed", **values)
    return fixture, [entered(fixture) for _ in range(players)]


def drawn(fixture: Fixture, at, machine, *, seed: str = "41207", published: bool = True) -> DrawRun:
    run = drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, seed=seed, by=machine, at=at)
    if published:
        drawing.publish_draw(fixture=fixture, by=machine, at=at)
    return run


def leaves(entry: Entry, at, machine) -> drawing.Changed | None:
    EntryStep.objects.create(entry=entry, kind="withdrawn", at=at, by=machine.as_json())
    return drawing.leave_group(entry=entry, by=machine, at=at)


def standing(fixture: Fixture) -> tuple[tuple[str, ...], ...]:
    return the_draw(the_round(fixture)).groups


def starts(fixture: Fixture) -> dict[str, tuple]:
    rows = Start.objects.filter(round__fixture=fixture).select_related("entry", "marker")
    return {
        start.entry.key: (
            start.group,
            start.place,
            start.time,
            start.marker.key if start.marker else None,
        )
        for start in rows
    }


def starts_fit(fixture: Fixture) -> None:
    """The starts say just what the groups say."""
    said = starts(fixture)
    for number, group in enumerate(standing(fixture), 1):
        marked = markers(group)
        for place, key in enumerate(group, 1):
            minutes = 9 * 60 + 30 + 8 * (number - 1)
            assert said.pop(key) == (
                number,
                place,
                time(minutes // 60, minutes % 60),
                marked.get(key),
            )
    assert all(rest == (None, None, None, None) for rest in said.values())


def test_a_draw_is_kept_whole_and_can_be_repeated(at, machine):
    fixture, entries = closed(23)
    run = drawn(fixture, at, machine, published=False)
    assert (run.number, run.method, run.method_version, run.seed) == (1, "random", 2, "41207")
    kept = read_json(run.inputs)
    assert {entry["key"] for entry in kept["entries"]} == {entry.key for entry in entries}
    assert [len(group) for group in groups_of(run)] == [3, 4, 4, 4, 4, 4]
    assert repeat(DrawRun.objects.get(pk=run.pk)) == groups_of(run)
    line = AuditLine.objects.get()
    assert line.deed == "draw made"
    assert "41207" in line.changes
    assert Start.objects.count() == 0


def test_the_seed_is_by_chance_when_none_is_given_and_every_draw_is_numbered(at, machine):
    fixture, _ = closed(8)
    seeds = {drawn(fixture, at, machine, seed="", published=False).seed for _ in range(3)}
    assert all(len(seed) == 5 and seed.isdigit() for seed in seeds)
    assert [run.number for run in DrawRun.objects.order_by("pk")] == [1, 2, 3]


def test_only_those_with_a_place_are_drawn(at, machine):
    fixture, entries = closed(4)
    for step in ("waiting", "withdrawn", "absent"):
        entered(fixture, step=step)
    run = drawn(fixture, at, machine)
    assert {key for group in groups_of(run) for key in group} == {e.key for e in entries}


def test_publishing_writes_group_place_time_and_marker(at, machine):
    fixture, _ = closed(7)
    drawn(fixture, at, machine)
    fixture.refresh_from_db()
    assert fixture.state == "drawn"
    assert len(starts(fixture)) == 7
    starts_fit(fixture)


def test_a_day_that_was_never_opened_may_be_drawn_but_not_an_open_one(at, machine):
    planned = saturday(state="planned")
    entered(planned)
    entered(planned)
    drawn(planned, at, machine)
    assert Fixture.objects.get(pk=planned.pk).state == "drawn"
    still_open = saturday(state="open")
    entered(still_open)
    with pytest.raises(WrongState):
        drawn(still_open, at, machine)
    assert DrawStep.objects.filter(run__round__fixture=still_open).count() == 0


def test_a_swap_touches_two_groups_and_says_whose_cards_change(at, machine):
    fixture, _ = closed(8)
    drawn(fixture, at, machine)
    before = standing(fixture)
    one, other = (Entry.objects.get(key=before[n][0]) for n in (0, 1))
    changed = drawing.swap(
        fixture=fixture, one=one, other=other, words="Drives with Lottie.", by=machine, at=at
    )
    after = standing(fixture)
    assert (after[0][0], after[1][0]) == (other.key, one.key)
    assert after[0][1:] == before[0][1:]
    starts_fit(fixture)
    # two places changed: the two players and the two who mark them
    assert {e.key for e in changed.again} == {
        before[0][0],
        before[0][1],
        before[1][0],
        before[1][1],
    }
    assert "Print again: " in changed.words
    step = DrawStep.objects.get(kind="swapped")
    assert step.reason == "Drives with Lottie."


def test_an_undone_swap_leaves_later_ones_alone(at, machine):
    fixture, _ = closed(8)
    drawn(fixture, at, machine, published=False)
    first = standing(fixture)
    entry = {e.key: e for e in Entry.objects.all()}
    a, b, c, d = first[0][0], first[1][0], first[0][1], first[1][1]
    for one, other in ((a, b), (c, d)):
        drawing.swap(fixture=fixture, one=entry[one], other=entry[other], by=machine, at=at)
    drawing.undo(fixture=fixture, number=1, by=machine, at=at)
    now = standing(fixture)
    assert (group_of(now, a), group_of(now, b)) == (1, 2)
    assert (group_of(now, c), group_of(now, d)) == (2, 1)
    assert the_draw(the_round(fixture)).by_hand == 1
    with pytest.raises(WrongState, match="no longer"):
        drawing.undo(fixture=fixture, number=1, by=machine, at=at)


@pytest.mark.parametrize("players", range(2, 13))
def test_a_withdrawal_after_the_draw_touches_its_own_group_only(players, at, machine):
    fixture, entries = closed(players)
    drawn(fixture, at, machine)
    before, said = standing(fixture), starts(fixture)
    gone = entries[0]
    home = group_of(before, gone.key)
    left = leaves(gone, at, machine)
    now = starts(fixture)
    own = set(before[home - 1])
    assert {key for key in said if said[key] != now[key]} <= own
    assert now[gone.key] == (None, None, None, None)
    starts_fit(fixture)
    rest = own - {gone.key}
    assert {entry.key for entry in left.again} <= rest
    for entry in left.again:
        assert entry.player.name in left.words
    if len(rest) == 1:
        assert [entry.key for entry in left.alone] == list(rest)
        assert "alone" in left.words
        assert "choose another group" in left.words
    else:
        assert left.alone == ()


def test_whoever_is_left_alone_moves_to_a_group_with_room(at, machine):
    fixture, entries = closed(5)
    drawn(fixture, at, machine)
    two = standing(fixture)[0]
    assert len(two) == 2
    entry = {e.key: e for e in entries}
    leaves(entry[two[0]], at, machine)
    moved = drawing.move_to_group(entry=entry[two[1]], group=2, by=machine, at=at)
    assert [len(group) for group in standing(fixture)] == [0, 4]
    assert len(moved.again) == 4  # a ring of three becomes two pairs
    starts_fit(fixture)


def test_a_late_entry_joins_a_group_with_room_or_starts_a_new_one(at, machine):
    fixture, _ = closed(7)
    drawn(fixture, at, machine)
    late, later = entered(fixture), entered(fixture)
    with pytest.raises(WrongState, match="full"):
        drawing.move_to_group(entry=late, group=2, by=machine, at=at)
    drawing.move_to_group(entry=late, group=1, by=machine, at=at)
    assert standing(fixture)[0][-1] == late.key
    alone = drawing.move_to_group(entry=later, group=3, by=machine, at=at)
    assert alone.alone == (later,)
    starts_fit(fixture)
    with pytest.raises(BadInput):
        drawing.move_to_group(entry=later, group=9, by=machine, at=at)


def test_nobody_is_published_out_of_the_draw(at, machine):
    fixture, _ = closed(4)
    drawn(fixture, at, machine, published=False)
    late = entered(fixture, name="Late Latimer")
    with pytest.raises(WrongState, match="Late Latimer came in after this draw"):
        drawing.publish_draw(fixture=fixture, by=machine, at=at)
    assert Start.objects.count() == 0
    drawing.move_to_group(entry=late, group=2, by=machine, at=at)
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    starts_fit(fixture)


def test_a_withdrawn_draw_empties_the_starts_and_can_be_published_again(at, machine):
    fixture, _ = closed(6)
    drawn(fixture, at, machine)
    with pytest.raises(BadInput):
        drawing.withdraw_draw(fixture=fixture, words=" ", by=machine, at=at)
    drawing.withdraw_draw(fixture=fixture, words="Fog till ten.", by=machine, at=at)
    fixture.refresh_from_db()
    assert fixture.state == "closed"
    assert set(starts(fixture).values()) == {(None, None, None, None)}
    assert len(starts(fixture)) == 6
    assert DrawStep.objects.get(kind="withdrawn").reason == "Fog till ten."
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    starts_fit(fixture)


def test_a_published_draw_is_withdrawn_before_it_is_made_afresh(at, machine):
    fixture, _ = closed(6)
    drawn(fixture, at, machine)
    with pytest.raises(WrongState, match="Withdraw it"):
        drawn(fixture, at, machine)
    drawing.withdraw_draw(fixture=fixture, words="Wrong day.", by=machine, at=at)
    drawn(fixture, at, machine, seed="7")
    assert [run.seed for run in DrawRun.objects.order_by("number")] == ["41207", "7"]
    starts_fit(fixture)


def test_without_a_draw_a_leaver_only_frees_whoever_named_them_as_marker(at, machine):
    fixture, (one, other) = closed(2)
    round_ = the_round(fixture)
    tee = round_.tees.get().tee
    Start.objects.create(round=round_, entry=one, tee=tee, marker=other)
    assert leaves(other, at, machine) is None
    assert Start.objects.get(entry=one).marker is None


def test_refusals(at, machine):
    fixture = saturday(state="closed")
    with pytest.raises(WrongState, match="Nobody is entered"):
        drawn(fixture, at, machine)
    with pytest.raises(WrongState, match="no draw yet"):
        drawing.publish_draw(fixture=fixture, by=machine, at=at)
    entry = entered(fixture)
    with pytest.raises(WrongState, match="Take handicaps first"):
        drawing.make_draw(fixture=fixture, method=DrawMethod.HANDICAP, by=machine, at=at)
    for _ in range(8):
        entered(fixture)
    with pytest.raises(BadInput, match="midnight"):
        drawing.make_draw(
            fixture=fixture,
            method=DrawMethod.RANDOM,
            first_time=time(23, 40),
            interval=15,
            by=machine,
            at=at,
        )
    drawn(fixture, at, machine, published=False)
    with pytest.raises(BadInput, match="two different"):
        drawing.swap(fixture=fixture, one=entry, other=entry, by=machine, at=at)
    member = Who(account="x", players=(entry.player.public_id,), roles=frozenset())
    for by in (NOBODY, member):
        with pytest.raises(NotYours):
            drawing.publish_draw(fixture=fixture, by=by, at=at)
    for state in ("final", "cancelled", "void", "reviewing"):
        Fixture.objects.filter(pk=fixture.pk).update(state=state)
        with pytest.raises(WrongState):
            drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, by=machine, at=at)
    assert DrawRun.objects.count() == 1


def test_the_four_digits_are_never_in_the_audit(at, machine):
    fixture, _ = closed(8)
    drawn(fixture, at, machine)
    digits = set(Start.objects.values_list("digits", flat=True))
    said = " ".join(AuditLine.objects.values_list("changes", flat=True))
    assert not [found for found in digits if f'"{found}"' in said]
    assert "digits" not in said
