"""The season table on paper, for the notice-board: one A4 across."""

from datetime import datetime

from django.template.loader import render_to_string

from society.members.queries import the_society
from society.merit.models import MeritTable
from society.merit.queries import as_shown
from society.merit.rules.words import sentences_of
from society.merit.tables.sheet import sheet_of


def table_html(table: MeritTable, at: datetime) -> str:
    """The table as it is shown: sealed, or as it stands. `at`: when it is printed."""
    standing, version = as_shown(table)
    fixtures = standing.every_fixture or standing.results.fixtures
    names = {fixture.key: fixture.name for fixture in fixtures}
    return render_to_string(
        "print/season_table.html",
        {
            "society": the_society(),
            "table": table,
            "sheet": sheet_of(standing),
            "sentences": sentences_of(standing.rules, standing.facts.cancelled, names),
            "version": version,
            "printed_at": at,
        },
    )
