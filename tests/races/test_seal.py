"""Figures arrive while the result is sealed: they are in the seal, or they are held beside it."""

from tests.factories.cards import FIVES, FOURS
from tests.races.conftest import race, run

SEALS = "tests.races.seals"


def write_and_seal(url: str, hand: str, rounds: int) -> list[tuple[object, ...]]:
    """For each fixture: what the writer heard, the card as it stands, and as it was sealed."""
    fixtures = " ".join(run(url, SEALS, "prepare", str(rounds)))
    racers = [("write", hand, fixtures), ("seal", hand, fixtures)]
    answers = race(url, SEALS, racers, rounds)
    assert [sealed for _, sealed in answers] == ["final"] * rounds
    stored = run(url, SEALS, "stored", fixtures)
    assert [versions for *_, versions in stored] == [1] * rounds
    return [(told, *cards[:2]) for (told, _), cards in zip(answers, stored, strict=True)]


def test_in_the_seal_or_held_twenty_times(race_url: str) -> None:
    for told, stands, sealed in write_and_seal(race_url, "plain", 20):
        assert (told, stands, sealed) in (("new", FIVES, FIVES), ("held", FOURS, FOURS))


def test_nor_between_if_there_is_time_between_reading_and_sealing(race_url: str) -> None:
    """The same pause in which the control below goes wrong: the writer waits, and is held."""
    assert write_and_seal(race_url, "slow", 2) == [("held", FOURS, FOURS)] * 2


def test_control_without_a_hold_a_card_is_taken_that_the_seal_does_not_have(race_url: str) -> None:
    assert write_and_seal(race_url, "bare", 2) == [("new", FIVES, FOURS)] * 2
