"""Lists out as CSV and XLSX, and the same files in again without a change."""

import io
from datetime import datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from society.desk.actions.importing import import_players
from society.desk.queries.importing import preview
from society.handicaps.rules.promises import COLUMNS, HANDICAPS
from society.members.queries import society_day
from society.web.rules import Outcome
from society.web.sheets import file_of, read_sheet
from society.web.who import Who
from tests.factories.cards import FIVES, FOURS
from tests.factories.entries import handicap
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory
from tests.factories.results import played

pytestmark = pytest.mark.django_db
KINDS = ("csv", "xlsx")


def opened(data: bytes):
    from openpyxl import load_workbook

    return load_workbook(io.BytesIO(data)).active


def column(sheet, heading: str) -> list[object]:
    place = next(cell.column for cell in sheet[1] if cell.value == heading)
    return [sheet.cell(row, place) for row in range(2, sheet.max_row + 1)]


@pytest.fixture
def people(society: object) -> None:
    handicap(PlayerFactory(name="=1+1", number="-5", email="a@example.org"), "-1.2")
    handicap(PlayerFactory(name="'t Veer", number="007", category="women"), "12.3")
    PlayerFactory(name="@lone", kind="guest", home_club="+Fen")


@pytest.mark.usefixtures("people")
def test_players_as_a_workbook(captain: Client) -> None:
    response = captain.get("/players/players.xlsx")
    assert response.headers["Content-Type"].endswith("spreadsheetml.sheet")
    assert 'filename="players.xlsx"' in response.headers["Content-Disposition"]
    sheet = opened(response.content)
    assert {"=1+1", "'t Veer", "@lone"} <= {cell.value for cell in column(sheet, "Name")}
    assert all(cell.data_type != "f" for row in sheet.rows for cell in row)
    figures = [cell for cell in column(sheet, "Handicap") if cell.value is not None]
    assert {cell.value for cell in figures} == {-1.2, 12.3}
    assert {cell.number_format for cell in figures} == {'0.0;"+"0.0;0.0'}
    assert {cell.value for cell in column(sheet, "Number")} >= {"-5", "007"}


@pytest.mark.usefixtures("people")
@pytest.mark.parametrize("kind", KINDS)
def test_players_come_in_again_unchanged(kind: str, secretary: Client, at: datetime) -> None:
    data = secretary.get(reverse(f"desk:players_{kind}")).content
    lines = read_sheet(file_of(data), COLUMNS, (), HANDICAPS).lines
    shown = preview(lines, society_day(at))
    assert len(lines) >= 3
    assert {promise.outcome for promise in shown.promises} == {Outcome.UNCHANGED}


def test_a_list_as_a_workbook_is_imported_on_the_same_page(
    secretary: Client, at: datetime, society: object
) -> None:
    from openpyxl import Workbook

    made = Workbook()
    made.active.append(("Name", "Category", "Handicap"))
    made.active.append(("Ivo Marrable", "men", -1.2))
    out = io.BytesIO()
    made.save(out)
    sent = SimpleUploadedFile("players.csv", out.getvalue())  # the name says nothing
    page = secretary.post(reverse("desk:players_import"), {"file": sent})
    assert page.status_code == 200
    assert "index plus 1.2 (society, from " in page.content.decode()
    lines = read_sheet(out.getvalue(), COLUMNS, (), HANDICAPS).lines
    shown = preview(lines, society_day(at))
    tally = import_players(
        lines=lines, digest=shown.digest, choices={}, by=Who.command("test"), at=at
    )
    assert tally.new == 1


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PK\x03\x04 nothing", "damaged"),
        (bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 99, "password"),
        (b"PK\x03\x04" + b"x" * (2 * 1024 * 1024), "2 MB"),
        (b"\x89PNG\r\n\x1a\n\xff", "The file is a picture"),
    ],
)
@pytest.mark.parametrize("page", ["desk:players_import", "courses:import", "desk:calendar"])
def test_a_file_that_is_not_opened_answers_422_with_a_sentence(
    page: str, data: bytes, said: str, secretary: Client
) -> None:
    args = [saturday().season.public_id] if page == "desk:calendar" else []
    sent = {"file": SimpleUploadedFile("list.xlsx", data), "order": ""}
    response = secretary.post(reverse(page, args=args), sent)
    assert response.status_code == 422  # a part with this status is shown where scripts run
    assert said in response.content.decode()


@pytest.mark.usefixtures("people")
def test_handicaps_have_a_line_for_each_figure_that_stands(captain: Client) -> None:
    sheet = opened(captain.get("/players/handicaps.xlsx").content)
    names = [cell.value for cell in column(sheet, "Name")]
    figures = [cell.value for cell in column(sheet, "Handicap")]
    told = dict(zip(names, figures, strict=True))
    assert (told["=1+1"], told["'t Veer"], told["@lone"]) == (-1.2, 12.3, None)
    text = captain.get("/players/handicaps.csv").content.decode("utf-8-sig")
    assert "-5,'=1+1,a@example.org,+1.2,index," in text.replace("'-5", "-5")


@pytest.mark.parametrize("kind", KINDS)
def test_a_calendar_comes_in_again_unchanged(kind: str, secretary: Client) -> None:
    fixture = saturday(name="=Plate")
    season = fixture.season
    data = secretary.get(reverse(f"desk:calendar_{kind}", args=[season.public_id])).content
    if kind == "xlsx":
        sheet = opened(data)
        assert column(sheet, "Date")[0].value.date() == fixture.starts_on
        assert column(sheet, "Name")[0].value == "=Plate"
        assert column(sheet, "Name")[0].data_type == "s"
    sent = {"file": SimpleUploadedFile("x", data), "order": ""}
    response = secretary.post(reverse("desk:calendar", args=[season.public_id]), sent)
    page = response.content.decode()
    assert response.status_code == 200, page
    assert "Unchanged" in page
    assert "Refused" not in page


def test_a_result_as_a_workbook(member: Client) -> None:
    fixture = played([FOURS, FIVES, None], indexes=["-3.0", "18.0"])
    response = member.get(reverse("results:xlsx", args=[fixture.public_id]))
    sheet = opened(response.content)
    plays_off = [cell for cell in column(sheet, "Plays off") if cell.value is not None]
    # -3.0 x 120 / 113 - 1.9 = -5.09; 95 % is -4.83, rounded -5
    assert -5 in {cell.value for cell in plays_off}
    assert {cell.number_format for cell in plays_off} == {'0;"+"0;0'}
    assert {cell.value for cell in column(sheet, "Hole 18")} == {4, 5, None}
