"""Where points are lost: sums worked out by hand; the points of a hole are Rule 21.1b's."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from society.desk.rules.points_by_hole import (
    HolePlayed,
    Tally,
    by_hole,
    by_par,
    most_lost,
    points_of_round,
)


def test_a_card_is_counted_off_the_shots_received() -> None:
    # Rules of Golf 2023, Rule 21.1b: net par 2, one over 1, one under 3, no score 0
    played = points_of_round((10, 11, 12, 13), (4, 3, 5, 4), (1, 0, 2, -1), (5, 2, None, 4))
    assert played == [
        HolePlayed(10, 4, 2),
        HolePlayed(11, 3, 3),
        HolePlayed(12, 5, 0),
        HolePlayed(13, 4, 1),
    ]


ROUNDS = [
    [HolePlayed(1, 4, 2), HolePlayed(2, 3, 0), HolePlayed(3, 5, 3)],
    [HolePlayed(1, 5, 1), HolePlayed(2, 3, 1)],
]


def test_holes_and_pars_are_added_up() -> None:
    assert by_hole(ROUNDS) == [Tally("1", 2, 3), Tally("2", 2, 1), Tally("3", 1, 3)]
    assert by_par(ROUNDS) == [Tally("3", 2, 1), Tally("4", 1, 2), Tally("5", 2, 4)]
    assert [tally.lost for tally in by_hole(ROUNDS)] == [1, 3, -1]
    assert by_hole(ROUNDS)[1].average == Fraction(1, 2)


def test_the_worst_are_named_and_all_that_are_level() -> None:
    assert most_lost(by_hole(ROUNDS)) == [Tally("2", 2, 1)]
    level = [Tally("1", 2, 2), Tally("2", 4, 4), Tally("3", 2, 6)]
    assert most_lost(level) == level[:2]


def test_where_nothing_is_lost_no_hole_is_named() -> None:
    assert most_lost([Tally("1", 2, 4), Tally("2", 2, 5)]) == []
    assert most_lost([]) == []


@given(
    st.lists(
        st.lists(
            st.builds(HolePlayed, st.integers(1, 18), st.integers(3, 5), st.integers(0, 6)),
            max_size=18,
        ),
        max_size=8,
    )
)
def test_no_point_gets_lost_in_the_adding(rounds: list[list[HolePlayed]]) -> None:
    points = sum(hole.points for played in rounds for hole in played)
    for tallies in (by_hole(rounds), by_par(rounds)):
        assert sum(tally.points for tally in tallies) == points
        assert sum(tally.rounds for tally in tallies) == sum(map(len, rounds))
