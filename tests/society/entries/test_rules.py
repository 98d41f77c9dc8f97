"""The draw as a pure function: who plays with whom, who marks whom, and what a change touches."""

import doctest
import hashlib
from collections import Counter
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from society.entries.rules import asks, dealing, draw, groups, report, starts, words
from society.entries.rules.dealing import draw_groups
from society.entries.rules.draw import DrawInputs, DrawMethod
from society.entries.rules.groups import (
    Change,
    DrawDeed,
    group_of,
    group_sizes,
    groups_after,
    markers,
    reprints,
)
from society.entries.rules.report import draw_warnings, tee_minutes
from society.entries.rules.starts import Opening

keys = st.lists(
    st.text("abcdefghjkmnpqrstuvwxyz23456789", min_size=3, max_size=12),
    min_size=1,
    max_size=60,
    unique=True,
)
searching = settings(max_examples=30, deadline=None)  # some methods search for a while
figures = st.none() | st.decimals(-10, 60, places=0, allow_nan=False)


@st.composite
def drawn(draw, least: int = 1):
    named = draw(keys.filter(lambda found: len(found) >= least))
    return DrawInputs(
        method=draw(st.sampled_from(DrawMethod)),
        seed=draw(st.text("0123456789", min_size=1, max_size=8)),
        group_size=draw(st.integers(2, 4)),
        figures={key: draw(figures) for key in named},
        opening=Opening(
            first_minute=draw(st.none() | st.integers(0, 1000)), interval=draw(st.integers(0, 15))
        ),
    )


def inputs(players: int, **values: object) -> DrawInputs:
    told = {"method": DrawMethod.RANDOM, "seed": "41207", "group_size": 4} | values
    return DrawInputs(figures={f"e{n:02d}": Decimal(n) for n in range(players)}, **told)


def test_examples_in_the_docstrings_are_true():
    done = [
        doctest.testmod(module) for module in (asks, dealing, draw, groups, report, starts, words)
    ]
    assert sum(found.failed for found in done) == 0
    assert all(found.attempted for found in done)


# sizes: common practice, no source; the figures are those of the society's own rule
@pytest.mark.parametrize(
    ("players", "size", "expected"),
    [
        (23, 4, [3, 4, 4, 4, 4, 4]),
        (22, 4, [3, 3, 4, 4, 4, 4]),
        (21, 4, [3, 3, 3, 4, 4, 4]),
        (20, 4, [4, 4, 4, 4, 4]),
        (6, 4, [3, 3]),
        (5, 4, [2, 3]),
        (4, 3, [2, 2]),
        (7, 3, [2, 2, 3]),
        (3, 2, [3]),
        (9, 2, [2, 2, 2, 3]),
        (1, 4, [1]),
        (0, 4, []),
    ],
)
def test_threes_go_first_and_nobody_plays_alone(players, size, expected):
    assert group_sizes(players, size) == expected


@given(st.integers(2, 300), st.integers(2, 4))
def test_sizes_add_up_and_nobody_is_alone_where_two_can_play(players, size):
    sizes = group_sizes(players, size)
    assert sum(sizes) == players
    assert min(sizes) >= 2
    assert max(sizes) <= max(size, 3)
    assert sizes == sorted(sizes)
    if size == 4 and players > 5:
        assert set(sizes) <= {3, 4}


@searching
@given(drawn())
def test_everyone_is_drawn_once(told):
    groups = draw_groups(told)
    assert Counter(key for group in groups for key in group) == Counter(list(told.figures))
    assert [len(group) for group in groups] == group_sizes(len(told.figures), told.group_size)


@searching
@given(drawn(), st.randoms())
def test_the_order_of_the_entries_does_not_matter(told, chance):
    mixed = list(told.figures.items())
    chance.shuffle(mixed)
    again = DrawInputs(
        method=told.method,
        seed=told.seed,
        group_size=told.group_size,
        figures=dict(mixed),
        opening=told.opening,
    )
    assert draw_groups(again) == draw_groups(told)
    assert again.as_plain() == told.as_plain()


@searching
@given(drawn())
def test_what_is_kept_gives_the_same_groups_again(told):
    from scoring.rules.strict_json import canonical, read_json

    kept = canonical(told.as_plain())
    again = DrawInputs.from_plain(read_json(kept))
    assert draw_groups(again) == draw_groups(told)
    assert canonical(again.as_plain()) == kept


def test_a_random_draw_is_the_order_of_sha_256_of_seed_slash_key():
    told = inputs(23)
    by_hand = sorted(
        told.figures, key=lambda key: hashlib.sha256(b"41207/" + key.encode()).digest()
    )
    assert [key for group in draw_groups(told) for key in group] == by_hand


def test_another_seed_gives_another_draw():
    seeds = {draw_groups(inputs(12, seed=str(seed))) for seed in range(20)}
    assert len(seeds) == 20


@given(drawn(least=2))
def test_by_handicap_never_puts_a_higher_figure_in_an_earlier_group(told):
    if told.method is not DrawMethod.HANDICAP:
        return
    queue = [told.figures[key] for group in draw_groups(told) for key in group]
    known = [figure for figure in queue if figure is not None]
    assert known == sorted(known)
    assert queue[len(known) :] == [None] * (len(queue) - len(known))


def test_a_seed_parts_equal_handicaps():
    same = {f"e{n}": Decimal(18) for n in range(8)}
    two = {
        draw_groups(DrawInputs(method=DrawMethod.HANDICAP, seed=seed, group_size=4, figures=same))
        for seed in ("1", "2")
    }
    assert len(two) == 2


@pytest.mark.parametrize(
    "wrong",
    [
        {"group_size": 1},
        {"group_size": 5},
        {"seed": ""},
        {"version": 3},
        {"version": 0},
        {"figures": {}},
    ],
)
def test_what_cannot_be_drawn_is_refused(wrong):
    good = {"method": DrawMethod.RANDOM, "seed": "1", "group_size": 4, "figures": {"a": None}}
    with pytest.raises(ValueError, match="draw: "):
        DrawInputs(**(good | wrong))


def test_five_players_one_player_and_short_intervals_are_said():
    assert "two and a three" in draw_warnings(inputs(5))[0]
    assert "alone" in draw_warnings(inputs(1))[0]
    assert "odd" in draw_warnings(inputs(7, group_size=2))[0]
    assert (
        "8 minutes is short"
        in draw_warnings(inputs(8, opening=Opening(first_minute=570, interval=8)))[0]
    )
    assert draw_warnings(inputs(8, opening=Opening(first_minute=570, interval=10))) == []
    assert draw_warnings(inputs(8)) == []


def test_tee_times_follow_the_interval():
    assert tee_minutes(inputs(8, opening=Opening(first_minute=570, interval=10)), 3) == [
        570,
        580,
        590,
    ]
    assert tee_minutes(inputs(8), 2) == [None, None]


# markers -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("group", "expected"),
    [
        ("ab", {"a": "b", "b": "a"}),
        ("abc", {"b": "a", "c": "b", "a": "c"}),
        ("abcd", {"a": "b", "b": "a", "c": "d", "d": "c"}),
        ("a", {}),
        ("", {}),
    ],
)
def test_twos_and_fours_swap_cards_and_threes_go_round(group, expected):
    assert markers(tuple(group)) == expected


@searching
@given(drawn(least=2))
def test_everyone_is_marked_once_and_never_by_themselves(told):
    for group in draw_groups(told):
        marked = markers(group)
        assert set(marked) == set(group)
        assert Counter(marked.values()) == Counter(group)
        assert all(player != marker for player, marker in marked.items())


# changes -----------------------------------------------------------------------------------


@searching
@given(drawn(least=2), st.data())
def test_a_withdrawal_touches_its_own_group_only(told, data):
    before = draw_groups(told)
    gone = data.draw(st.sampled_from(sorted(told.figures)))
    after = groups_after(before, [Change(1, DrawDeed.MOVED, (gone,))])
    home = group_of(before, gone)
    for number, (was, now) in enumerate(zip(before, after, strict=True), 1):
        assert now == (tuple(key for key in was if key != gone) if number == home else was)
    assert reprints(before, after) <= set(after[home - 1])
    marked = markers(after[home - 1])
    assert all(player != marker for player, marker in marked.items())
    if len(after[home - 1]) > 1:
        assert set(marked) == set(after[home - 1]) == set(marked.values())


@searching
@given(drawn(least=2), st.data())
def test_a_swap_exchanges_two_and_an_undone_swap_never_was(told, data):
    before = draw_groups(told)
    one, other = data.draw(
        st.lists(st.sampled_from(sorted(told.figures)), min_size=2, max_size=2, unique=True)
    )
    swap = Change(1, DrawDeed.SWAPPED, (one, other))
    after = groups_after(before, [swap])
    assert group_of(after, one) == group_of(before, other)
    assert group_of(after, other) == group_of(before, one)
    assert [len(group) for group in after] == [len(group) for group in before]
    assert groups_after(before, [swap, Change(2, DrawDeed.UNDONE, undoes=1)]) == before


def test_which_cards_are_printed_again():
    groups = (("a", "b", "c", "d"), ("e", "f", "g"))
    left = groups_after(groups, [Change(1, DrawDeed.MOVED, ("d",))])
    assert left == (("a", "b", "c"), ("e", "f", "g"))
    assert reprints(groups, left) == {"a", "b", "c"}  # a four becomes a ring: all three change
    joined = groups_after(groups, [Change(1, DrawDeed.MOVED, ("h",), to=2)])
    assert joined[1] == ("e", "f", "g", "h")
    assert reprints(groups, joined) == {"e", "f", "g", "h"}
    inside = groups_after(groups, [Change(1, DrawDeed.SWAPPED, ("a", "b"))])
    assert reprints(groups, inside) == set()  # the same pair marks each other


def test_a_change_that_cannot_be_made_is_refused():
    groups = (("a", "b"), ("c", "d"))
    with pytest.raises(ValueError, match="two players"):
        groups_after(groups, [Change(1, DrawDeed.SWAPPED, ("a", "x"))])
    with pytest.raises(ValueError, match="no such group"):
        groups_after(groups, [Change(1, DrawDeed.MOVED, ("a",), to=4)])


def test_one_past_the_last_makes_a_new_group():
    moved = Change(1, DrawDeed.MOVED, ("x",), to=3)
    assert groups_after((("a", "b"), ("c", "d")), [moved]) == (("a", "b"), ("c", "d"), ("x",))


def test_a_group_keeps_its_number_when_it_is_emptied():
    groups = groups_after((("a",), ("c", "d")), [Change(1, DrawDeed.MOVED, ("a",), to=2)])
    assert groups == ((), ("c", "d", "a"))
