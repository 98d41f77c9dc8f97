"""The papers of the day on A4: each as the HTML of its page."""

from collections.abc import Mapping
from datetime import datetime

from django.template.loader import render_to_string

from scoring.results.queries.side import contests_of
from scoring.results.tables.side import contest_line
from society.desk.queries.day_papers import by_group, by_name, prize_giving, venue_sheet
from society.desk.queries.papers import about_fixture
from society.entries.bridge.draws import the_draw
from society.entries.bridge.handicaps import handicap_lines
from society.fixtures.models import Fixture
from society.fixtures.queries import competitions_of, terms_sentences_of, the_round
from society.members.queries import the_society

CONTEST_LINES = range(1, 10)
ROOM = {"names": (36, 56), "venue": (30, 46), "box": (31, 48)}  # players before it is set tighter


def names_html(fixture: Fixture, at: datetime) -> str:
    """Everyone by name, with time and group."""
    rows = by_name(fixture)
    more = {
        "rows": rows,
        "holes": any(row.hole for row in rows),
        "several_tees": len({row.tee for row in rows}) > 1,
        "size": _size("names", len(rows)),
    }
    return _html("print/by_name.html", fixture, at, more)


def venue_html(fixture: Fixture, at: datetime) -> str:
    """For the club: numbers, times, tees, buggies and meals."""
    sheet = venue_sheet(fixture)
    size = _size("venue", sheet.counts.heads)
    return _html("print/venue.html", fixture, at, {"sheet": sheet, "size": size})


def box_html(fixture: Fixture, at: datetime) -> str:
    """The check-list by the card box."""
    groups = by_group(fixture)
    players = sum(len(rows) for _, rows in groups)
    more = {
        "groups": groups,
        "players": players,
        "size": _size("box", players),
        "cards_due": the_round(fixture).cards_due_at,
    }
    return _html("print/card_box.html", fixture, at, more)


def contests_html(fixture: Fixture, at: datetime) -> str:
    """A card for each side contest."""
    contests = [contest_line(row) for row in contests_of(fixture)]
    more = {"contests": contests, "lines": CONTEST_LINES}
    return _html("print/contests.html", fixture, at, more)


def read_out_html(fixture: Fixture, at: datetime) -> str:
    """What is read out at the prize-giving."""
    prizes = prize_giving(fixture)
    sure = all(one.sure for one in prizes.lists)
    return _html("print/read_out.html", fixture, at, {"prizes": prizes, "sure": sure, "draw": None})


def terms_html(fixture: Fixture, at: datetime) -> str:
    """The day's terms, local conditions and the signals for lightning."""
    rows = competitions_of(fixture)
    more = {
        "competitions": [(row.name, terms_sentences_of(row)) for row in rows],
        "round": the_round(fixture),
        "contests": [contest_line(row) for row in contests_of(fixture)],
    }
    return _html("print/day_terms.html", fixture, at, more)


def _size(sheet: str, lines: int) -> str:
    normal, tight = ROOM[sheet]
    return "" if lines <= normal else "tight" if lines <= tight else "tighter"


def _html(template: str, fixture: Fixture, at: datetime, more: Mapping[str, object]) -> str:
    context = {
        "society": the_society(),
        "fixture": fixture,
        "about": about_fixture(fixture, handicap_lines(fixture)),
        "draw": the_draw(the_round(fixture)),
        "printed_at": at,
        **more,
    }
    return render_to_string(template, context)
