"""Four slips on each A4, and labels to stick on a club's own card, in millimetres."""

from collections.abc import Sequence
from datetime import datetime

from django.template.loader import render_to_string

from society.desk.printing.cards import A4, RULE, Printed, blanks_of, printed_cards
from society.desk.queries.papers import about_fixture
from society.desk.queries.scorecards import CardPaper, dots_of
from society.desk.rules.labels import LabelSheet
from society.entries.bridge.handicaps import handicap_lines
from society.entries.rules.words import PaperShape
from society.fixtures.models import Fixture
from society.members.queries import the_society
from society.web.stamp import Code, Mark, Paper, Placed, Sheets
from society.web.templatetags.look import clock

SLIP = (105.0, 148.5)
SLIP_ROW, SLIP_FIRST = 4.6, 46.2  # from hole to hole, and the baseline of the first
SLIP_SHOTS = 41.6


def printed_slips(
    fixture: Fixture, cards: Sequence[CardPaper], *, site: str, at: datetime
) -> Printed:
    """Four to a sheet, to be cut in quarters."""
    blanks = blanks_of(cards)
    papers = [Paper(blanks.index(card.blank), _on_slip(card), _code(card, site)) for card in cards]
    corners = [(0.0, 0.0), (SLIP[0], 0.0), (0.0, SLIP[1]), SLIP]
    pages = tuple(
        tuple(
            Placed(paper, *corner)
            for paper, corner in zip(papers[first : first + 4], corners, strict=False)
        )
        for first in range(0, len(papers), 4)
    )
    cuts = ((0, SLIP[1], A4[0], SLIP[1]), (SLIP[0], 0, SLIP[0], A4[1]))
    html = _html("print/slip.html", fixture, at, blanks=blanks)
    return Printed(html, Sheets(A4, pages, cuts))


def _on_slip(card: CardPaper) -> tuple[Mark, ...]:
    found = [
        Mark(_start(card), "st-small", 97, 18.6, align=1),
        Mark(card.name, "st-name", 8, 30.2, width=68),
        Mark(card.plays_off, "st-off", 97, 31.2, align=1),
        Mark(_small(card), "st-tiny", 20.4, 24.9),
        Mark(card.marker or RULE, "st-key", 20.4, 35.2, width=32),
        Mark(card.marks or RULE, "st-key", 69.5, 35.2, width=28),
    ]
    if card.digits:
        found += [
            Mark("Your four digits", "st-tiny", 24, 137.6),
            Mark(card.digits, "st-digits", 24, 143.4),
        ]
    found += [
        Mark(dots_of(shots), "st-dots", SLIP_SHOTS, SLIP_FIRST + SLIP_ROW * at, align=0.5)
        for at, shots in enumerate(card.shots)
        if shots
    ]
    return tuple(found)


def _start(card: CardPaper) -> str:
    said = [f"group {card.group}"] if card.group else []
    said += [f"hole {card.hole}"] if card.hole else []
    said += [clock(card.time)] if card.time else []
    return ", ".join(said)


def _small(card: CardPaper) -> str:
    said = [f"index {card.index}"] if card.index else []
    said += [f"course {card.course}"] if card.course else []
    return ", ".join(said)


def _code(card: CardPaper, site: str) -> Code | None:
    return Code(f"{site}{card.address}", 8, 133.4, 13) if card.card_id else None


# labels ------------------------------------------------------------------------------------


def printed_labels(
    fixture: Fixture,
    cards: Sequence[CardPaper],
    *,
    sheet: LabelSheet,
    first: int,
    site: str,
    at: datetime,
) -> Printed:
    """A label for each card. `first`: the label of the first sheet to begin with, from 1."""
    blanks = blanks_of(cards)
    about = about_fixture(fixture, handicap_lines(fixture))
    day = f"{about.competition}, {about.day:%-d.%-m.%Y}"
    papers = [_label(card, sheet, blanks.index(card.blank), day, site) for card in cards]
    pages: list[list[Placed]] = []
    for place, paper in enumerate(papers, first - 1):
        page, on_it = divmod(place, sheet.on_a_sheet)
        while len(pages) <= page:
            pages.append([])
        pages[page].append(Placed(paper, *map(float, sheet.corner(on_it))))
    html = _html("print/labels.html", fixture, at, blanks=blanks, sheet=sheet)
    style = (
        f"@page label {{ size: {sheet.wide}mm {sheet.high}mm; margin: 0 }}"
        f" .label {{ height: {sheet.high}mm }}"
    )
    return Printed(html, Sheets(A4, tuple(map(tuple, pages)), style=style))


def _label(card: CardPaper, sheet: LabelSheet, blank: int, day: str, site: str) -> Paper:
    """As much as the label has room for: the code and the shots need a larger one."""
    wide, high = float(sheet.wide), float(sheet.high)
    large = wide >= 80 and high >= 34
    code = card.card_id and wide >= 80 and high >= 28
    right = wide - (21.5 if code else 3)
    marks = [
        Mark(day, "st-key", 3, 5.4, width=right - 22),
        Mark(_start(card), "st-key", right, 5.4, align=1),
        Mark(card.name, "st-name", 3, 12.2, width=right - 21),
        Mark(card.plays_off, "st-off", right, 13.4, align=1),
        Mark("plays off" if card.plays_off else "", "st-tiny", right, 16.4, align=1),
        Mark(f"{card.blank.tee} tee" if card.blank.tee else "", "st-key", 3, 16.6),
        Mark(f"Marker: {card.marker}" if card.marker else "", "st-key", 3, 20.4, width=right - 24),
        Mark(f"digits {card.digits}" if card.digits else "", "st-key", right, 20.4, align=1),
    ]
    if large:
        step = (wide - 6) / len(card.blank.holes)
        for at, shots in enumerate(card.shots):
            x = 3 + step * (at + 0.5)
            marks.append(
                Mark(dots_of(shots) if shots else "", "st-spots", x, high - 3.4, align=0.5)
            )
    square = Code(f"{site}{card.address}", wide - 19, 3.4, 16) if code else None
    return Paper(blank, tuple(marks), square)


def label_sheet() -> LabelSheet:
    """How the society's labels lie on a sheet."""
    society = the_society()
    return LabelSheet.read(society.label_sheet if society else "")


def in_shape(
    fixture: Fixture,
    cards: Sequence[CardPaper],
    shape: PaperShape,
    *,
    first: int,
    site: str,
    at: datetime,
) -> Printed:
    """These cards as cards, slips or labels. `first`: the label to begin with, from 1."""
    if shape is PaperShape.SLIP:
        return printed_slips(fixture, cards, site=site, at=at)
    if shape is PaperShape.LABEL:
        sheet = label_sheet()
        return printed_labels(fixture, cards, sheet=sheet, first=first, site=site, at=at)
    return printed_cards(fixture, cards, site=site, at=at)


def label_test_html(sheet: LabelSheet, at: datetime) -> str:
    """One sheet with the outline of every label, to hold against a sheet of labels."""
    places = [(number + 1, *sheet.corner(number)) for number in range(sheet.on_a_sheet)]
    return render_to_string(
        "print/label_test.html",
        {"society": the_society(), "sheet": sheet, "places": places, "printed_at": at},
    )


def _html(template: str, fixture: Fixture, at: datetime, **more: object) -> str:
    about = about_fixture(fixture, handicap_lines(fixture))
    context = {"society": the_society(), "about": about, "printed_at": at, **more}
    return render_to_string(template, context)
