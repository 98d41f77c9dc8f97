"""Two processes take the last place at once: one is in and one waits, every time."""

import pytest

from tests.races.conftest import GIVEN, race, run
from tests.races.places import PLACES

MEMBERS = "tests.races.places"
ON_POSTGRESQL = GIVEN.startswith("postgres")


def both_enter(url: str, hand: str, rounds: int) -> tuple[list[list[object]], object]:
    """The answers by round, and for each fixture how many are in and how many wait."""
    made = run(url, MEMBERS, "prepare", str(rounds))
    fixtures = " ".join(made["fixtures"])
    racers = [("enter", hand, player, fixtures) for player in made["players"]]
    return race(url, MEMBERS, racers, rounds), run(url, MEMBERS, "stored", fixtures)


def test_one_is_in_and_one_waits_twenty_times(race_url: str) -> None:
    answers, stored = both_enter(race_url, "plain", 20)
    assert [sorted(round_) for round_ in answers] == [["entered", "waiting"]] * 20
    assert stored == [[PLACES, 1]] * 20


def test_nor_if_there_is_time_between_counting_and_writing(race_url: str) -> None:
    """The same pause in which the controls below go wrong."""
    answers, stored = both_enter(race_url, "slow", 2)
    assert [sorted(round_) for round_ in answers] == [["entered", "waiting"]] * 2
    assert stored == [[PLACES, 1]] * 2


# controls: what the promise above hangs on, taken away ---------------------------------------


def test_control_without_a_transaction_both_are_in(race_url: str) -> None:
    _, stored = both_enter(race_url, "bare", 2)
    assert [inside for inside, _ in stored] == [PLACES + 1] * 2


@pytest.mark.postgres
def test_control_without_holding_the_row_both_are_in(race_url: str) -> None:
    """PostgreSQL: a transaction alone is not enough; each reads before the other has written."""
    answers, stored = both_enter(race_url, "unheld", 2)
    assert answers == [["entered", "entered"]] * 2
    assert stored == [[PLACES + 1, 0]] * 2


@pytest.mark.skipif(ON_POSTGRESQL, reason="how SQLite begins a transaction")
def test_control_sqlite_needs_no_row_lock_because_it_begins_immediate(race_url: str) -> None:
    """IMMEDIATE takes the one write lock before the first read: without the row, still in turn."""
    answers, stored = both_enter(race_url, "unheld", 2)
    assert [sorted(round_) for round_ in answers] == [["entered", "waiting"]] * 2
    assert stored == [[PLACES, 1]] * 2


@pytest.mark.skipif(ON_POSTGRESQL, reason="how SQLite begins a transaction")
def test_control_deferred_transactions_turn_one_away(race_url: str) -> None:
    """Both read, both want to write: SQLite turns one away at once, who is then on no list."""
    answers, stored = both_enter(race_url, "deferred", 2)
    for round_ in answers:
        assert sorted(str(answer)[:7] for answer in round_) == ["entered", "refused"]
        assert "locked" in " ".join(map(str, round_))
    assert stored == [[PLACES, 0]] * 2
