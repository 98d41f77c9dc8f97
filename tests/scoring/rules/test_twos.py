"""The twos pot: the worked sums of a society's day. Common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.rules.twos import is_two, pot_of, pot_text, share_pot

FIELD = [f"p{n:02d}" for n in range(1, 29)]
FIVE_TWOS = {"p01": [3, 16], "p05": [7], "p09": [11], "p20": [16]}


def test_28_at_two_pounds_and_five_twos_by_four_players() -> None:
    pot = share_pot(stake=200, players=FIELD, twos=FIVE_TWOS)
    assert pot.total == 5600
    assert pot.each == 1120
    assert {share.key: share.amount for share in pot.shares} == {
        "p01": 2240,
        "p05": 1120,
        "p09": 1120,
        "p20": 1120,
    }
    assert pot.onward == 0


def test_the_two_of_a_non_payer_is_ignored() -> None:
    """Two of the 28 did not pay, one of them with a two: £52, four good twos, £13 each."""
    paid = [key for key in FIELD if key not in ("p09", "p28")]
    pot = share_pot(stake=200, players=paid, twos=FIVE_TWOS)
    assert (pot.total, pot.count, pot.each) == (5200, 4, 1300)
    assert [share.key for share in pot.ignored] == ["p09"]


def test_no_twos_and_the_whole_pot_goes_on() -> None:
    pot = share_pot(stake=200, players=FIELD, twos={})
    assert (pot.each, pot.onward) == (0, 5600)
    after = share_pot(stake=200, players=FIELD, twos={"p01": [3]}, brought=pot.onward)
    assert (after.total, after.each) == (11200, 11200)


def test_what_does_not_divide_goes_on() -> None:
    """Three twos for £56.00: £18.66 each, and two pence are left. Worked by hand."""
    pot = share_pot(stake=200, players=FIELD, twos={"p01": [3], "p02": [3], "p03": [3]})
    assert (pot.each, pot.onward) == (1866, 2)


@given(
    st.integers(0, 1000),
    st.integers(0, 40),
    st.integers(0, 10_000),
    st.lists(st.tuples(st.integers(0, 50), st.integers(1, 18)), max_size=30, unique=True),
)
def test_never_more_than_the_pot_is_paid(
    stake: int, inside: int, brought: int, made: list[tuple[int, int]]
) -> None:
    twos: dict[str, list[int]] = {}
    for player, hole in made:
        twos.setdefault(f"p{player}", []).append(hole)
    players = [f"p{n}" for n in range(inside)]
    pot = share_pot(stake=stake, players=players, twos=twos, brought=brought)
    paid = sum(share.amount for share in pot.shares)
    assert paid + pot.onward == pot.total == stake * inside + brought
    assert pot.onward < max(pot.count, 1) or pot.count == 0
    assert pot_of(pot_text(pot)) == pot


def test_a_pot_whose_sums_were_changed_is_refused() -> None:
    text = pot_text(share_pot(stake=200, players=FIELD, twos=FIVE_TWOS))
    with pytest.raises(ValueError, match="does not add up"):
        pot_of(text.replace('"each":1120', '"each":1121'))


def test_a_hole_in_one_is_a_two_and_no_score_is_none() -> None:
    assert [is_two(strokes) for strokes in (1, 2, 3, None)] == [True, True, False, False]
