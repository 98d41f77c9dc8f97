"""The handicap record on paper: A4, everything that the page has, read back from the PDF."""

import re
import subprocess
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from society.desk.printing.record import record_html
from society.desk.queries.record import record_page
from society.desk.queries.record_changes import changes_of
from society.handicaps.actions.record import record
from society.members.models import Player
from society.web.pdf import pdf_bytes
from society.web.who import Who
from tests.factories.entries import handicap
from tests.factories.fixtures import saturday
from tests.factories.members import OfficeFactory, PlayerFactory
from tests.factories.records import cut, differentials, moved

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("society")]

ON = date(2026, 4, 18)
LONG = "Bartholomew Featherstonehaugh-Wolstenholme of Upper Netherwallop"


def html_of(player: Player) -> str:
    page = record_page(player, ON)
    return record_html(page, changes_of(player, page.own, ON), at=datetime(2026, 4, 18, tzinfo=UTC))


def full(name: str = "Ida Low", scores: int = 23) -> Player:
    ida = PlayerFactory(name=name)
    saturday()
    handicap(ida, "12.3")
    tens = [f"{12 + at % 5}.{at % 10}" for at in range(scores)]
    differentials(ida, *tens, first=date(2024, 6, 1))
    moved(ida, "-1.0", date(2026, 4, 1), why="three wins away")
    cut(ida, date(2026, 4, 2), ("-2.0", date(2027, 4, 2)), because="second with 39 points")
    return ida


def read_pdf(path: Path, html: str) -> tuple[str, str]:
    """The words of the PDF on one line, and what pdfinfo says."""
    path.write_bytes(pdf_bytes(html))
    told = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True)
    info = subprocess.run(["pdfinfo", path], capture_output=True, check=True)
    return " ".join(told.stdout.decode().split()), info.stdout.decode()


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_everything_stands_on_a4(tmp_path: Path) -> None:
    words, info = read_pdf(tmp_path / "record.pdf", html_of(full()))
    for said in (
        "Ida Low",
        "Handicap record on Saturday 18 April 2026",
        "No official index.",
        "Index 12.3 of the association, from 1 January 2026.",
        "The lowest 8 of the latest 20 differentials, as they now stand.",
        "Framed: the differentials that make the figure.",
        "Adjustment by the committee",
        "three wins away",
        "Second with 39 points. 2 shots off from Thu 2 Apr 2026, until Fri 2 Apr 2027 (counts "
        "today).",  # the size once
    ):
        assert said in words, said
    assert "A4" in info
    assert len(re.findall(r"Differential worked out elsewhere", words)) == 23


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_a_low_index_that_starts_anew_is_on_paper(tmp_path: Path) -> None:
    """Rule 7.1a: +4.0 on a level 10.0 stands at 14.0, where the cap of Rule 5.8 left 13.5."""
    ida = PlayerFactory(name="Ida Low")
    differentials(ida, *["10.0"] * 30, first=date(2024, 12, 1), step=14)
    moved(ida, "4.0", date(2026, 4, 1), why="a long illness", resets_low=True)
    words, _ = read_pdf(tmp_path / "record.pdf", html_of(ida))
    assert "10.0 → 14.0" in words
    assert "The low index starts anew: no figure from before this day counts for it." in words


@pytest.mark.pdf
@pytest.mark.pdftotext
@pytest.mark.parametrize("scores", [0, 60])
def test_an_empty_record_and_a_long_one_with_a_long_name(tmp_path: Path, scores: int) -> None:
    player = full(LONG, scores) if scores else PlayerFactory(name=LONG)
    words, info = read_pdf(tmp_path / "record.pdf", html_of(player))
    assert "Featherstonehaugh-Wolstenholme" in words
    pages = int(re.findall(r"Pages:\s+(\d+)", info)[0])
    assert pages == 1 if not scores else 2 <= pages <= 4
    if not scores:
        assert "No score is kept yet." in words
        assert "Nothing has changed yet." in words


def test_the_address_gives_a_paper_named_after_the_player(
    member: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[tuple[str, str]] = []

    def noted(request: object, html: str, filename: str) -> object:
        made.append((html, filename))
        return HttpResponse(b"%PDF", content_type="application/pdf")

    monkeypatch.setattr("society.desk.views.record.pdf_response", noted)
    ida = full()
    assert member.get(reverse("desk:record_pdf", args=[ida.public_id])).status_code == 200
    ((html, filename),) = made
    assert filename == "handicap-ida-low.pdf"
    assert "Ida Low" in html


def test_a_figure_written_down_stands_with_its_reason_and_its_writer() -> None:
    player = PlayerFactory()
    keeper = OfficeFactory(role="handicap_secretary", account__name="Hester Quill").account
    by = Who(account=keeper.public_id, roles=frozenset({"handicap_secretary"}))
    given = {"player": player, "kind": "index", "source": "society", "by": by}
    for value, day, words in (("12.0", 1, ""), ("14.2", 2, "Three cards seen")):
        when = datetime(2026, 4, day, 9, tzinfo=UTC)
        record(value=Decimal(value), valid_from=when.date(), words=words, at=when, **given)
    paper = " ".join(html_of(player).split())
    change = paper[paper.index("12.0 → 14.2") :]
    assert "Three cards seen." in change
    assert "Written by Hester Quill, Thu 2 Apr 2026" in change
