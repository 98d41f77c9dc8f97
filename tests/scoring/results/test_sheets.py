"""The result as CSV: figures are figures, and no name becomes a formula."""

import csv
import io

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.actions.ruling import rule
from scoring.results.queries.standings import provisional
from scoring.results.sheets import result_listing
from society.web.workbook_out import csv_text
from tests.factories.cards import FIVES, FOURS
from tests.factories.results import AT, OFFICER, competition_of, played

pytestmark = pytest.mark.django_db


def test_text_is_made_safe_and_figures_stay_plain() -> None:
    fixture = played([FOURS, FIVES, None], indexes=["-3.0", "18.0"])
    first = fixture.entries.order_by("pk").first()
    first.player.name = '=HYPERLINK("x")'
    first.player.save()
    rule(
        competition=competition_of(fixture), kind="no_return", rule="=3.3b", words="x",
        entry=fixture.entries.order_by("pk").last(), by=OFFICER, at=AT,
    )  # fmt: skip
    rows = list(
        csv.reader(io.StringIO(csv_text(result_listing(provisional(competition_of(fixture))))))
    )
    head, *lines = rows
    assert {len(row) for row in rows} == {len(head)}
    plus = next(line for line in lines if "HYPERLINK" in line[2])
    assert plus[2] == '\'=HYPERLINK("x")'
    # -3.0 x 120 / 113 - 1.9 = -5.09; 95 % is -4.83, rounded -5
    assert plus[head.index("Plays off")] == "-5"
    assert plus[head.index("Hole 18")] == "4"
    gone = lines[-1]
    assert (gone[0], gone[-2], gone[-1]) == ("", "No return", "'=3.3b")


@pytest.mark.parametrize("name", ["＝1+1", "＋1", "－1", "＠x", "'=1", "'＝1", "%x", "|x"])
def test_no_name_in_any_width_is_a_formula(name: str) -> None:
    """Full-width signs are taken for a formula too; an apostrophe of the name's own stays."""
    fixture = played([FOURS])
    player = fixture.entries.get().player
    player.name = name
    player.save()
    rows = list(
        csv.reader(io.StringIO(csv_text(result_listing(provisional(competition_of(fixture))))))
    )
    assert rows[1][2] == f"'{name}"


def test_the_file_is_sent_as_a_file(secretary: Client) -> None:
    fixture = played([FOURS])
    response = secretary.get(reverse("results:csv", args=[fixture.public_id]))
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert "attachment" in response.headers["Content-Disposition"]
    assert response.content.decode().startswith("\ufeffPlace,Joint,Player")
