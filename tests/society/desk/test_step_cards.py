"""The step of the cards, before play, while they come in, and when all are in."""

from datetime import UTC, datetime

import pytest

from society.desk.queries.step_cards import cards_step
from society.web.who import Who
from tests.factories.cards import FOURS, ready
from tests.factories.fixtures import saturday
from tests.factories.results import paper

pytestmark = pytest.mark.django_db
BEFORE = datetime(2026, 4, 15, 10, 0, tzinfo=UTC)
THE_DAY = datetime(2026, 4, 18, 15, 0, tzinfo=UTC)
OFFICER = Who(account="a", roles=frozenset({"secretary"}))


def test_before_handicaps_there_is_nothing_to_open(society) -> None:
    step = cards_step(saturday(), OFFICER, BEFORE)
    assert (step.state, step.url, step.count) == ("pencil", None, None)


def test_before_play_nobody_is_chased(society) -> None:
    fixture = ready(players=3)[0].round.fixture
    step = cards_step(fixture, OFFICER, BEFORE)
    assert (step.state, step.count) == ("pencil", 0)
    assert step.url == f"/cards/fixture/{fixture.public_id}/"


def test_on_the_day_the_missing_are_named(society) -> None:
    starts = ready(players=5)
    paper(starts[0], FOURS)
    fixture = starts[0].round.fixture
    step = cards_step(fixture, OFFICER, THE_DAY)
    assert (step.state, step.count) == ("act", 1)
    assert step.state_words.replace("\xa0", " ") == "Chase 4 cards"
    assert starts[1].entry.player.name in step.desc
    assert step.desc.endswith("and 1 more")


def test_all_in_is_ink(society) -> None:
    starts = ready(players=2)
    for start in starts:
        paper(start, FOURS)
    step = cards_step(starts[0].round.fixture, OFFICER, THE_DAY)
    assert (step.state, step.state_words) == ("ink", "All in")
