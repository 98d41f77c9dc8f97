"""A player's page: the record for everyone who plays, contact data for officers and the player."""

from datetime import date, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from society.handicaps.actions.record import record
from society.members.models import Player
from society.web.who import Who
from tests.conftest import signed_in
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, PlayerFactory


def page_of(client: Client, player: Player) -> str:
    response = client.get(reverse("desk:player", args=[player.public_id]))
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def ida(society: object, machine: Who, at: datetime) -> Player:
    found = PlayerFactory(name="Ida Low", email="ida@example.org", number="Q-77", home_club="Fen")
    for value, day, words in (("12.3", 1, "first list"), ("-1.2", 9, "three wins")):
        record(
            player=found,
            kind="index",
            value=Decimal(value),
            source="association",
            valid_from=date(2026, 4, day),
            words=words,
            by=machine,
            at=at,
        )
    return found


def test_the_record_is_shown_newest_first(member: Client, ida: Player) -> None:
    page = page_of(member, ida)
    assert page.index("+1.2") < page.index("12.3")
    assert "three wins" in page
    assert "Written by the program" in page


def test_contact_data_are_hidden_from_other_members(member: Client, ida: Player) -> None:
    page = page_of(member, ida)
    for hidden in ("ida@example.org", "Q-77", "Fen"):
        assert hidden not in page


@pytest.mark.parametrize("browser", ["secretary", "captain", "scorer"])
def test_officers_see_contact_data(
    browser: str, ida: Player, request: pytest.FixtureRequest
) -> None:
    page = page_of(request.getfixturevalue(browser), ida)
    assert "ida@example.org" in page
    assert ("Change Ida" in page) == (browser == "secretary")
    assert ("Write down a handicap" in page) == (browser == "secretary")


def test_the_player_sees_all_of_it(ida: Player) -> None:
    page = page_of(signed_in(AccountFactory(players=[ida])), ida)
    assert "You play as" in page
    assert "ida@example.org" in page


def test_fixtures_entered_are_listed(member: Client, society: object) -> None:
    entry = entered(saturday(name="Lantern Plate"), name="Jem Saltcote", step="waiting")
    page = page_of(member, entry.player)
    assert "Lantern Plate" in page
    assert "On the waiting list" in page


def test_nobody_there_and_nobody_for_an_outsider(
    member: Client, outsider: Client, ida: Player
) -> None:
    assert member.get(reverse("desk:player", args=["nosuch"])).status_code == 404
    assert outsider.get(reverse("desk:player", args=[ida.public_id])).status_code == 404


def test_a_long_record_asks_no_more(member: Client, ida: Player, machine: Who, at: object) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as said:
            page_of(member, ida)
        return len(said)

    saturday(name="Of the season")  # what the season plays off is asked for once
    before = count()
    for day in (2, 3, 4):
        record(
            player=ida,
            kind="index",
            value=Decimal(day),
            source="society",
            valid_from=date(2026, 4, day),
            words="again",
            by=machine,
            at=at,
        )
        entered(saturday(), name=f"Other {day}")
    assert count() == before
