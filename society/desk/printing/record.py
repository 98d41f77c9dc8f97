"""A handicap record on paper: A4, black on white."""

from collections.abc import Sequence
from datetime import datetime

from django.template.loader import render_to_string

from society.desk.queries.record import RecordPage
from society.desk.queries.record_changes import Change
from society.members.queries import the_society


def record_html(page: RecordPage, changes: Sequence[Change], *, at: datetime) -> str:
    """The record as HTML for the PDF writer: figures, sum, scores, changes."""
    return render_to_string(
        "print/record.html",
        {
            "society": the_society(),
            "page": page,
            "changes": changes,
            "printed_at": at,
        },
    )
