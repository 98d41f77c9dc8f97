"""An offer lapses while it is being taken: one of the two happens, and the place is held once."""

from tests.races.conftest import race, run

OFFERS = "tests.races.offers"


def take_and_lapse(url: str, hand: str, rounds: int) -> tuple[list[list[object]], list[list]]:
    """The answers by round, and for each fixture what became of the offer and the places held."""
    fixtures = " ".join(run(url, OFFERS, "prepare", str(rounds)))
    racers = [("take", hand, fixtures), ("lapse", hand, fixtures)]
    return race(url, OFFERS, racers, rounds), run(url, OFFERS, "stored", fixtures)


def check(answers: list[list[object]], stored: list[list]) -> None:
    for (taken, lapsed), (steps, held) in zip(answers, stored, strict=True):
        assert (taken, lapsed, steps) in (("taken", 0, ["taken"]), ("too late", 1, ["lapsed"]))
        assert held == 1


def test_either_taken_or_lapsed_twenty_times(race_url: str) -> None:
    check(*take_and_lapse(race_url, "plain", 20))


def test_nor_both_if_there_is_time_between_reading_and_writing(race_url: str) -> None:
    """The same pause in which the control below goes wrong."""
    check(*take_and_lapse(race_url, "slow", 2))


def test_control_without_a_transaction_both_happen(race_url: str) -> None:
    _, stored = take_and_lapse(race_url, "bare", 2)
    assert [sorted(steps) for steps, _ in stored] == [["lapsed", "taken"]] * 2
