"""The page that moves a fixture, and where members read of it."""

from datetime import date

import pytest
import time_machine

from society.entries.actions import drawing, freezing
from society.entries.rules.draw import DrawMethod
from society.fixtures.models import Fixture
from tests.factories.entries import entered
from tests.factories.fixtures import SeasonFactory, saturday

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


@pytest.fixture
def fixture(society) -> Fixture:
    made = saturday(
        season=SeasonFactory(name="2026"), name="Lantern Plate", starts_on=date(2026, 10, 10)
    )
    entered(made, email="in@example.org")
    return made


def text(response) -> str:
    return " ".join(response.content.decode().split())


def send(client, fixture, **values):
    said = {"day": "2026-10-17", "words": "Greens under water.", "edited": "0", "deadlines": "on"}
    return client.post(f"/fixtures/{fixture.public_id}/move/", said | values, follow=True)


def test_the_page_says_whom_it_concerns(secretary, fixture):
    said = text(secretary.get(f"/fixtures/{fixture.public_id}/move/"))
    assert "1 player is in." in said.replace("\xa0", " ")
    assert "The draw is published" not in said


def test_it_moves_and_members_read_when_and_why(secretary, member, fixture):
    answer = send(secretary, fixture)
    assert "Lantern Plate moves to Saturday 17 October 2026. Entries stay." in text(answer)
    assert "moved the day to Saturday 17 October" in text(answer)
    page = text(member.get(f"/fixtures/{fixture.public_id}/"))
    assert "Moved from Saturday 10 October" in page
    assert "Greens under water." in page
    assert "moved from Sat 10 Oct" in text(member.get("/"))


def test_without_a_reason_nothing_moves(secretary, fixture):
    answer = send(secretary, fixture, words="")
    assert answer.status_code == 422
    assert "Say why the day moves." in text(answer)
    assert Fixture.objects.get().starts_on == date(2026, 10, 10)


def test_a_published_draw_is_asked_about(secretary, fixture, machine, at):
    entered(fixture)
    Fixture.objects.update(state="closed")
    fixture.refresh_from_db()
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, by=machine, at=at)
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    answer = send(secretary, fixture)
    assert answer.status_code == 422
    assert "Say what becomes of the published draw." in text(answer)
    assert send(secretary, fixture, draw="stands").redirect_chain


def test_what_is_over_answers_409(secretary, fixture):
    Fixture.objects.update(state="cancelled")
    assert send(secretary, fixture).status_code == 409


def test_a_page_opened_before_somebody_elses_change(secretary, fixture):
    Fixture.objects.update(edited=3)
    answer = send(secretary, fixture)
    assert answer.status_code == 409
    assert "changed by somebody else" in text(answer)


def test_not_for_members(member, fixture):
    assert member.get(f"/fixtures/{fixture.public_id}/move/").status_code == 403
