"""The command that prints a sheet for everyone in a field."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from society.web import pdf
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.society.desk.test_lesson_papers import read_back

pytestmark = pytest.mark.django_db


def told(*words: str) -> str:
    out = StringIO()
    call_command("lesson_sheets", *words, stdout=out)
    return out.getvalue()


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_a_sheet_for_each_player_in_one_file(society, tmp_path):
    fixture = saturday(name="Lantern Plate")
    for n in range(3):
        entered(fixture, index=f"{n * 10}.0", name=f"Player Sheet{n}")
    file = tmp_path / "sheets.pdf"
    assert told(fixture.public_id, "--out", str(file)) == f"3 sheets are in {file}.\n"
    pages = read_back(file.read_bytes(), tmp_path)
    assert [f"Player Sheet{n}" in page for n, page in enumerate(pages)] == [True] * 3
    assert all("Lantern Plate" in page for page in pages)
    told("Lantern Plate", "--out", str(file))  # by its name as well


def test_it_says_why_it_cannot(society, tmp_path, monkeypatch):
    file = str(tmp_path / "sheets.pdf")
    with pytest.raises(CommandError, match="no such fixture"):
        told("none", "--out", file)
    fixture = saturday()
    with pytest.raises(CommandError, match="Nobody is in this field"):
        told(fixture.public_id, "--out", file)
    entered(fixture)

    def without_pango(html: str) -> bytes:
        raise pdf.NoPaper(pdf.NO_PANGO)

    command = "society.desk.management.commands.lesson_sheets.pdf_bytes"
    monkeypatch.setattr(command, without_pango)
    with pytest.raises(CommandError, match="Pango is missing"):
        told(fixture.public_id, "--out", file)
    monkeypatch.setattr(command, lambda html: b"%PDF")
    with pytest.raises(CommandError, match="cannot be written"):
        told(fixture.public_id, "--out", str(tmp_path / "nowhere" / "sheets.pdf"))
