"""The sheets of who teaches, read back from the PDF and held against the engine hole by hole."""

import random
import re
import subprocess
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from scoring.rules.handicap import strokes_received
from scoring.rules.hole_table import pick_up, value_table
from scoring.rules.terms import read_terms
from scoring.rules.values import Format, HandicapKind, Terms
from society.courses.models import Course, TeeHole
from society.courses.rules import RatedHoles
from society.desk.printing.lessons import HANDICAPS, chart_html, lessons_html, worksheet_html
from society.desk.queries.learn import (
    Chosen,
    Told,
    cards_to_choose,
    plain_terms,
    told,
    worked_out,
)
from society.desk.queries.scorecards import dots_of
from society.desk.rules.practice import practice_round
from society.members.models import Player
from society.web.pdf import pdf_bytes
from tests.factories.courses import INDEXES, PARS, TeeFactory, rated_tee

pytestmark = [pytest.mark.django_db, pytest.mark.pdf, pytest.mark.pdftotext]

MM = 72 / 25.4  # points of a PDF in a millimetre
TABLE = (14, 94, 111, 126.5)  # where the holes stand on a sheet, in millimetres: see print.css
HEAD = (14, 10, 184, 35)


def read_back(made: bytes, folder: Path, box: tuple[float, ...] | None = None) -> list[str]:
    """The text of each page, or of one box of it: left, top, width, height in millimetres."""
    file = folder / "paper.pdf"
    file.write_bytes(made)
    crop: list[str] = []
    if box is not None:
        crop = ["-r", "72"]
        for name, figure in zip(("-x", "-y", "-W", "-H"), box, strict=True):
            crop += [name, str(round(figure * MM))]
    done = subprocess.run(
        ["pdftotext", "-layout", *crop, str(file), "-"], check=True, capture_output=True, text=True
    )
    return done.stdout.split("\f")[:-1]


def chosen(playing: int, format_: str = "stableford", holes: str = "18") -> Chosen:
    rated = RatedHoles(holes)
    return worked_out(
        cards_to_choose()[0],
        rated,
        plain_terms(format_, rated),
        HandicapKind.PLAYING,
        Decimal(playing),
        on=date(2026, 4, 18),
    )


def named(playing: int, format_: str, name: str) -> Told:
    return told(chosen(playing, format_), Player(name=name))


def rows(table: str) -> list[list[str]]:
    """Hole, par, stroke index, dots and what the columns say, from the text of a table."""
    found = []
    for line in table.splitlines():
        told_ = re.match(r"\s*(\d+)\s+([3-6])\s+(\d+)\s+(?:(\d*[●○]+)\s+)?(.+?)\s*$", line)
        if told_:
            hole, par, index, dots, rest = told_.groups()
            found.append([hole, par, index, dots or "", *rest.split()])
    return found


def first_to_last(cell: str) -> range:
    first, _, last = cell.partition("–")
    return range(int(first), int(last or first) + 1)


def by_the_committees_table(
    cells: list[str], terms: Terms, table: dict[str, int | None], none: int | None
) -> None:
    worths = sorted(set(terms.points.points), reverse=True)
    assert len(cells) == len(worths)
    for worth, cell in zip(worths[:-1], cells[:-1], strict=True):
        assert cell == "–" or {table[str(gross)] for gross in first_to_last(cell)} == {worth}
    assert int(cells[-1]) == none


def agrees(row: list[str], terms: Terms, par: int, shots: int) -> None:
    """What a row of the sheet says about each score is what the engine gives for it."""
    table = value_table(terms, par=par, strokes=shots)
    none = pick_up(terms, par, shots)
    dots, cells = row[3], row[4:]
    assert dots == dots_of(shots)
    if terms.format is Format.STABLEFORD:
        *better, nothing = cells
        for points, cell in zip(("5+", 4, 3, 2, 1), better, strict=True):
            if cell == "–":
                held = [int(g) for g, worth in table.items() if g != "-" and worth == points]
                assert held == []
                continue
            for gross in first_to_last(cell):
                worth = table[str(gross)]
                assert worth >= 5 if points == "5+" else worth == points
        assert int(nothing) == none
        assert table[nothing] == 0
    elif terms.format is Format.PAR:
        won, half, lost = cells
        assert won == "–" or {table[str(gross)] for gross in first_to_last(won)} == {1}
        assert half == "–" or table[half] == 0
        assert int(lost) == none
        assert table[lost] == -1
    elif terms.format is Format.MODIFIED_STABLEFORD:
        by_the_committees_table(cells, terms, table, none)
    elif terms.format is Format.MAXIMUM_SCORE:
        assert [int(cell) for cell in cells] == [par + shots, table["-"]]
        assert none == table["-"]
    else:
        assert [int(cell) for cell in cells] == [par + shots]
        assert none is None


FORMATS = ("stableford", "medal", "par", "maximum_score", "modified_stableford")


def test_the_sheets_of_100_players_say_what_the_engine_says(society, at, tmp_path):
    rated_tee()
    chance = random.Random(20260418)
    field = [
        (f"Reader {chr(65 + n % 26)}{n:03d}", chance.randint(-6, 70), FORMATS[n % 5])
        for n in range(100)
    ]
    html = lessons_html([named(off, format_, name) for name, off, format_ in field], at=at)
    made = pdf_bytes(html)
    heads, tables = read_back(made, tmp_path, HEAD), read_back(made, tmp_path, TABLE)
    assert len(heads) == len(tables) == 100
    for (name, off, format_), head, table in zip(field, heads, tables, strict=True):
        assert name in head
        assert re.search(rf"\s\+{-off}\s" if off < 0 else rf"\s{off}\s", head)
        shots = strokes_received(off, INDEXES)
        found = rows(table)
        assert [row[:3] for row in found] == [
            [str(hole), str(par), str(index)]
            for hole, (par, index) in enumerate(zip(PARS, INDEXES, strict=True), 1)
        ]
        terms = plain_terms(format_, RatedHoles.EIGHTEEN)
        for row, par, given in zip(found, PARS, shots, strict=True):
            agrees(row, terms, par, given)


def test_a_sheet_for_nine_holes_has_nine(society, at, tmp_path):
    tee = TeeFactory(course=Course.objects.create(name="Millpond", holes=9))
    TeeHole.objects.bulk_create(
        TeeHole(tee=tee, category="men", number=n, par=par, stroke_index=index)
        for n, (par, index) in enumerate(zip(PARS[:9], INDEXES[:9], strict=True), 1)
    )
    lesson = told(chosen(11, holes="first 9"), Player(name="Nine Holer"))
    made = pdf_bytes(lessons_html([lesson], at=at))
    (table,) = read_back(made, tmp_path, (14, 94, 111, 64))
    assert len(rows(table)) == 9
    (page,) = read_back(made, tmp_path)
    assert "What 18 points mean" in page


@pytest.mark.parametrize("steps", [range(-4, 4), range(-9, 10)], ids=["8 columns", "19 columns"])
def test_a_long_table_of_points_finds_room(society, at, tmp_path, steps):
    rated_tee()
    points = {**{str(step): 20 - step for step in steps}, "none": 0}
    terms = read_terms({"format": "modified_stableford", "points": points}, 18)
    there = chosen(20)
    sheet = told(replace(there, terms=terms), Player(name="Many Columns"))
    (table,) = read_back(pdf_bytes(lessons_html([sheet], at=at)), tmp_path, TABLE)
    found = rows(table)
    assert len(found) == 18
    for row, hole in zip(found, sheet.lesson.holes, strict=True):
        assert row[4:] == [str(cell) or "–" for cell in hole.cells]


def test_a_sheet_says_all_a_newcomer_must_know(society, at, tmp_path):
    rated_tee()
    made = pdf_bytes(lessons_html([named(23, "stableford", "Pia New")], at=at, what="Plate"))
    text = " ".join(read_back(made, tmp_path)[0].split())
    for said in (
        "You play off 23, so 23 shots come off your score.",
        "that score is worth two points.",
        "and a second on the 5 hardest: stroke index 1 to 5.",
        "Whose card",
        "two signatures",
        "What 36 points mean",
        "no official index",
    ):
        assert said in text
    assert "make 95 strokes" in text  # par 72 and 23 shots


def test_the_shots_of_every_handicap_stand_on_one_page(society, at, tmp_path):
    rated_tee()
    made = pdf_bytes(chart_html(chosen(0), at=at))
    assert len(read_back(made, tmp_path)) == 1
    found: dict[int, list[int]] = {}
    for left in (13, 107):
        (block,) = read_back(made, tmp_path, (left, 47.2, 90, 226))
        for line in block.splitlines():
            name, *cells = line.split()
            off = -int(name[1:]) if name.startswith("+") else int(name)
            found[off] = [int({"·": "0", "○": "-1"}.get(cell, cell)) for cell in cells]
    assert list(found) == list(HANDICAPS)
    for off, shots in found.items():
        assert tuple(shots) == strokes_received(off, INDEXES)


def test_a_worksheet_has_the_questions_in_front_and_the_answers_behind(society, at, tmp_path):
    rated_tee()
    there = chosen(22)
    questions = practice_round(there.terms, there.ground, playing=22, seed=41)
    front, back = read_back(pdf_bytes(worksheet_html(there, questions, seed=41, at=at)), tmp_path)
    for page in (front, back):
        assert "Round 41" in page
    points = [int(n) for n in re.findall(r"^\s*\d+\s+(\d)\s+\S", back, re.MULTILINE)]
    assert points == [question.points for question in questions]
    assert re.search(rf"\s{sum(points)}\s+All 18 holes", back)
    for question in questions:
        taken = "you pick up" if question.gross is None else rf"You take {question.gross}\."
        assert re.search(
            rf"^\s*{question.number}\s+{question.par}\s+{question.stroke_index}\s.*{taken}",
            front,
            re.MULTILINE,
        )
    assert "is par" not in front  # no answer shows on the side of the questions
