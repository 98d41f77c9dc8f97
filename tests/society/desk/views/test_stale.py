"""Old and missing handicaps: listed apart, by the days that the season allows."""

import re
from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.urls import reverse

from society.desk.queries.needs import needs_of
from society.desk.queries.stale import stale_page
from society.desk.queries.todo import running_fixtures
from society.entries.actions import freezing
from society.fixtures.actions.seasons import set_season_handicaps
from society.fixtures.models import Season
from society.handicaps.rules.season import HandicapRules
from society.web.who import Who
from tests.factories.entries import entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import OfficeFactory, PlayerFactory

pytestmark = pytest.mark.django_db
TODAY = date(2026, 4, 18)
AT = datetime(2026, 4, 15, 8, 0, tzinfo=UTC)
OFFICER = Who.command("test")


def rules(stale_days: int | None, season: Season | None = None) -> None:
    season = season or saturday().season
    set_season_handicaps(
        season=season,
        rules=HandicapRules(stale_days=stale_days),
        valid_from=season.starts_on,
        words="Agreed in spring.",
        by=OFFICER,
        at=AT,
    )


def test_the_oldest_stand_first_and_those_without_a_figure_apart(society) -> None:
    rules(30)
    for name, since in (
        ("Newly Written", date(2026, 4, 10)),
        ("Just In", date(2026, 3, 19)),  # 30 days before
        ("Just Out", date(2026, 3, 18)),
        ("Long Ago", date(2025, 6, 1)),
    ):
        handicap(PlayerFactory(name=name), valid_from=since)
    PlayerFactory(name="Never Any")
    PlayerFactory(name="A Guest", kind="guest")
    page = stale_page(TODAY)
    assert [(one.player.name, one.days) for one in page.old] == [
        ("Long Ago", 321),
        ("Just Out", 31),
    ]
    assert [one.name for one in page.missing] == ["Never Any"]


def test_without_a_limit_nothing_is_old(society) -> None:
    rules(None)
    handicap(PlayerFactory(), valid_from=date(2020, 1, 1))
    assert stale_page(TODAY).old == ()


def test_the_number_of_queries_does_not_grow(society, django_assert_max_num_queries) -> None:
    rules(30)
    for _ in range(12):
        handicap(PlayerFactory())
    with django_assert_max_num_queries(6):
        assert len(stale_page(TODAY).old) == 12


def test_who_keeps_records_is_led_to_write_and_an_organiser_to_the_record(society) -> None:
    rules(30)
    player = PlayerFactory(name="Long Ago")
    handicap(player, valid_from=date(2025, 6, 1))
    links = {
        "handicap_secretary": reverse("handicaps:add", args=[player.public_id]),
        "captain": reverse("desk:record", args=[player.public_id]),
    }
    for role, link in links.items():
        officer = Client()
        officer.force_login(OfficeFactory(role=role).account)
        html = officer.get(reverse("desk:stale")).content.decode()
        assert "Long Ago" in re.sub(r"<[^>]+>", " ", html)
        assert [other for other in links.values() if f'href="{other}"' in html] == [link]


def test_the_handicap_secretary_is_told_of_old_figures_before_they_are_taken(society) -> None:
    fixture = saturday()
    rules(30, fixture.season)
    entered(fixture, name="Long Ago")  # in force since January
    officer = Who(account="x", roles=frozenset({"handicap_secretary"}))
    titles = [one.title for one in needs_of(running_fixtures(), officer, AT)]
    assert f"1\u00a0old handicap in {fixture.name}" in titles
    freezing.take_handicaps(fixture=fixture, by=OFFICER, at=AT)
    assert not [one for one in needs_of(running_fixtures(), officer, AT) if "old" in one.title]
