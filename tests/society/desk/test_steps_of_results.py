"""The steps of checks, ties and the seal say what is missing."""

from dataclasses import replace

import pytest

from society.desk.actions.final import make_final
from society.desk.queries.step_checks import checks_step
from society.desk.queries.step_publish import publish_step
from society.desk.queries.step_ties import ties_step
from tests.factories.cards import FIVES, FOURS
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, paper, played

pytestmark = pytest.mark.django_db

SCORER = replace(OFFICER, roles=frozenset({"scorer"}))


def test_before_a_card_is_in_everything_waits() -> None:
    fixture = saturday()
    steps = [step(fixture, OFFICER, AT) for step in (checks_step, ties_step, publish_step)]
    assert [step.state for step in steps] == ["pencil"] * 3
    assert steps[2].state_words == "Waits for handicaps"


def test_a_card_without_a_signature_is_to_be_looked_at() -> None:
    fixture = played([FOURS, None])
    paper(fixture.rounds.get().starts.order_by("pk").last(), FIVES, record="player")
    step = checks_step(fixture, OFFICER, AT)
    assert (step.state, step.count) == ("act", 1)
    assert "Player B001: written, nobody has signed" in step.desc
    assert publish_step(fixture, OFFICER, AT).state == "pencil"


def test_all_in_and_settled_can_be_made_final() -> None:
    fixture = played([FOURS, FIVES])
    assert checks_step(fixture, OFFICER, AT).state == "ink"
    step = publish_step(fixture, OFFICER, AT)
    assert (step.state, step.state_words) == ("act", "Make it final")
    assert step.url.endswith("/final/")
    assert publish_step(fixture, SCORER, AT).url is None


@pytest.mark.parametrize(
    ("cards", "ties", "words"),
    [
        ([FOURS, FIVES], 0, "Nobody is level"),
        ([[5] * 9 + [4] * 9, [4] * 9 + [5] * 9, FOURS], 1, "falls by countback"),
        ([FIVES, FIVES, FOURS, FOURS], 2, "2 groups are level to the end"),
    ],
)
def test_ties_are_counted(cards: list[list[int]], ties: int, words: str) -> None:
    step = ties_step(played(cards), OFFICER, AT)
    assert step.count == ties
    assert words in step.desc


def test_a_sealed_result_is_done() -> None:
    fixture = played([FOURS, FIVES])
    (version,) = make_final(fixture=fixture, by=OFFICER, at=AT)
    assert checks_step(fixture, OFFICER, AT).state_words == "Done"
    assert ties_step(fixture, OFFICER, AT).state == "ink"
    step = publish_step(fixture, OFFICER, AT)
    assert step.state == "final"
    assert version.fingerprint in step.desc


def test_a_cancelled_fixture_has_no_result() -> None:
    fixture = saturday(state="cancelled")
    step = publish_step(fixture, OFFICER, AT)
    assert (step.state_words, step.url) == ("Cancelled", None)
