"""A list of handicaps: differences first, then exactly those; nobody is made or changed."""

import html
import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from society.handicaps.models import HandicapEntry
from society.members.models import Player
from tests.conftest import _holding, signed_in
from tests.factories.entries import handicap
from tests.factories.members import PlayerFactory

PAGE = "/players/handicaps/"
KEEP = "/players/handicaps/keep/"


@pytest.fixture
def ida(society: object) -> Player:
    player = PlayerFactory(name="Ida Low", number="12", email="ida@example.org")
    handicap(player, "12.3", source="society")
    return player


def send(client: Client, data: str | bytes):
    sent = data.encode() if isinstance(data, str) else data
    return client.post(PAGE, {"file": SimpleUploadedFile("list", sent)})


def shown(client: Client, data: str | bytes) -> str:
    response = send(client, data)
    assert response.status_code == 200, response.content.decode()
    return html.unescape(response.content.decode())


def hidden(client: Client, data: str | bytes) -> dict[str, str]:
    page = send(client, data).content.decode()
    found = re.findall(r'<input type="hidden" name="(lines|digest)" value="([^"]*)"', page)
    return {name: html.unescape(value) for name, value in found}


def book(*rows: tuple[object, ...]) -> bytes:
    from openpyxl import Workbook

    made = Workbook()
    for row in rows:
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


@pytest.fixture
def handicap_secretary(society: object) -> Client:
    return signed_in(_holding("handicap_secretary"))


@pytest.fixture
def keeper(secretary: Client) -> Client:
    return secretary


def test_the_difference_is_shown_and_nothing_is_saved(keeper: Client, ida: Player) -> None:
    page = shown(keeper, "number,handicap\n12,11.9\n")
    assert "Index: 12.3 becomes index 11.9 (society, from " in page
    assert HandicapEntry.objects.count() == 1


def test_a_new_figure_under_the_old_date_is_pointed_at(keeper: Client, ida: Player) -> None:
    day = ida.handicaps.get().valid_from
    page = shown(keeper, f"number,handicap,date\n12,11.9,{day}\n")
    assert "takes the place of the figure of the same day" in page
    assert "takes the place" not in shown(keeper, "number,handicap\n12,11.9\n")


@pytest.mark.parametrize("figure", [-1.2, "+1.2"])
def test_a_plus_in_a_workbook_is_a_number_below_zero_or_a_text(
    figure: object, keeper: Client, ida: Player
) -> None:
    data = book(("Name", "E-mail", "Handicap"), ("Ida Low", "ida@example.org", figure))
    assert "becomes index plus 1.2" in shown(keeper, data)
    response = keeper.post(KEEP, hidden(keeper, data))
    assert response.status_code == 302
    assert str(ida.handicaps.latest("pk").value) == "-1.2"


@pytest.mark.parametrize(
    "data", ["number,handicap\n12,-1.2\n", book(("No", "Hcp"), ("12", "-1.2"))]
)
def test_a_minus_as_text_is_refused(data: str | bytes, keeper: Client, ida: Player) -> None:
    assert "“-1.2” has a minus sign" in shown(keeper, data)


def test_the_figure_that_stands_changes_nothing(keeper: Client, ida: Player) -> None:
    page = shown(keeper, book(("Number", "Handicap"), (12, 12.3)))
    assert "Nothing to save." in page


def test_a_name_alone_and_a_number_under_another_name_are_asked_about(
    keeper: Client, ida: Player
) -> None:
    page = shown(keeper, "name,number,handicap\nIda Low,,11\nJem,12,10\n")
    assert page.count('type="radio"') == 4
    assert "Same name as Ida Low, number 12" in page
    assert "This is Ida Low, number 12, ida@example.org, under another name." in page
    sent = hidden(keeper, "name,number,handicap\nIda Low,,11\nJem,12,10\n")
    assert keeper.post(KEEP, sent).status_code == 422
    answers = {"choice-2": ida.public_id, "choice-3": "leave"}
    assert keeper.post(KEEP, sent | answers).status_code == 302
    assert str(ida.handicaps.latest("pk").value) == "11.0"
    assert Player.objects.get(pk=ida.pk).name == "Ida Low"


def test_nobody_is_added(keeper: Client, ida: Player) -> None:
    before = Player.objects.count()
    page = shown(keeper, "name,handicap,category\nNobody Known,11,men\n")
    assert "Nobody on the list of players is meant." in page
    assert "left out: category" in page
    assert Player.objects.count() == before


def test_one_line_for_each_kind_and_source(keeper: Client, ida: Player) -> None:
    text = (
        "number,handicap,kind,source\n"
        "12,11,index,society\n12,14,playing,committee\n12,9,index,society\n"
    )
    page = shown(keeper, text)
    assert "Playing handicap: none becomes playing handicap 14" in page
    assert "Line 2 gives Ida Low a index already." not in page
    assert "Line 2 gives Ida Low an index already." in page
    assert keeper.post(KEEP, hidden(keeper, text)).status_code == 302
    assert {str(line.value) for line in ida.handicaps.all()} == {"12.3", "11.0", "14.0"}


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_goes_out_comes_in_unchanged(kind: str, keeper: Client, ida: Player) -> None:
    handicap(ida, "-1.2", source="association")
    handicap(ida, "14", kind="course", source="committee")
    PlayerFactory(name="Without")
    page = shown(keeper, keeper.get(f"/players/handicaps.{kind}").content)
    assert "Nothing to save." in page
    assert "Refused" not in page


def test_the_handicap_secretary_may_and_the_captain_may_not(
    captain: Client, handicap_secretary: Client, ida: Player
) -> None:
    text = "number,handicap\n12,11.9\n"
    assert send(captain, text).status_code == 403
    assert captain.post(KEEP, {}).status_code == 403
    assert handicap_secretary.post(KEEP, hidden(handicap_secretary, text)).status_code == 302
    assert ida.handicaps.count() == 2


def test_what_changed_since_is_shown_anew(keeper: Client, ida: Player) -> None:
    sent = hidden(keeper, "number,handicap\n12,11.9\n")
    handicap(ida, "11.9", source="society")
    response = keeper.post(KEEP, sent)
    assert response.status_code == 409
    assert ida.handicaps.count() == 2
