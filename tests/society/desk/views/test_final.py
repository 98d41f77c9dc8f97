"""The page that makes a result final."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.models import ResultVersion
from society.fixtures.models import Fixture
from society.members.models import Account
from tests.factories.cards import FIVES, FOURS
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, OfficeFactory
from tests.factories.results import paper, played

pytestmark = pytest.mark.django_db


def address(fixture: Fixture) -> str:
    return reverse("desk:make_final", args=[fixture.public_id])


def flat(response: object) -> str:
    return " ".join(response.content.decode().split())


@pytest.fixture
def day(society: object) -> Fixture:
    fixture = played([FOURS, None, None, None])
    paper(fixture.rounds.get().starts.order_by("pk").last(), FIVES, record="player")
    return fixture


def test_one_press_for_each_list(secretary: Client, day: Fixture) -> None:
    html = flat(secretary.get(address(day)))
    assert "No return for both" in html
    assert "Accept it as written" in html
    assert "may take no prize money of any amount" in html
    response = secretary.post(address(day), {"no_return": "on", "accept": "on"})
    assert response.status_code == 302
    version = ResultVersion.objects.get()
    html = flat(secretary.get(response.url))
    assert f"The result is final: version 1, fingerprint {version.fingerprint}." in html
    assert secretary.get(address(day)).url == response.url


def test_a_list_left_alone_names_its_cards(secretary: Client, day: Fixture) -> None:
    entry = day.entries.order_by("pk")[1].public_id
    given = {"accept": "on", f"card_{entry}": "withdrawn"}
    response = secretary.post(address(day), given)
    assert response.status_code == 422
    html = flat(response)
    assert html.count("Choose here, or tick the whole list.") == 2  # summary and field
    assert "Player C002" in html
    assert '<option value="withdrawn" selected>' in html
    assert not ResultVersion.objects.exists()


def test_a_choice_for_one_card_goes_before_the_tick(secretary: Client, day: Fixture) -> None:
    entry = day.entries.order_by("pk")[1]
    given = {"no_return": "on", "accept": "on", f"card_{entry.public_id}": "absent"}
    assert secretary.post(address(day), given).status_code == 302
    assert entry.key not in ResultVersion.objects.get().inputs


def test_nothing_to_choose_is_one_button(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    assert "cards are in and settled" in flat(secretary.get(address(fixture)))
    assert secretary.post(address(fixture)).status_code == 302
    assert ResultVersion.objects.count() == 1


def test_before_handicaps_it_says_what_comes_first(secretary: Client) -> None:
    fixture = saturday()
    assert "Handicaps are not taken yet" in flat(secretary.get(address(fixture)))
    assert secretary.post(address(fixture)).status_code == 409


def test_where_the_reckonings_differ_the_page_says_so(
    secretary: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "scoring.results.actions.sealing.differences", lambda *_: ["place 3 is wrong"]
    )
    response = secretary.post(address(played([FOURS])))
    assert response.status_code == 409
    assert "nothing was sealed. place 3 is wrong" in flat(response)


@pytest.mark.parametrize("kind", ["member", "scorer", "outsider"])
def test_it_is_for_organisers(kind: str, request: pytest.FixtureRequest, day: Fixture) -> None:
    client = request.getfixturevalue(kind)
    assert client.get(address(day)).status_code == 403
    assert client.post(address(day), {"no_return": "on"}).status_code == 403


def test_the_stranger_signs_in_first(stranger: Client, day: Fixture) -> None:
    assert stranger.get(address(day)).status_code == 302


def test_before_the_day_the_page_says_so_plainly(secretary: Client, day: Fixture) -> None:
    said = "The day of play is still to come."
    day.rounds.update(day=date(2026, 1, 1))
    assert said not in flat(secretary.get(address(day)))
    day.rounds.update(day=date(2999, 1, 1))
    assert said in flat(secretary.get(address(day)))


def test_ones_own_open_card_is_told_on_the_page_and_the_choices_stay(
    secretary: Client, day: Fixture
) -> None:
    """Another officer is there to rule, so the secretary's own card waits for them."""
    account = Account.objects.get(offices__role="secretary")
    own, other = day.entries.order_by("pk")[1:3]
    own.player.accounts.add(account)
    OfficeFactory(account=AccountFactory(), role="captain")
    given = {"no_return": "on", "accept": "on", f"card_{other.public_id}": "withdrawn"}
    response = secretary.post(address(day), given)
    assert response.status_code == 403
    html = flat(response)
    assert "This is your own card: another officer makes this ruling." in html
    assert "Your own card is among these." in html
    assert '<option value="withdrawn" selected>' in html
    assert not ResultVersion.objects.exists()
