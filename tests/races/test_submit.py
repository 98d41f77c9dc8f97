"""A burst of phones, and two editors of one card, in real processes on a real database."""

from collections import Counter
from uuid import uuid4

from tests.races.conftest import race, run

PHONES = "tests.races.phones"


def test_one_card_sent_many_times_at_once_is_one_card(race_url: str) -> None:
    """Four processes send the same twenty cards, each three times (TRUST B1, in little)."""
    cards = run(race_url, PHONES, "prepare", "20")
    uuids = [str(uuid4()) for _ in cards]
    racers = [("send", " ".join(cards), " ".join(uuids), "3")] * 4
    [heard] = race(race_url, PHONES, racers)
    answers = [answer for racer in heard for answer in racer]
    by_uuid: dict[str, list[int]] = {}
    for answer in answers:
        by_uuid.setdefault(answer["uuid"], []).append(answer["status"])
    assert sorted(by_uuid) == sorted(uuids)
    for statuses in by_uuid.values():
        assert Counter(statuses) == {201: 1, 200: 11}
    digests = {(answer["uuid"], answer["digest"]) for answer in answers}
    assert len(digests) == len(uuids)
    stored = run(race_url, PHONES, "counts")
    assert stored == {"cards": 20, "numbers": [1] * 20, "held": 0, "lines": 20, "breaks": []}


def test_two_editors_from_one_parent_one_is_applied_and_the_other_kept(race_url: str) -> None:
    """Twenty rounds; in each both write on the same parent at the same moment (TRUST C1)."""
    [card, *_] = run(race_url, PHONES, "prepare", "2")
    rounds = 20
    racers = [("edit", card, str(rounds), figure) for figure in ("4", "5")]
    for one, other in race(race_url, PHONES, racers, rounds):
        assert sorted((one["status"], other["status"])) == [201, 202]
        assert {one["outcome"], other["outcome"]} == {"new", "held"}
    stored = run(race_url, PHONES, "counts")
    assert stored["held"] == rounds
    assert sorted(n for n in stored["numbers"] if n) == list(range(1, rounds + 1))
    assert (stored["cards"], stored["lines"], stored["breaks"]) == (1, 2 * rounds, [])


def test_one_number_on_two_cards_at_once_is_taken_once(race_url: str) -> None:
    """The same UUID sent for two cards by two people: one is written, the other refused."""
    cards = run(race_url, PHONES, "prepare", "2")
    uuid = str(uuid4())
    racers = [("send", card, uuid, "1") for card in cards]
    [[[first], [second]]] = race(race_url, PHONES, racers)
    assert sorted((first["status"], second["status"])) == [201, 422]
    assert run(race_url, PHONES, "counts")["cards"] == 1
