"""The settings page: each says what it changes, and what is kept really changes the pages."""

import json
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.test import Client

from society.audit.models import AuditLine
from society.members.actions.society import change_settings
from society.members.models import Society
from society.web.date_style import dates_written
from society.web.refusals import BadInput, NotYours
from society.web.rules import DateStyle
from society.web.templatetags.look import day_clock, day_long, day_short
from society.web.who import Who
from tests.factories.fixtures import saturday

pytestmark = pytest.mark.django_db

PAGE = "/settings/"
SETTINGS: dict[str, Any] = {
    "name": "Testers' Golf Society",
    "time_zone": "Europe/London",
    "currency": "GBP",
    "date_style": "day first",
    "cards_signed": "either",
    "officers_to_seal": "1",
}


def test_every_setting_says_what_it_changes(secretary: Client) -> None:
    page = secretary.get(PAGE).content.decode()
    assert page.count('class="hint"') == 8
    assert "Stands on the head of every page" in page


def test_what_is_changed_is_one_line_with_old_and_new(secretary: Client) -> None:
    sent = SETTINGS | {"name": "Tarn Hollow", "currency": "eur", "season_is_public": "on"}
    response = secretary.post(PAGE, sent)
    assert response.headers["Location"] == PAGE
    society = Society.objects.get()
    assert (society.name, society.currency, society.season_is_public) == (
        "Tarn Hollow",
        "EUR",
        True,
    )
    line = AuditLine.objects.get(deed="settings changed")
    (change,) = json.loads(line.changes)
    assert change["old"] == {
        "name": "Testers' Golf Society", "currency": "GBP", "season_is_public": False,
    }  # fmt: skip
    assert change["new"] == {"name": "Tarn Hollow", "currency": "EUR", "season_is_public": True}
    page = secretary.get(PAGE).content.decode()
    assert "Changed: Name of the society; Currency; Show the season page to everybody." in page


def test_nothing_changed_writes_no_line(secretary: Client) -> None:
    before = AuditLine.objects.count()
    secretary.post(PAGE, SETTINGS)
    assert AuditLine.objects.count() == before
    assert "Nothing was changed." in secretary.get(PAGE).content.decode()


def test_another_time_zone_says_what_happens_to_times(secretary: Client) -> None:
    secretary.post(PAGE, SETTINGS | {"time_zone": "Europe/Helsinki"})
    page = secretary.get(PAGE).content.decode()
    assert "a deadline keeps its moment, so its hour may read differently" in page


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": "  "}, "There is no answer here yet."),
        ({"name": "A\u200bB"}, "cannot be seen"),
        ({"time_zone": "Europe/Atlantis"}, "There is no time zone “Europe/Atlantis”."),
        ({"currency": "XXQ"}, "There is no currency “XXQ”."),
        ({"date_style": "sideways"}, "Select a valid choice"),
        ({"cards_signed": "in blood"}, "Select a valid choice"),
        ({"officers_to_seal": "3"}, "Select a valid choice"),
    ],
)
def test_a_bad_value_is_refused_with_a_sentence(
    change: dict[str, str], words: str, secretary: Client
) -> None:
    response = secretary.post(PAGE, SETTINGS | change)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not AuditLine.objects.filter(deed="settings changed").exists()


@pytest.mark.parametrize(
    "values",
    [{"officers_to_seal": 3}, {"date_style": "x"}, {"cards_signed": "x"}, {"name": ""}],
)
def test_the_deed_itself_refuses_them_too(
    values: dict[str, Any], society: Society, machine: Who, at: datetime
) -> None:
    with pytest.raises(BadInput):
        change_settings(**values, by=machine, at=at)


def test_only_the_secretary_changes_them(society: Society, captain: Client, at: datetime) -> None:
    assert captain.get(PAGE).status_code == 403
    with pytest.raises(NotYours):
        change_settings(name="Ours", by=Who(roles=frozenset({"captain"})), at=at)


# how dates are written -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("style", "long", "short", "moment"),
    [
        ("day first", "Saturday 10 October 2026", "Sat 10 Oct", "Sat 10 Oct, 09:30"),
        ("month first", "Saturday, October 10, 2026", "Sat, Oct 10", "Sat, Oct 10, 09:30"),
        ("year first", "Saturday 2026-10-10", "Sat 2026-10-10", "Sat 2026-10-10, 09:30"),
    ],
)
def test_each_order_of_a_date(style: str, long: str, short: str, moment: str) -> None:
    day = date(2026, 10, 10)
    with dates_written(DateStyle(style)):
        assert (day_long(day, "year"), day_short(day)) == (long, short)
        assert day_clock(datetime(2026, 10, 10, 9, 30, tzinfo=UTC)) == moment
    assert day_short(day) == "Sat 10 Oct"


def test_the_order_holds_on_pages(secretary: Client) -> None:
    fixture = saturday(starts_on=date(2026, 10, 10), ends_on=date(2026, 10, 10))
    address = f"/fixtures/{fixture.public_id}/"
    assert "Saturday 10 October" in secretary.get(address).content.decode()
    secretary.post(PAGE, SETTINGS | {"date_style": "month first"})
    page = secretary.get(address).content.decode()
    assert "Saturday, October 10" in page
    assert "Saturday 10 October" not in page
