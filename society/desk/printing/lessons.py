"""Paper for who teaches and who learns: a sheet for each player, and the shots of every handicap.

What a sheet costs is its line boxes (see print.css), so a table is a few texts with tab stops over
one drawing, not a cell for each figure.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.template.loader import render_to_string

from society.desk.queries.learn import Chosen, Told
from society.desk.queries.scorecards import dots_of
from society.desk.rules.lesson import Column, LessonHole, chart
from society.desk.rules.practice import Question, asked, explained
from society.members.queries import the_society

_FIGURE, _HALF = "\u2007", "\u2005"  # as wide as a figure; about half as wide
_BEFORE = {0: "", 1: _FIGURE, 2: _HALF}
# A committee's own table of points may have many columns: how tightly they then stand.
_SIZES = ((6, ""), (9, "many"), (19, "most"))
_FIRST_CELL = 4  # hole, par, stroke index and shots come before it


@dataclass(frozen=True, slots=True)
class LessonPaper:
    """One player's sheet: the columns as texts, a line for each hole, a tab for each 11 mm.

    `known` is the column everybody looks for first, printed bold at its own place. `size`: "",
    "many" or "most" columns.
    """

    told: Told
    heading: str
    holes: str
    lines: str
    known: str
    known_at: int
    nine_holes: bool
    size: str


def lesson_paper(told: Told) -> LessonPaper:
    """The texts of one sheet."""
    found = told.lesson
    size = next(size for most, size in _SIZES if len(found.columns) <= most)
    known_at = next(at for at, column in enumerate(found.columns) if column.best_known)
    return LessonPaper(
        told=told,
        heading=_heading(found.columns),
        holes="\n".join(
            f"{_HALF if hole.number < 10 else ''}{hole.number}" for hole in found.holes
        ),
        lines="\n".join(_line(hole, apart=not size) for hole in found.holes),
        known="\n".join(_centred(str(hole.cells[known_at])) for hole in found.holes)
        if not size
        else "",
        known_at=_FIRST_CELL + known_at,
        nine_holes=len(found.holes) == 9,
        size=size,
    )


def _heading(columns: Sequence[Column]) -> str:
    names = [_centred(column.heading) for column in columns]
    return "\t".join(["Hole", _HALF + "Par", _HALF + "SI", "Shots", *names])


def _line(hole: LessonHole, *, apart: bool) -> str:
    """Everything but the hole's number; `apart`: the known column is left out, for its own text."""
    cells = ["" if apart and cell.best_known else _centred(str(cell) or "–") for cell in hole.cells]
    dots = dots_of(hole.shots)
    figures = [_centred(str(hole.par)), _centred(str(hole.stroke_index)), _centred(dots)]
    return "\t" + "\t".join([*figures, *cells])


def _centred(text: str) -> str:
    """A short text in the middle of the space of three figures."""
    return _BEFORE.get(len(text), "") + text


def lessons_html(
    lessons: Iterable[Told], *, at: datetime, what: str = "", day: date | None = None
) -> str:
    """A sheet for each, as HTML. `what`: the fixture or the format; `day`: that of a fixture."""
    return render_to_string(
        "print/lesson.html",
        {
            "society": the_society(),
            "sheets": [lesson_paper(told) for told in lessons],
            "what": what,
            "day": day,
            "printed_at": at,
        },
    )


# the shots of every handicap -----------------------------------------------------------------

# One page has room for these: beyond them nobody plays off anything on any course (index 54 on the
# hardest rating comes to more, and then the next nine or eighteen go on in the same order).
HANDICAPS = range(-8, 74)


@dataclass(frozen=True, slots=True)
class ChartBlock:
    """Half of the chart: handicaps one below the other, as text with a tab for each hole."""

    names: str
    lines: str


def chart_html(chosen: Chosen, *, at: datetime) -> str:
    """The shots of all playing handicaps on one card, on one page, as HTML."""
    rows = chart(chosen.ground.stroke_index, HANDICAPS)
    half = len(rows) // 2
    return render_to_string(
        "print/shots_chart.html",
        {
            "society": the_society(),
            "chosen": chosen,
            "blocks": [_block(rows[:half]), _block(rows[half:])],
            "holes": "\t".join(_two(number) for number in chosen.ground.numbers),
            "pars": "\t".join(_two(par) for par in chosen.ground.par),
            "indexes": "\t".join(_two(index) for index in chosen.ground.stroke_index),
            "printed_at": at,
        },
    )


def _block(rows: Sequence[tuple[int, tuple[int, ...]]]) -> ChartBlock:
    return ChartBlock(
        names="\n".join(_playing(playing) for playing, _ in rows),
        lines="\n".join("\t".join(_shots(given) for given in shots) for _, shots in rows),
    )


def _two(figure: int) -> str:
    return f"{_HALF if figure < 10 else ''}{figure}"


def _shots(given: int) -> str:
    if given == 0:
        return f"{_HALF}·"
    return f"{_HALF}{given}" if given > 0 else f"{_HALF}{dots_of(given)}"


# a practice round ----------------------------------------------------------------------------


def worksheet_html(
    chosen: Chosen, questions: Sequence[Question], *, seed: int, at: datetime
) -> str:
    """A practice round as HTML: what happened on each hole, then a page with the answers."""
    return render_to_string(
        "print/worksheet.html",
        {
            "society": the_society(),
            "chosen": chosen,
            "holes": [
                {
                    "question": question,
                    "asked": asked(question),
                    "why": explained(question),
                    "dots": dots_of(question.shots),
                }
                for question in questions
            ],
            "total": sum(question.points for question in questions),
            "seed": seed,
            "playing": _playing(chosen.plays.playing),
            "printed_at": at,
        },
    )


def _playing(playing: int) -> str:
    return f"+{-playing}" if playing < 0 else str(playing)
