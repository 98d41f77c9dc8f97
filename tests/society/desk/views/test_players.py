"""The list of players, and players by form."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from society.handicaps.models import HandicapEntry
from society.members.models import Player
from tests.factories.entries import handicap
from tests.factories.members import PlayerFactory

LIST = "/players/"
NEW = "/players/new/"
IVO = {
    "name": "Ivo Marrable",
    "kind": "member",
    "category": "men",
    "number": "12",
    "email": "ivo@example.org",
    "home_club": "Long Meadow",
    "handicap": "+1.2",
    "handicap_kind": "index",
    "source": "association",
    "valid_from": "2026-04-01",
    "words": "",
}


def names(client: Client, **query: str) -> list[str]:
    table = client.get(LIST, query).context["table"]
    return [row.record.name for row in table.paginated_rows]


def test_the_list_shows_players_with_their_newest_handicap(secretary: Client) -> None:
    ivo = PlayerFactory(name="Ivo Marrable", number="12", email="ivo@example.org")
    handicap(ivo, "-1.2")
    PlayerFactory(name="Ida Low", kind="guest", category="women")
    page = secretary.get(LIST).content.decode()
    assert "+1.2" in page
    assert "ivo@example.org" in page
    assert 'aria-sort="ascending"' in page
    assert names(secretary) == ["Ida Low", "Ivo Marrable"]


def test_search_wants_every_word(secretary: Client) -> None:
    PlayerFactory(name="Ivo Marrable", number="12", home_club="Long Meadow")
    PlayerFactory(name="Ida Low", email="ida@example.org")
    assert names(secretary, q="marr IVO") == ["Ivo Marrable"]
    assert names(secretary, q="12") == ["Ivo Marrable"]
    assert names(secretary, q="meadow") == ["Ivo Marrable"]
    assert names(secretary, q="ida@") == ["Ida Low"]
    assert names(secretary, q="ivo ida") == []


@pytest.mark.parametrize("asked", ["-1", "0", "1", "9" * 5000, "x"])
def test_the_address_says_the_page_and_not_how_many_to_a_page(
    secretary: Client, asked: str
) -> None:
    for _ in range(27):
        PlayerFactory()
    assert len(names(secretary, per_page=asked)) == 25
    assert len(names(secretary, page="2")) == 2
    assert len(names(secretary, page=asked)) in (2, 25)


def test_sorting(secretary: Client) -> None:
    for name, number, figure in (("b B", "10", "5.0"), ("A A", "9", "20.0"), ("c C", "100", "-2")):
        handicap(PlayerFactory(name=name, number=number), figure)
    assert names(secretary) == ["A A", "b B", "c C"]
    assert names(secretary, sort="-name") == ["c C", "b B", "A A"]
    assert names(secretary, sort="number") == ["A A", "b B", "c C"]
    PlayerFactory(name="d D")
    assert names(secretary, sort="handicap") == ["c C", "b B", "A A", "d D"]
    assert names(secretary, sort="-handicap") == ["A A", "b B", "c C", "d D"]
    assert names(secretary, sort="nonsense") == ["A A", "b B", "c C", "d D"]


def test_twenty_five_a_page(secretary: Client) -> None:
    for n in range(26):
        PlayerFactory(name=f"P {n:02d}")
    assert len(names(secretary)) == 25
    assert names(secretary, page="2") == ["P 25"]
    assert names(secretary, page="99") == ["P 25"]


def test_a_part_for_htmx_and_the_page_for_the_rest(secretary: Client) -> None:
    PlayerFactory(name="Ivo Marrable")
    part = secretary.get(LIST, headers={"HX-Request": "true"})
    assert part.content.decode().lstrip().startswith('<div id="table">')
    assert "HX-Request" in part.headers["Vary"]
    back = secretary.get(LIST, headers={"HX-Request": "true", "HX-History-Restore-Request": "true"})
    assert "<!doctype html>" in back.content.decode()


def test_queries_do_not_grow_with_the_list(secretary: Client) -> None:
    counts = []
    for _ in range(2):
        handicap(PlayerFactory())
        with CaptureQueriesContext(connection) as said:
            secretary.get(LIST)
        counts.append(len(said))
        handicap(PlayerFactory())
    assert counts[0] == counts[1]


@pytest.mark.parametrize("browser", ["captain", "scorer"])
def test_officers_see_the_list_but_do_not_add(browser: str, request: object) -> None:
    client = request.getfixturevalue(browser)
    page = client.get(LIST).content.decode()
    assert "Add a player" not in page
    assert client.get(NEW).status_code == 403
    assert client.post(NEW, IVO).status_code == 403


@pytest.mark.parametrize("browser", ["member", "outsider"])
def test_members_do_not_see_the_list(browser: str, request: object) -> None:
    client = request.getfixturevalue(browser)
    assert client.get(LIST).status_code == 403
    assert client.get(NEW).status_code == 403


def test_wrong_method(secretary: Client) -> None:
    assert secretary.post(LIST).status_code == 405


# by form


def test_a_player_is_added_with_a_plus_handicap(secretary: Client) -> None:
    assert "Add a player" in secretary.get(NEW).content.decode()
    response = secretary.post(NEW, IVO, follow=True)
    player = Player.objects.get()
    assert response.redirect_chain == [(reverse("desk:player", args=[player.public_id]), 302)]
    assert HandicapEntry.objects.get(player=player).value == Decimal("-1.2")
    page = response.content.decode()
    assert "Ivo Marrable is on the list, index plus 1.2." in page


def test_a_player_without_a_handicap(secretary: Client) -> None:
    secretary.post(NEW, IVO | {"handicap": "", "valid_from": "2026-04-01"})
    assert Player.objects.get().name == "Ivo Marrable"
    assert not HandicapEntry.objects.exists()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"name": ""}, "A player needs a name."),
        ({"category": ""}, "Choose the category"),
        ({"email": "ivo"}, "is no e-mail address"),
        ({"number": "7"}, "Jem Saltcote has number 7 already."),
        ({"handicap": "-1.2"}, "A plus handicap is written +1.2"),
        ({"valid_from": "2062-01-01"}, "at most a year ahead"),
        ({"name": "jem  SALTCOTE"}, "There is a Jem Saltcote already, number 7."),
    ],
)
def test_bad_input_is_422_and_kept(change: dict[str, str], said: str, secretary: Client) -> None:
    PlayerFactory(name="Jem Saltcote", number="7")
    response = secretary.post(NEW, IVO | change)
    page = response.content.decode()
    assert response.status_code == 422
    assert said in page
    assert "error-summary" in page
    assert 'value="Long Meadow"' in page
    assert Player.objects.count() == 1
    assert not HandicapEntry.objects.exists()


def test_a_namesake_is_asked_about_once(secretary: Client) -> None:
    PlayerFactory(name="Ivo Marrable")
    page = secretary.post(NEW, IVO).content.decode()
    assert 'name="namesake"' in page
    secretary.post(NEW, IVO | {"namesake": "on"})
    assert Player.objects.filter(name="Ivo Marrable").count() == 2


def test_a_player_is_changed(secretary: Client) -> None:
    player = PlayerFactory(name="Ivo Marrable", number="12")
    PlayerFactory(name="Jem Saltcote", number="7")
    address = reverse("desk:player_change", args=[player.public_id])
    assert 'value="12"' in secretary.get(address).content.decode()
    values = {"name": "Ivo Marrable", "kind": "guest", "category": "men", "number": "14"}
    assert secretary.post(address, values).status_code == 302
    player.refresh_from_db()
    assert (player.kind, player.number) == ("guest", "14")
    response = secretary.post(address, values | {"number": "7"})
    assert response.status_code == 422
    assert "Jem Saltcote has number 7 already." in response.content.decode()


@pytest.mark.parametrize("browser", ["captain", "member", "outsider"])
def test_only_the_secretary_changes(browser: str, request: object, player: Player) -> None:
    client = request.getfixturevalue(browser)
    address = reverse("desk:player_change", args=[player.public_id])
    assert client.get(address).status_code == 403
    assert client.post(address, {}).status_code == 403
