"""The season table as a list for a spreadsheet."""

import csv
import io

import pytest
from django.test import Client
from django.urls import reverse

from society.members.models import Player
from society.merit.models import MeritTable
from society.merit.rules.reading import rules_as_json
from society.merit.rules.values import MeritRules, PointsFrom, SeasonTie
from tests.factories.results import sealed_season

pytestmark = pytest.mark.django_db

TOTALS = MeritRules(points=PointsFrom.TOTAL, best=2, minimum=2, season_ties=(SeasonTie.BEST_SCORE,))


@pytest.fixture
def table(society: object) -> MeritTable:
    season = sealed_season({"Ada": [36, 30, 33], "Bea": [34, 35, None], "Cy": [20, None, None]})
    Player.objects.filter(name="Bea").update(name="=Bea")
    return MeritTable.objects.create(
        season=season, number=1, name="Order of merit", rules=rules_as_json(TOTALS)
    )


def test_as_csv_every_score_and_those_dropped_are_named(secretary: Client, table) -> None:
    response = secretary.get(reverse("merit:csv", args=[table.public_id]))
    rows = list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))
    head, ada, bea, cy = rows
    assert {len(row) for row in rows} == {len(head)}
    assert head[:6] == ["Place", "Joint", "Player", "Guest", "Total", "Played"]
    assert ada[:9] == ["1", "", "Ada", "", "69", "3", "36", "30", "33"]
    assert ada[9].startswith("Fixture 2, ")
    assert "better best score" in ada[10]
    assert bea[2:9] == ["'=Bea", "", "69", "2", "34", "35", ""]
    assert cy[0] == ""  # short of the minimum, so without a place


def test_as_a_workbook_figures_are_numbers_and_names_are_text(member: Client, table) -> None:
    from openpyxl import load_workbook

    response = member.get(reverse("merit:xlsx", args=[table.public_id]))
    assert f"merit-{table.public_id}.xlsx" in response.headers["Content-Disposition"]
    sheet = load_workbook(io.BytesIO(response.content)).active
    assert [cell.value for cell in sheet[2]][:9] == [1, None, "Ada", None, 69, 3, 36, 30, 33]
    assert (sheet["C3"].value, sheet["C3"].data_type) == ("=Bea", "s")
    assert all(cell.data_type != "f" for row in sheet.rows for cell in row)
