"""The offices page: given and ended by the secretary alone."""

import pytest
from django.test import Client
from django.urls import reverse

from society.members.models import Office
from tests.factories.members import AccountFactory, OfficeFactory

OFFICES = "/offices/"


def test_an_office_is_given(secretary: Client) -> None:
    account = AccountFactory(name="Ida Low")
    assert "Wilf Tanglewood" in secretary.get(OFFICES).content.decode()
    response = secretary.post(
        OFFICES, {"account": account.public_id, "role": "scorer", "starts": "2026-04-18"}
    )
    assert response.headers["Location"] == OFFICES
    assert account.offices.get().role == "scorer"
    page = secretary.get(OFFICES).content.decode()
    assert "Ida Low is scorer now." in page


@pytest.mark.parametrize(
    "change", [{"account": "x"}, {"role": "x"}, {"starts": "soon"}, {"ends": "2026-04-17"}]
)
def test_bad_input_is_422_and_kept(change: dict[str, str], secretary: Client) -> None:
    account = AccountFactory(name="Ida Low")
    values = {"account": account.public_id, "role": "scorer", "starts": "2026-04-18"} | change
    response = secretary.post(OFFICES, values)
    assert response.status_code == 422
    page = response.content.decode()
    assert "error-summary" in page
    assert next(iter(change.values())) in page or "account" in change or "role" in change
    assert Office.objects.count() == 1


def test_the_same_office_twice_is_refused_with_a_sentence(secretary: Client) -> None:
    held = OfficeFactory(role="scorer", account=AccountFactory(name="Ida Low"))
    response = secretary.post(
        OFFICES,
        {"account": held.account.public_id, "role": "scorer", "starts": "2026-04-18"},
    )
    assert response.status_code == 422
    assert "Ida Low holds that office already." in response.content.decode()


def test_an_office_is_ended(secretary: Client) -> None:
    held = OfficeFactory(role="scorer")
    address = reverse("members:end_office", args=[held.public_id])
    assert held.account.name in secretary.get(address).content.decode()
    assert secretary.post(address, {"last_day": ""}).status_code == 422
    assert secretary.post(address, {"last_day": "2026-04-18"}).headers["Location"] == OFFICES
    held.refresh_from_db()
    assert str(held.ends) == "2026-04-18"


def test_an_office_may_end_on_the_last_day_of_the_calendar(secretary: Client) -> None:
    """A browser's date box lets people write the year 9999."""
    OfficeFactory(role="secretary")
    held = OfficeFactory(role="secretary")
    address = reverse("members:end_office", args=[held.public_id])
    assert secretary.post(address, {"last_day": "9999-12-31"}).status_code == 302


def test_the_last_secretary_stays(secretary: Client) -> None:
    only = Office.objects.get(role="secretary")
    response = secretary.post(
        reverse("members:end_office", args=[only.public_id]), {"last_day": "2026-04-18"}
    )
    assert response.status_code == 409
    assert "without a secretary" in response.content.decode()


def test_an_office_that_is_not_there(secretary: Client) -> None:
    assert secretary.get(reverse("members:end_office", args=["nosuch"])).status_code == 404


@pytest.mark.parametrize("browser", ["captain", "scorer", "member", "outsider"])
def test_others_stay_out(browser: str, request: pytest.FixtureRequest) -> None:
    client = request.getfixturevalue(browser)
    held = OfficeFactory(role="scorer")
    for address in (OFFICES, reverse("members:end_office", args=[held.public_id])):
        assert client.get(address).status_code == 403
        assert client.post(address, {}).status_code == 403
