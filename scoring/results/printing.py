"""The result on paper: one A4 document, page numbers, fingerprint and when it was printed."""

from datetime import datetime

from django.template.loader import render_to_string

from scoring.results.queries.standings import Standing
from scoring.results.queries.versions import versions_shown
from scoring.results.tables.board import board_of
from scoring.results.tables.side import contest_lines, division_words, twos_shown
from society.fixtures.queries import played_off_words, terms_sentences_of
from society.members.queries import the_society


def result_html(standing: Standing, at: datetime) -> str:
    """The page of a result as HTML for the PDF writer. `at`: when it is printed."""
    competition = standing.competition
    divisions = [(name, board_of(standing, division=name)) for name in standing.answer["divisions"]]
    return render_to_string(
        "print/result.html",
        {
            "society": the_society(),
            "competition": competition,
            "fixture": competition.fixture,
            "standing": standing,
            "board": board_of(standing),
            "divisions": divisions,
            "division_words": division_words(standing),
            "contests": contest_lines(standing),
            "twos": twos_shown(standing),
            "terms": terms_sentences_of(competition),
            "played_off": played_off_words(competition),
            "versions": versions_shown(standing),
            "printed_at": at,
        },
    )
