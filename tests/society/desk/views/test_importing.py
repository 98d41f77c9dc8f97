"""The import pages: a file, a preview that keeps nothing, then exactly that or nothing."""

import html
import re
from datetime import UTC, datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from society.fixtures.actions.seasons import set_season_handicaps
from society.handicaps.models import HandicapEntry
from society.handicaps.rules.season import Basis, HandicapRules
from society.members.models import Player
from society.web.who import Who
from tests.factories.entries import handicap
from tests.factories.fixtures import SeasonFactory
from tests.factories.members import PlayerFactory

PAGE = "/players/import/"
KEEP = "/players/import/keep/"
LIST = "number,name,e-mail,category,handicap\n12,Ivo <b>,ivo@example.org,men,+1.2\n"


def send(client: Client, text: str | bytes, name: str = "players.csv") -> object:
    data = text.encode() if isinstance(text, str) else text
    return client.post(PAGE, {"file": SimpleUploadedFile(name, data, "text/csv")})


def hidden(page: str) -> dict[str, str]:
    """The hidden fields of the preview, as a browser would send them."""
    found = re.findall(r'<input type="hidden" name="(lines|digest)" value="([^"]*)"', page)
    assert len(found) == 2
    return {name: html.unescape(value) for name, value in found}


def test_the_page_names_the_columns(secretary: Client) -> None:
    page = secretary.get(PAGE).content.decode()
    assert "member or guest" in page
    assert 'enctype="multipart/form-data"' in page


def test_the_preview_saves_nothing_and_says_plus_in_words(secretary: Client) -> None:
    response = send(secretary, LIST)
    page = response.content.decode()
    assert response.status_code == 200
    assert "index plus 1.2 (society, from " in page
    assert "Ivo &lt;b&gt;" in page
    assert not Player.objects.exists()


def test_confirming_saves_exactly_that(secretary: Client) -> None:
    response = secretary.post(KEEP, hidden(send(secretary, LIST).content.decode()), follow=True)
    assert "1 new, 0 changed, 0 unchanged, 0 left out." in response.content.decode()
    assert Player.objects.get().name == "Ivo <b>"
    assert HandicapEntry.objects.count() == 1
    again = send(secretary, LIST).content.decode()
    assert "Nothing to save." in again
    assert "Save exactly this" not in again


def test_what_changed_since_gives_409_with_the_new_preview(secretary: Client) -> None:
    sent = hidden(send(secretary, LIST).content.decode())
    PlayerFactory(name="Jem", number="12")
    response = secretary.post(KEEP, sent)
    page = response.content.decode()
    assert response.status_code == 409
    assert "Something changed since this was shown" in page
    assert "Name: Jem becomes Ivo" in page
    assert Player.objects.get().name == "Jem"
    assert secretary.post(KEEP, hidden(page)).status_code == 302
    assert Player.objects.get().name == "Ivo <b>"


def test_a_question_without_an_answer_is_422_and_answers_are_kept(secretary: Client) -> None:
    ida = PlayerFactory(name="Ida Low")
    PlayerFactory(name="Jem Saltcote")
    text = "name,category\nIda Low,women\nJem Saltcote,men\n"
    page = send(secretary, text).content.decode()
    assert page.count('type="radio"') == 6
    assert "checked" not in page
    response = secretary.post(KEEP, hidden(page) | {"choice-2": "new"})
    page = response.content.decode()
    assert response.status_code == 422
    assert 'href="#choice-3"' in page
    assert page.count("checked") == 1
    sent = hidden(page) | {"choice-2": ida.public_id, "choice-3": "leave"}
    assert secretary.post(KEEP, sent).status_code == 302
    assert Player.objects.count() == 2
    ida.refresh_from_db()
    assert ida.category == "women"


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "The file is empty"),
        (b"\n\n", "The file is empty"),
        ("name\nZoé\n".encode("mac-roman"), "no UTF-8 text"),
        (b"name\n" + b"x" * (2 * 1024 * 1024), "larger than 2 MB"),
        (b"name\n" + b"Ida\n" * 5001, "5001 lines"),
        (b"first line\nIda\n", "There is no name."),
        (b"name,player\nIda,Ida\n", "Two columns are headed"),
        (b'name\n"Ida\n', "cannot be read"),
    ],
)
def test_a_file_that_cannot_be_read(data: bytes, said: str, secretary: Client) -> None:
    response = send(secretary, data)
    assert said in response.content.decode()
    assert response.status_code == (200 if said == "There is no name." else 422)
    assert not Player.objects.exists()


def test_no_file_at_all(secretary: Client) -> None:
    response = secretary.post(PAGE, {})
    assert response.status_code == 422
    assert "Choose a file." in response.content.decode()


def test_unknown_columns_are_told(secretary: Client) -> None:
    page = send(secretary, "name,category,shoe size\nIda,women,5\n").content.decode()
    assert "left out: shoe size." in page


@pytest.mark.parametrize("lines", ["", "x", "[]", '[[2, {"name": 1}]', "null"])
def test_hidden_lines_that_were_cut_change_nothing(lines: str, secretary: Client) -> None:
    response = secretary.post(KEEP, {"lines": lines, "digest": "x"})
    assert response.status_code == 409
    assert "did not arrive whole" in response.content.decode()


def test_forged_lines_are_shown_again_not_saved(secretary: Client) -> None:
    sent = hidden(send(secretary, LIST).content.decode())
    response = secretary.post(KEEP, sent | {"lines": sent["lines"].replace("Ivo", "Eve")})
    assert response.status_code == 409
    assert not Player.objects.exists()


@pytest.mark.parametrize("browser", ["captain", "scorer", "member", "outsider"])
def test_others_stay_out(browser: str, request: pytest.FixtureRequest) -> None:
    client = request.getfixturevalue(browser)
    before = Player.objects.count()
    assert client.get(PAGE).status_code == 403
    assert send(client, LIST).status_code == 403
    assert client.post(KEEP, {}).status_code == 403
    assert Player.objects.count() == before


def test_keeping_is_a_post(secretary: Client) -> None:
    assert secretary.get(KEEP).status_code == 405


def test_the_list_as_csv(captain: Client, member: Client, player: Player) -> None:
    handicap(PlayerFactory(name="@lone", number="3"), "-1.2")
    response = captain.get("/players/players.csv")
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8"
    text = response.content.decode("utf-8-sig")
    assert text.splitlines()[0].startswith("Number,Name,Member or guest,E-mail")
    assert "3,'@lone,member,,men,+1.2,index,association,2026-01-01,," in text
    assert member.get("/players/players.csv").status_code == 403


# whose a figure is where the list does not say it


def season_off_the_association() -> None:
    season = SeasonFactory(name="2026")
    set_season_handicaps(
        season=season,
        rules=HandicapRules(Basis.ASSOCIATION),
        valid_from=season.starts_on,
        words="Agreed in spring.",
        by=Who.command("test"),
        at=datetime(2026, 4, 15, 10, 0, tzinfo=UTC),
    )


SOURCES = (
    "number,name,category,member or guest,handicap,source\n"
    "1,Ivo Marrable,men,,12.3,\n2,Jem Saltcote,men,guest,9,\n3,Ida Low,women,,20,society\n"
)


def test_a_figure_without_a_source_is_of_the_one_the_season_asks_for(secretary: Client) -> None:
    season_off_the_association()
    assert "Empty: association, and stated for a guest." in secretary.get(PAGE).content.decode()
    page = send(secretary, SOURCES).content.decode()
    said = "A handicap without a source is kept as the association’s, which the season asks for; "
    assert f"{said}a guest’s, as stated." in html.unescape(page)
    assert "index 12.3 (association, from " in page
    assert secretary.post(KEEP, hidden(page)).status_code == 302
    kept = {line.player.name: line.source for line in HandicapEntry.objects.all()}
    assert kept == {"Ivo Marrable": "association", "Jem Saltcote": "stated", "Ida Low": "society"}
    assert "Nothing to save." in send(secretary, SOURCES).content.decode()


def test_without_a_season_it_is_the_societys_own(secretary: Client) -> None:
    assert "Empty: society, and stated for a guest." in secretary.get(PAGE).content.decode()
    page = html.unescape(send(secretary, LIST).content.decode())
    assert "is kept as the society’s own; a guest’s, as stated." in page


def test_nothing_is_said_of_it_where_every_line_has_its_source(secretary: Client) -> None:
    season_off_the_association()
    text = "name,category,handicap,source\nIvo Marrable,men,12.3,society\nIda Low,women,,\n"
    page = send(secretary, text).content.decode()
    assert "index 12.3 (society, from " in page
    assert "without a source" not in page


def test_rules_set_since_the_preview_ask_again(secretary: Client) -> None:
    sent = hidden(send(secretary, LIST).content.decode())
    season_off_the_association()
    again = secretary.post(KEEP, sent)
    assert again.status_code == 409
    assert "index plus 1.2 (association, from " in again.content.decode()
    assert not Player.objects.exists()
