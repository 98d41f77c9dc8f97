"""Paper for the day: the start sheet on one A4."""

from datetime import datetime

from django.template.loader import render_to_string

from society.desk.queries.papers import StartSheet, start_sheet
from society.fixtures.models import Fixture
from society.members.queries import the_society


def start_sheet_html(fixture: Fixture, *, digits: bool, at: datetime) -> str:
    """The start sheet as HTML. `digits`: the officers' copy, with everyone's four digits."""
    sheet: StartSheet = start_sheet(fixture)
    return render_to_string(
        "print/start_sheet.html",
        {
            "society": the_society(),
            "fixture": fixture,
            "sheet": sheet,
            "digits": digits,
            "printed_at": at,
        },
    )
