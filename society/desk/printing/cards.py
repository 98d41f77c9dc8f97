"""The printed cards, two on each A4: what is stamped where on a blank, in millimetres."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.template.loader import render_to_string

from society.desk.queries.papers import about_fixture
from society.desk.queries.scorecards import CardPaper, dots_of
from society.entries.bridge.handicaps import handicap_lines
from society.fixtures.models import Fixture
from society.members.queries import the_society
from society.web.stamp import Code, Mark, Paper, Placed, Sheets
from society.web.templatetags.look import clock

A4 = (210.0, 297.0)
HALF = 148.5
RULE = "______________________"
FIRST_ROW, ROW = 45.55, 7.8  # the baseline of the first hole, and from hole to hole
SHOTS = (52.5, 152.5)  # the middle of the column of dots, of each nine


@dataclass(frozen=True, slots=True)
class Printed:
    """What the PDF writer needs: the blanks as a page, and the sheets to be put together."""

    html: str
    sheets: Sheets


def printed_cards(
    fixture: Fixture, cards: Sequence[CardPaper], *, site: str, at: datetime
) -> Printed:
    """These cards, two on each A4. `site`: the address that the code on a card begins with."""
    html = render_to_string(
        "print/scorecard.html",
        {
            "society": the_society(),
            "about": about_fixture(fixture, handicap_lines(fixture)),
            "blanks": blanks_of(cards),
            "printed_at": at,
        },
    )
    return Printed(html, scorecard_sheets(cards, site))


def blanks_of(cards: Sequence[CardPaper]) -> list[object]:
    """The blanks these cards are stamped on, each once."""
    return list(dict.fromkeys(card.blank for card in cards))


def scorecard_sheets(cards: Sequence[CardPaper], site: str) -> Sheets:
    """Two cards on each A4. `site`: the address that the code on a card begins with."""
    blanks = blanks_of(cards)
    papers = [Paper(blanks.index(card.blank), _marks(card), _code(card, site)) for card in cards]
    pages = [
        tuple(Placed(paper, 0, HALF * at) for at, paper in enumerate(papers[first : first + 2]))
        for first in range(0, len(papers), 2)
    ]
    return Sheets(A4, tuple(pages), cuts=((0, HALF, A4[0], HALF),))


def _marks(card: CardPaper) -> tuple[Mark, ...]:
    return (*_start(card), *_who(card), *_foot(card), *_dots(card))


def _start(card: CardPaper) -> list[Mark]:
    """When and where play starts, at the upper right."""
    hole = f"starts on hole {card.hole}" if card.hole else ""
    if card.time:
        words = f"group {card.group}, {f'{hole} at' if hole else 'tee time'}"
        figure = clock(card.time)
    elif card.group:
        words, figure = f"{hole}, group" if hole else "group", str(card.group)
    else:
        return []
    return [
        Mark(words, "st-small", 202.5, 9.2, align=1),
        Mark(figure, "st-time", 202.5, 17, align=1),
    ]


def _who(card: CardPaper) -> list[Mark]:
    """The band under the head: the player, what they play off, and who marks."""
    return [
        Mark(card.name, "st-name", 7.5, 29.6, width=65.5),
        Mark(card.index, "st-less", 77, 29.6),
        Mark(card.course, "st-less", 95, 29.6),
        Mark(card.plays_off, "st-off", 128.5, 31, align=0.5),
        Mark(card.marker, "st-name", 140, 29.6, width=62),
    ]


def _foot(card: CardPaper) -> list[Mark]:
    found = [Mark(card.marks or RULE, "st-marks", 46.5, 124.2, width=62)]
    if card.digits:
        found += [
            Mark("Your four digits, to sign", "st-key", 30, 130.6),
            Mark("on another’s phone", "st-key", 30, 133.8),
            Mark(card.digits, "st-digits", 30, 140.2),
        ]
    if card.card_id:
        found.append(Mark("Opens this card on a phone, after signing in", "st-tiny", 7.5, 143.9))
    return found


def _dots(card: CardPaper) -> list[Mark]:
    return [
        Mark(dots_of(shots), "st-dots", SHOTS[at // 9], FIRST_ROW + ROW * (at % 9), align=0.5)
        for at, shots in enumerate(card.shots)
        if shots
    ]


def _code(card: CardPaper, site: str) -> Code | None:
    return Code(f"{site}{card.address}", 7.5, 121.6, 19) if card.card_id else None
