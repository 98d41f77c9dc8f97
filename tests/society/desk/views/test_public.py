"""What the public sees: nothing by default; the season and final results where switched on."""

import pytest
from django.test import Client
from django.urls import reverse

from society.desk.actions.final import make_final
from society.fixtures.models import Fixture
from society.members.models import Society
from society.web.access import declared
from society.web.checks import every_url
from tests.factories.cards import FIVES, FOURS
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, played
from tests.house.test_who_may import ROUTES, TABLE
from tests.house.world import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def final(society: Society) -> Fixture:
    fixture = played([FOURS, FIVES], indexes=["7.3", "21.9"], name="Sealed Plate")
    make_final(fixture=fixture, by=OFFICER, at=AT)
    return fixture


def switch(**on: bool) -> None:
    Society.objects.update(**on)


def test_all_is_closed_by_default(stranger: Client, final: Fixture) -> None:
    for address in ("/", f"/season/{final.season.public_id}/", f"/results/{final.public_id}/"):
        response = stranger.get(address)
        assert (response.status_code, response.headers["Location"][:9]) == (302, "/sign-in/")


def test_the_season_shows_days_and_courses_and_nobody(stranger: Client, final: Fixture) -> None:
    switch(season_is_public=True)
    for address in ("/", f"/season/{final.season.public_id}/"):
        response = stranger.get(address)
        page = response.content.decode()
        assert response.status_code == 200
        assert "Sealed Plate" in page
        assert final.rounds.get().course.name in page
        assert "Player A000" not in page
        assert f"/results/{final.public_id}/" not in page
        assert 'name="robots" content="noindex' in page
        assert response.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert stranger.get(f"/results/{final.public_id}/").status_code == 302
    assert stranger.get("/season/nosuchseason/").status_code == 302


def test_a_final_result_shows_places_names_and_scores_alone(
    stranger: Client, final: Fixture
) -> None:
    switch(results_are_public=True)
    response = stranger.get(f"/results/{final.public_id}/")
    page = response.content.decode()
    assert response.status_code == 200
    assert "Player A000" in page
    assert "Player B001" in page
    for hidden in ("7.3", "21.9", "Plays", "/cards/", "/players/", ".pdf", "@"):
        assert hidden not in page.split("<main")[1].split("</main>")[0]
    assert 'name="robots" content="noindex' in page
    assert stranger.get("/").status_code == 302


def test_scores_so_far_are_never_public(stranger: Client, society: Society) -> None:
    switch(results_are_public=True, season_is_public=True)
    running = played([FOURS, FIVES], name="Running Cup")
    assert stranger.get(f"/results/{running.public_id}/").status_code == 302
    assert stranger.get("/results/nosuchfixture/").status_code == 302
    called_off = saturday(name="Called Off", state="cancelled")
    assert stranger.get(f"/results/{called_off.public_id}/").status_code == 302


def test_members_see_their_own_pages_as_before(member: Client, final: Fixture) -> None:
    switch(results_are_public=True, season_is_public=True)
    page = member.get("/").content.decode()
    assert "Members sign in to enter" not in page
    assert "noindex" not in page


def test_switched_on_nothing_else_opens_to_the_signed_out() -> None:
    """The sweep of tests/house again, with both switches on and only the signed out asking."""
    world = build()
    switch(results_are_public=True, season_is_public=True)
    wanted = {"season": 200, "season_of": 200, "show": 302}  # the world's fixture is not final
    views = {name: declared(pattern.callback) for name, pattern in every_url()}
    opened = []
    for name in ROUTES:
        told, row = views[name], TABLE[name]
        if told is None or row.get("public") or "public" in name:
            continue
        args = [world.things[thing] for thing in row.get("args", [])]
        for method in ("GET", "POST"):
            status = world.clients["out"].generic(method, reverse(name, args=args)).status_code
            if "while" in str(told.allowed) and name.split(":")[1] in wanted:
                expected = wanted[name.split(":")[1]] if method == "GET" else 405
            else:
                expected = 302
            if status != expected:
                opened.append(f"{method} {name}: {status}, expected {expected}")
    assert opened == []
