"""Points, best N of M and ties at the end, by the stories of a study of society seasons.

Every figure here is common practice, no source: no rule book orders a season. The arithmetic of
shared points (add the places' points and divide) is as prize funds are shared in published
examples: 460 + 420 gives 440 each; 125 + 100 + 90 gives 105 each.
"""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.strict_json import Refused
from society.merit.rules.points import earned_in
from society.merit.rules.reading import PRESETS, rules_as_json, rules_from_json
from society.merit.rules.rows import Row, shown
from society.merit.rules.season import counting, moved, standings
from society.merit.rules.values import (
    Event,
    EventTies,
    Finish,
    Guests,
    MeritRules,
    PointsFrom,
    SeasonTie,
)
from society.merit.rules.words import sentences_of, why

USUAL = MeritRules()
TOTALS = MeritRules(points=PointsFrom.TOTAL)


def event(*finishes: tuple[str, int, int], guests: str = "", key: str = "e") -> Event:
    """Finishes as (player, place after countback, total); `guests` names the guests."""
    return Event(key, tuple(Finish(name, name not in guests, p, t) for name, p, t in finishes))


def points(day: Event, rules: MeritRules) -> dict[str, str]:
    return {player: shown(earned.points) for player, earned in earned_in(day, rules).items()}


def season(**scores: list[int | None]) -> list[Event]:
    """A season of Stableford totals by player, one list a player; None where not played."""
    days = zip(*scores.values(), strict=True)
    names = list(scores)
    return [
        Event(
            str(number),
            tuple(
                Finish(name, True, 1 + sum(o > score for o in day if o is not None), score)
                for name, score in zip(names, day, strict=True)
                if score is not None
            ),
        )
        for number, day in enumerate(days)
    ]


# Story 4: two members level for second behind a winner, 25-18-15-12-10-8-6-4-2-1.
SECOND = event(("w", 1, 40), ("a", 2, 38), ("b", 3, 38), ("c", 4, 36))


@pytest.mark.parametrize(
    ("ties", "expected"),
    [
        (EventTies.DIVIDE, {"w": "25", "a": "16.5", "b": "16.5", "c": "12"}),
        (EventTies.HIGHER, {"w": "25", "a": "18", "b": "18", "c": "12"}),
        (EventTies.NO_SKIP, {"w": "25", "a": "18", "b": "18", "c": "15"}),
        (EventTies.COUNTBACK, {"w": "25", "a": "18", "b": "15", "c": "12"}),
    ],
)
def test_four_ways_with_a_tie(ties: EventTies, expected: dict[str, str]) -> None:
    assert points(SECOND, replace(USUAL, event_ties=ties)) == expected


def test_three_level_for_fifth_get_eight_each() -> None:
    day = event(
        ("a", 1, 40), ("b", 2, 39), ("c", 3, 38), ("d", 4, 37),
        ("e", 5, 36), ("f", 6, 36), ("g", 7, 36), ("h", 8, 35),
    )  # fmt: skip
    found = points(day, USUAL)
    assert [found[name] for name in "efgh"] == ["8", "8", "8", "4"]


@pytest.mark.parametrize(
    ("table", "level", "each"),
    [((460, 420), 2, "440"), ((125, 100, 90), 3, "105"), ((25, 18, 15), 3, "19.3")],
)
def test_shared_points_are_added_and_divided(table: tuple[int, ...], level: int, each: str) -> None:
    day = event(*[(f"p{n}", n + 1, 36) for n in range(level)])
    assert set(points(day, replace(USUAL, table=table)).values()) == {each}


def test_a_tie_over_the_end_of_the_table_shares_what_is_left() -> None:
    day = event(("a", 1, 40), ("b", 2, 36), ("c", 3, 36))
    assert points(day, replace(USUAL, table=(10, 5), beyond=0)) == {
        "a": "10", "b": "2.5", "c": "2.5",
    }  # fmt: skip


def test_countback_that_left_two_level_divides() -> None:
    day = event(("a", 1, 40), ("b", 2, 38), ("c", 2, 38), ("d", 4, 38))
    rules = replace(USUAL, event_ties=EventTies.COUNTBACK)
    assert points(day, rules) == {"a": "25", "b": "16.5", "c": "16.5", "d": "12"}


# Story 5: a guest wins.
GUEST_WINS = event(("guest", 1, 40), ("a", 2, 38), ("b", 3, 37), ("c", 4, 37), guests="guest")


def test_a_guest_is_removed_and_members_move_up() -> None:
    assert points(GUEST_WINS, USUAL) == {"a": "25", "b": "16.5", "c": "16.5"}


def test_a_guest_may_be_shown_without_a_number() -> None:
    rules = replace(USUAL, guests=Guests.UNRANKED)
    rows = standings([GUEST_WINS], rules)
    assert [(row.player, row.place, shown(row.total)) for row in rows] == [
        ("guest", None, "25"), ("a", 1, "18"), ("b", 2, "13.5"), ("c", 2, "13.5"),
    ]  # fmt: skip


# Story 6: best five of seven.
X: list[int | None] = [36, 34, 33, 31, 30, 28, None]
Y: list[int | None] = [38, 35, 33, 30, None, None, 28]
SHORT: list[int | None] = [40, 40, 40, 40, None, None, None]
FIVE = replace(TOTALS, best=5, minimum=5, season_ties=(SeasonTie.NEXT_BEST, SeasonTie.BEST_SCORE))


def by_player(rows: list[Row]) -> dict[str, Row]:
    return {row.player: row for row in rows}


def test_best_five_of_seven() -> None:
    rows = standings(season(x=X, y=Y, short=SHORT), FIVE)
    assert [(row.player, row.place, row.total) for row in rows] == [
        ("y", 1, 164), ("x", 2, 164), ("short", None, 160),
    ]  # fmt: skip
    found = by_player(rows)
    dropped = [cell.points for cell in found["x"].cells if cell and not cell.counts]
    assert dropped == [28]
    assert found["short"].short == 1
    # Y has no sixth score, so the next test decides: the single best score, 38 v 36
    assert why(found["y"], {"x": "Xaver"}) == "Ahead of Xaver: better best score, 38 v 36"
    assert why(found["x"], {}) == ""


def test_the_sixth_score_decides_where_both_have_one() -> None:
    rows = standings(season(x=X, y=[38, 35, 33, 30, 27, None, 28]), FIVE)
    assert [row.player for row in rows] == ["x", "y"]
    # level on 164; sixth scores 28 v 27
    assert why(rows[0], {"y": "Ysolde"}) == "Ahead of Ysolde: better sixth score, 28 v 27"


# Story 7: a fixture lost to snow, season of nine, best six.
LOST = season(a=[30, 31, 32, 33, 34, 35, 36, 20], b=[38, 38, 38, 38, 38, 0, 40, 5])


def test_a_cancelled_fixture_changes_nobodys_total() -> None:
    rules = replace(TOTALS, best=6)
    assert counting(rules, cancelled=1) == 6
    assert standings(LOST, rules, cancelled=1) == standings(LOST, rules)


def test_where_the_number_follows_best_five_count_and_who_moved_is_listed() -> None:
    days = season(a=[36, 36, 36, 36, 36, 36], b=[38, 38, 38, 38, 38, 20], c=[1, 1, 1, 1, 1, 1])
    rules = replace(TOTALS, best=6, best_follows=True)
    before, after = standings(days, rules), standings(days, rules, cancelled=1)
    assert counting(rules, cancelled=1) == 5
    assert [row.player for row in before] == ["a", "b", "c"]
    assert moved(before, after) == [("b", 2, 1), ("a", 1, 2)]


@pytest.mark.parametrize(
    ("ties", "words"),
    [
        # a 36 30 30, b 34 33 29: level on 96
        ((SeasonTie.BEST_SCORES,), "Ahead of B: better best score, 36 v 34"),
        ((SeasonTie.MOST_WINS,), "Ahead of B: more wins, 2 v 1"),
        ((SeasonTie.LAST_EVENT,), "Ahead of B: better in the last fixture, 30 v 29"),
        (
            (SeasonTie.MOST_EVENTS, SeasonTie.BEST_SCORE),
            "Ahead of B: level on fixtures played, better best score, 36 v 34",
        ),
    ],
)
def test_each_way_of_parting_names_both_figures(ties: tuple[SeasonTie, ...], words: str) -> None:
    rows = standings(season(a=[36, 30, 30], b=[34, 33, 29]), replace(TOTALS, season_ties=ties))
    assert why(rows[0], {"b": "B"}) == words


def test_level_on_the_best_the_second_decides() -> None:
    days = season(t=[38, 33, 29], i=[38, 31, 31])
    rows = standings(days, replace(TOTALS, season_ties=(SeasonTie.BEST_SCORES,)))
    assert (
        why(rows[0], {"i": "Ida"})
        == "Ahead of Ida: level on the best, better second score, 33 v 31"
    )


def test_who_is_level_after_the_last_test_shares_the_place() -> None:
    rows = standings(season(a=[36, 30], b=[36, 30], c=[20, 20]), TOTALS)
    assert [(row.player, row.place, row.level_with) for row in rows] == [
        ("a", 1, ("b",)), ("b", 1, ("a",)), ("c", 3, ()),
    ]  # fmt: skip
    assert why(rows[0], {"b": "Bea"}) == "Level with Bea on every count"


def test_missing_the_last_fixture_is_behind_any_score_in_it() -> None:
    rules = replace(TOTALS, best=1, season_ties=(SeasonTie.LAST_EVENT,))
    rows = standings(season(a=[36, None], b=[36, 1]), rules)
    assert [row.player for row in rows] == ["b", "a"]
    assert why(rows[0], {"a": "A"}) == "Ahead of A: better in the last fixture, 1 v none"


def test_another_format_earns_no_stableford_points() -> None:
    medal = replace(event(("a", 1, 70)), stableford=False)
    assert earned_in(medal, TOTALS) == {}
    assert standings([medal], TOTALS) == []


def test_days_as_a_guest_do_not_count_for_who_is_a_member_later() -> None:
    days = [event(("a", 1, 40), ("b", 2, 30), guests="a"), event(("a", 1, 36), ("b", 2, 30))]
    for guests in Guests:
        row = by_player(standings(days, replace(USUAL, guests=guests)))["a"]
        assert [cell and cell.points for cell in row.cells] == [None, 25]


def test_an_empty_season_is_an_empty_table() -> None:
    assert standings([], USUAL) == []


@given(
    st.lists(
        st.lists(st.one_of(st.none(), st.integers(0, 45)), min_size=4, max_size=4),
        min_size=1,
        max_size=6,
    ),
    st.integers(1, 4),
    st.permutations(list(SeasonTie)),
)
def test_laws_of_a_table(days: list[list[int | None]], best: int, ties: list[SeasonTie]) -> None:
    scores = {name: [day[at] for day in days] for at, name in enumerate("abcd")}
    rules = replace(TOTALS, best=best, season_ties=tuple(ties))
    rows = standings(season(**scores), rules)
    assert standings(season(**dict(reversed(scores.items()))), rules) == rows  # order never matters
    for row in rows:
        counted = [cell.points for cell in row.cells if cell and cell.counts]
        assert sum(counted) == row.total
        assert len(counted) == min(best, row.events)
    for upper, lower in zip(rows, rows[1:], strict=False):
        assert upper.total >= lower.total
        if upper.total == lower.total and upper.place != lower.place:
            assert upper.parted
            assert lower.player in upper.parted.below


@given(st.integers(1, 12), st.integers(1, 12))
def test_dividing_gives_out_exactly_the_points_of_the_places(level: int, rest: int) -> None:
    day = event(
        *[(f"a{n}", 1, 40) for n in range(level)],
        *[(f"b{n}", level + 1 + n, 30 - n) for n in range(rest)],
    )
    given_out = sum(earned.points for earned in earned_in(day, USUAL).values())
    places = range(level + rest)
    worth = [USUAL.table[n] if n < len(USUAL.table) else USUAL.beyond for n in places]
    assert given_out == Fraction(sum(worth))


# Typed from a study of society rules: first, last paid place and how many are paid.
@pytest.mark.parametrize(
    ("key", "first", "last", "places"),
    [
        ("top-ten", 10, 1, 10), ("top-twenty-five", 25, 1, 25), ("top-fifty", 50, 1, 50),
        ("five-by-fives", 25, 5, 5), ("nine-then-one", 25, 2, 9), ("forty-places", 500, 5, 40),
        ("fifteen-down", 15, 2, 7), ("thirty-places", 50, 5, 30), ("top-twelve", 12, 1, 12),
    ],
)  # fmt: skip
def test_presets(key: str, first: int, last: int, places: int) -> None:
    table = next(preset.table for preset in PRESETS if preset.key == key)
    assert (table[0], table[-1], len(table)) == (first, last, places)


def test_the_table_of_forty_places_passes_its_marks() -> None:
    table = next(preset.table for preset in PRESETS if preset.key == "forty-places")
    assert (table[10], table[20], table[39]) == (200, 100, 5)  # 11th, 21st, 40th


def test_rules_are_kept_and_read_back() -> None:
    for rules in (USUAL, FIVE, replace(TOTALS, table=(), best_follows=True)):
        assert rules_from_json(rules_as_json(rules)) == rules


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('"version":2', '"version":3', "rules.version"),
        ('"points":"places"', '"points":"luck"', "rules.points"),
        ('"table":[25', '"table":[-1', "rules.table[0]"),
        ('"best":null', '"best":0', "rules.best"),
        ('"minimum":0', '"minimum":true', "rules.minimum"),
        ('"beyond":1,', "", "rules.beyond"),
        ('["next best"', '["best score"', "rules.season_ties[1]"),
    ],
)
def test_rules_that_cannot_be_read_are_refused_at_their_place(
    old: str, new: str, place: str
) -> None:
    text = rules_as_json(USUAL)
    assert old in text
    with pytest.raises(Refused) as refused:
        rules_from_json(text.replace(old, new, 1))
    assert refused.value.place == place


def test_a_table_by_places_needs_places() -> None:
    with pytest.raises(Refused, match="wants 1 to 200 places"):
        rules_from_json(rules_as_json(replace(USUAL, table=())))


def test_the_rules_in_plain_sentences() -> None:
    said = " ".join(sentences_of(replace(FIVE, best_follows=True), cancelled=1))
    assert "The best four scores count" in said
    assert "lowers that number by one" in said
    assert "at least five fixtures" in said
    assert "as long as all have one; then by the best score. Then the place is shared." in said
    assert "All scores count." in sentences_of(replace(USUAL, season_ties=()))
    assert "Level totals share the place." in sentences_of(replace(USUAL, season_ties=()))
