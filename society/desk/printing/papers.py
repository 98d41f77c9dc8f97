"""Paper for the day: the start sheet on one A4, the scorecards two on each A4."""

from datetime import datetime

from django.template.loader import render_to_string

from society.desk.queries.papers import CardPaper, StartSheet, about_fixture, start_sheet
from society.entries.bridge import handicap_lines
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


def scorecards_html(fixture: Fixture, cards: list[CardPaper]) -> str:
    """The cards as HTML, two on a page."""
    return render_to_string(
        "print/scorecard.html",
        {
            "society": the_society(),
            "fixture": fixture,
            "about": about_fixture(fixture, handicap_lines(fixture)),
            "pages": [cards[at : at + 2] for at in range(0, len(cards), 2)],
        },
    )
