"""Every page that reads a list refuses what is none with one sentence, and reads what it can."""

import html

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from society.audit.models import AuditLine
from society.fixtures.models import Season
from society.handicaps.models import HandicapEntry
from society.members.models import Player
from society.web.text_in import OLD_TEXT
from tests.factories.fixtures import SeasonFactory
from tests.factories.members import PlayerFactory
from tests.society.web.test_text_in import NO_LISTS, book

pytestmark = pytest.mark.django_db
PLAYERS = "/players/import/"
HANDICAPS = "/players/handicaps/"
OF_PLAYERS = {
    "headings alone",
    "a sheet with headings alone",
    "a control character",
    "one zero",
}


@pytest.fixture
def season(society) -> Season:
    return SeasonFactory(name="2026")


@pytest.fixture
def pages(season) -> list[str]:
    return [
        PLAYERS,
        HANDICAPS,
        f"/season/{season.public_id}/calendar/",
        "/courses/import/",
    ]


def answer_to(browser: Client, page: str, data: bytes, name: str = "list.csv"):
    return browser.post(page, {"file": SimpleUploadedFile(name, data), "order": ""})


def words_of(answer) -> str:
    return " ".join(html.unescape(answer.content.decode()).split())


@pytest.mark.parametrize("case", NO_LISTS)
def test_what_is_no_list_is_refused_everywhere_and_nothing_is_saved(case, secretary, pages):
    data, said = NO_LISTS[case]
    audited = AuditLine.objects.count()
    for page in pages:
        for name in ("list.csv", "list.xlsx"):  # what it is called says nothing
            answer = answer_to(secretary, page, data, name)
            assert answer.status_code == 422, page
            if case in OF_PLAYERS and page not in (HANDICAPS, PLAYERS):
                continue  # refused there since the columns of players are not theirs
            assert said in words_of(answer), page
    assert AuditLine.objects.count() == audited
    assert not HandicapEntry.objects.exists()


@pytest.mark.parametrize(
    "data",
    [b"Mitglied;Stand\r\n", book(("who", "what")), b"handicap,number\n"],
)
def test_headings_alone_are_never_asked_about(data, secretary, society):
    answer = answer_to(secretary, HANDICAPS, data)
    assert answer.status_code == 422
    assert "headings and no lines below them" in words_of(answer)
    chosen = secretary.post(HANDICAPS, {"file": SimpleUploadedFile("l", data), "choose": "on"})
    assert chosen.status_code == 422


def test_one_line_without_headings_is_asked_about(secretary, society):
    answer = answer_to(secretary, HANDICAPS, b"ida@example.org;12,3\r\n")
    assert answer.status_code == 200
    assert "Which column is what?" in words_of(answer)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-le", "cp1252"])
def test_a_list_out_of_any_spreadsheet_finds_its_people(encoding, secretary, society):
    PlayerFactory(name="Zoë Åsgård", number="7")
    data = "number;name;handicap\r\n7;Zoë Åsgård;12,3\r\n".encode(encoding)
    answer = answer_to(secretary, HANDICAPS, data)
    assert answer.status_code == 200
    shown = words_of(answer)
    assert "12.3" in shown
    assert "Zoë Åsgård" in shown
    assert (OLD_TEXT in shown) == (encoding == "cp1252")
    assert Player.objects.count() == 1


def test_a_guessed_encoding_is_said_where_columns_are_asked_about(secretary, society):
    data = "Mitglied;Stand\r\nZoë;12,3\r\n".encode("cp1252")
    answer = answer_to(secretary, HANDICAPS, data)
    assert "Which column is what?" in words_of(answer)
    assert OLD_TEXT in words_of(answer)


def test_a_guessed_encoding_is_said_for_players_calendar_and_courses(secretary, pages):
    lists = {
        pages[0]: "name,category\nZoë,women\n",
        pages[2]: "date,name,course\n14 March,Fête,Kettlemoor\n",
        pages[3]: "course,tee,category,hole,par,index,length\nFenée,White,men,1,4,1,300\n",
    }
    for page, text in lists.items():
        answer = answer_to(secretary, page, text.encode("cp1252"))
        assert answer.status_code == 200, words_of(answer)
        assert OLD_TEXT in words_of(answer), page
        assert OLD_TEXT not in words_of(answer_to(secretary, page, text.encode())), page
