"""A result as CSV: text that no spreadsheet takes for a formula, figures as plain numbers."""

import csv
import io

from scoring.results.queries import Standing
from scoring.results.rules import STATUS_WORDS
from scoring.results.tables.board import settled_words
from society.web.rules import fenced

HEAD = ("Place", "Joint", "Player", "Guest", "Course handicap", "Plays off", "Total")


def result_csv(standing: Standing) -> str:
    """One line for each player of the field, in order of the standing; holes at the end.

    A plus handicap is written as the engine counts it, below zero, so that it adds up.
    """
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow([*HEAD, *(f"Hole {n}" for n in standing.holes), "Settled", "Status", "Rule"])
    blank = [""] * len(standing.holes)
    for row in standing.answer["standings"]:
        key = row["player"]
        lines.writerow(
            [
                row["place"],
                "joint" if row["tied"] else "",
                fenced(standing.name_of(key)),
                _guest(standing, key),
                row["course_handicap"] or "",
                row["playing_handicap"],
                row["total"],
                *_gross(standing, key),
                fenced(settled_words(row["settled"])),
                "",
                "",
            ]
        )
    for row in standing.answer["unplaced"]:
        key = row["player"]
        card = _gross(standing, key) if key in standing.document["cards"] else blank
        status, rule = STATUS_WORDS[row["status"]], fenced(row["rule"] or "")
        name, guest = fenced(standing.name_of(key)), _guest(standing, key)
        lines.writerow(["", "", name, guest, "", "", "", *card, "", status, rule])
    return out.getvalue()


def _guest(standing: Standing, key: str) -> str:
    return "" if key not in standing.people or standing.people[key].is_member else "guest"


def _gross(standing: Standing, key: str) -> list[object]:
    return ["-" if gross is None else gross for gross in standing.document["cards"][key]]
