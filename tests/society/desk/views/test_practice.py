"""The practice round: all stands in the address, each answer is explained, nothing is kept."""

import re

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.factories.courses import rated_tee
from tests.factories.entries import handicap

pytestmark = pytest.mark.django_db
PRACTICE = "/learn/practice/"


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


@pytest.fixture
def learner(member, player):
    rated_tee()
    handicap(player, "24.6")  # plays off 23, see test_learn
    return member


def text(response):
    bare = re.sub(r"<span class=\"word-note\".*?</span>|<[^>]+>", " ", response.content.decode())
    return " ".join(bare.split())


def right_answers(browser, **more):
    """The answers as the page itself gives them: all are told once all are answered."""
    said = {f"a{hole}": "0" for hole in range(1, 19)}
    page = text(browser.get(PRACTICE, {**said, **more}))
    points = re.findall(r"(?:Right|Not quite) .*?: (\d) points?\.", page)
    assert len(points) == 18
    return {f"a{hole}": point for hole, point in enumerate(points, 1)}


def test_a_round_asks_for_eighteen_holes(learner):
    answer = learner.get(PRACTICE)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert page.count("<fieldset>") == 18
    assert page.count('type="radio"') == 18 * 6
    assert text(answer).count("you pick up") == 1
    assert "2 shots" in text(answer)
    assert "You play off 23" in text(answer)
    assert "Right" not in text(answer)


def test_an_answer_is_explained_at_once_and_stays(learner):
    right = right_answers(learner, seed="7")
    wrong = str((int(right["a3"]) + 1) % 6)
    page = learner.get(PRACTICE, {"seed": "7", "a1": right["a1"], "a3": wrong})
    said = text(page)
    assert said.count("Right") == 1
    assert said.count("Not quite") == 1
    assert "2 of 18 answered, 1 right" in said
    assert f'name="a3" value="{wrong}"' in page.content.decode()
    assert "Look again" not in said


def test_the_round_ends_with_what_to_look_at_again(learner):
    right = right_answers(learner, seed="7")
    page = text(learner.get(PRACTICE, {"seed": "7", **right}))
    assert "18 of 18 right" in page
    assert "you can count a card" in page
    zeros = text(learner.get(PRACTICE, {"seed": "7", **dict.fromkeys(right, "5")}))
    assert "0 of 18 right" in zeros
    assert "Look again at: Pick-ups" in zeros
    assert "Holes with two shots or more" in zeros


def test_a_plus_handicap_on_request(learner):
    link = re.search(r'href="([^"]+)">Try it off \+2<', learner.get(PRACTICE).content.decode())
    page = text(learner.get(link[1].replace("&amp;", "&")))
    assert "You play off +2" in page
    assert page.count("1 shot given back") == 2


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"a3": "9"}, "Hole 3: choose a number of points from 0 to 5."),
        ({"a3": "x" * 500}, "Hole 3: choose a number of points from 0 to 5."),
        ({"a3": "-1"}, "Hole 3: choose a number of points from 0 to 5."),
        ({"seed": "0"}, "out of its bounds"),
        ({"seed": "1000000"}, "out of its bounds"),
        ({"seed": "soon"}, "no whole number"),
        ({"seed": "9" * 5000}, "The number of the round is"),
        ({"handicap": "-3"}, "has a minus sign"),
    ],
)
def test_what_cannot_be_is_said(learner, asked, said):
    answer = learner.get(PRACTICE, asked)
    assert answer.status_code == 422
    assert said in text(answer)


def test_a_hole_wrongly_answered_keeps_the_others(learner):
    right = right_answers(learner, seed="7")
    page = text(learner.get(PRACTICE, {"seed": "7", "a1": right["a1"], "a2": "many"}))
    assert "1 of 18 answered, 1 right" in page


def test_nothing_is_written(learner):
    with CaptureQueriesContext(
        connection,
    ) as asked:
        learner.get(PRACTICE, {"seed": "7", "a1": "2"})
    assert asked.captured_queries
    for query in asked.captured_queries:
        assert query["sql"].startswith(("SELECT", "SAVEPOINT", "RELEASE")), query["sql"]


def test_without_a_record_it_asks_for_a_handicap(member):
    rated_tee()
    page = text(member.get(PRACTICE))
    assert "Choose a course, a tee and a handicap" in page
    assert "No course yet" not in page
