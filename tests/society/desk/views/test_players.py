"""The list of players, and players by form."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from society.fixtures.actions.seasons import set_season_handicaps
from society.handicaps.models import HandicapEntry, SocietyCut
from society.handicaps.rules.season import Basis, HandicapRules
from society.members.models import Player
from society.web.who import Who
from tests.factories.entries import BY, THEN, handicap
from tests.factories.fixtures import SeasonFactory
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


def season_with(rules: HandicapRules) -> None:
    season = SeasonFactory(name="2026")
    set_season_handicaps(
        season=season,
        rules=rules,
        valid_from=season.starts_on,
        words="Agreed in spring.",
        by=Who.command("test"),
        at=THEN,
    )


def cut(player: Player, shots: str) -> None:
    SocietyCut.objects.create(
        player=player,
        valid_from=date(2026, 3, 1),
        steps=f'[{{"shots":"{shots}","until":null}}]',
        because="first with 41 points",
        at=THEN,
        by=BY,
    )


def shown(client: Client, **query: str) -> list[str]:
    """Figure, name and the words under it, a line for each row of the list."""
    page = client.get(LIST, query).content.decode()
    rows = re.findall(r"<tr [^>]*>\s*(<td.*?)</tr>", page, re.DOTALL)
    cells = ["".join(re.findall(r"<td.*?</td>", row, re.DOTALL)[:2]) for row in rows]
    parts = [re.split(r"<[^>]*>", cell) for cell in cells]
    return [" | ".join(part.strip() for part in row if part.strip()) for row in parts]


@pytest.fixture
def four(secretary: Client) -> Mapping[str, Player]:
    """An index, an index with a cut and over the maximum, both figures, and a course handicap."""
    found = {name: PlayerFactory(name=name) for name in ("A As Is", "B Cut", "C Two", "D Course")}
    handicap(found["A As Is"], "14")
    handicap(found["B Cut"], "33.4")
    cut(found["B Cut"], "-3.0")
    handicap(found["C Two"], "20.0")
    handicap(found["C Two"], "19.1", source="cards")
    handicap(found["D Course"], "12", kind="course", source="society")
    return found


def test_the_list_shows_what_the_season_takes_and_where_it_comes_from(
    secretary: Client, four: Mapping[str, Player]
) -> None:
    season_with(HandicapRules(Basis.WITH_CUTS, maximum={"men": 28}))
    assert shown(secretary) == [
        "14.0 | A As Is | index",
        "28.0 | B Cut | society handicap, from index 33.4 of the association, with society cuts, "
        "at most 28",
        "20.0 | C Two | index",
        "– | no handicap | D Course | nothing the season takes; on the record: course handicap 12",
    ]
    handicap(PlayerFactory(name="E Guest", kind="guest"), "21", source="stated")
    assert shown(secretary, q="Guest") == ["21.0 | E Guest | index as stated"]
    page = secretary.get(LIST).content.decode()
    assert "taken at today in 2026. Played off: the association’s index, with the" in page


def test_the_list_says_which_of_two_is_the_lower(
    secretary: Client, four: Mapping[str, Player]
) -> None:
    season_with(HandicapRules(Basis.LOWER))
    assert shown(secretary, q="Two") == [
        "19.1 | C Two | society handicap, the lower of two, the other is index 20.0 of the "
        "association"
    ]
    # No cut rules, so a cut that stands counts for nothing.
    assert shown(secretary, q="Cut") == ["33.4 | B Cut | index"]


def test_the_list_is_sorted_by_what_the_season_takes(
    secretary: Client, four: Mapping[str, Player]
) -> None:
    season_with(HandicapRules(Basis.WITH_CUTS, maximum={"men": 18}))
    cut(four["C Two"], "-8.0")
    assert names(secretary, sort="handicap") == ["C Two", "A As Is", "B Cut", "D Course"]
    assert names(secretary, sort="-handicap") == ["B Cut", "A As Is", "C Two", "D Course"]


def test_queries_for_what_the_season_takes_do_not_grow(
    secretary: Client, four: Mapping[str, Player]
) -> None:
    season_with(HandicapRules(Basis.WITH_CUTS))
    for query in ({}, {"sort": "handicap"}):
        counts = []
        for _ in range(2):
            with CaptureQueriesContext(connection) as said:
                secretary.get(LIST, query)
            counts.append(len(said))
            for _ in range(5):
                player = PlayerFactory()
                handicap(player)
                cut(player, "-1.0")
        assert counts[0] == counts[1], query


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
