"""How quick 120 cards are printed, against the same card as a table with a row for each hole.

Run with `python -m tests.bench.cards`. Processor time of this process, all runs in a row, each the
median of three. The table: 18 rows of eight cells with collapsed borders, head and foot as on our
card, laid out afresh for each player. Headings only: the same without the table, which is the least
the engine asks for a page. Ours: the blank laid out once and each player's text stamped upon it,
with the code that opens the card on a phone. Goals: ours at least 8 times as quick as the table
(50 hoped for), and at most half of headings only. Nothing is asserted here.
"""

import os
from datetime import UTC, date, datetime, time
from statistics import median
from time import perf_counter, process_time
from types import SimpleNamespace

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django

django.setup()

from django.template.loader import render_to_string  # noqa: E402 - the settings come first

from scoring.rules.handicap import strokes_received  # noqa: E402 - the settings come first
from society.desk.printing.cards import blanks_of, scorecard_sheets  # noqa: E402 - the settings come first
from society.desk.queries.scorecards import (  # noqa: E402 - the settings come first
    Blank,
    CardPaper,
    HoleOnCard,
    dots_of,
)
from society.web.stamp import stamped  # noqa: E402 - the settings come first
from society.web.writer import pdf_bytes  # noqa: E402 - the settings come first
from tests.factories.courses import INDEXES, PARS  # noqa: E402 - the settings come first

PLAYERS = 120
RUNS = 3
ABOUT = SimpleNamespace(competition="Lantern Plate", course="Oddling Sands", day=date(2026, 10, 10))
SOCIETY = SimpleNamespace(name="Tarn Hollow")


def field() -> list[CardPaper]:
    """A hundred and twenty players with names of their own."""
    holes = tuple(
        HoleOnCard(number, 300 + 7 * number, par, index)
        for number, (par, index) in enumerate(zip(PARS, INDEXES, strict=True), 1)
    )
    blank = Blank("yellow", holes, "Points", ("Two points: par plus dots.",), ("Points",))
    names = [f"Player {chr(65 + n % 26)}{chr(97 + n // 26)}ringwold" for n in range(PLAYERS)]
    return [
        CardPaper(
            blank=blank,
            name=names[n],
            card_id=f"abcdefgh{n:04d}",
            time=time(9 + n // 60, n % 60),
            group=n // 4 + 1,
            index=f"{n % 40}.4",
            course=str(n % 40 + 1),
            plays_off=str(n % 40),
            marker=names[n ^ 1],
            marks=names[n ^ 1],
            digits=f"{(n * 7919) % 10000:04d}",
            shots=strokes_received(n % 40, INDEXES),
        )
        for n in range(PLAYERS)
    ]


def ours(cards: list[CardPaper]) -> bytes:
    """The cards as they are printed."""
    context = {"society": SOCIETY, "about": ABOUT, "blanks": blanks_of(cards)}
    context["printed_at"] = datetime(2026, 10, 10, 8, 0, tzinfo=UTC)
    html = render_to_string("print/scorecard.html", context)
    return stamped(html, scorecard_sheets(cards, "https://society.example"))


def page_by_page(cards: list[CardPaper], *, table: bool) -> bytes:
    """The same cards laid out one by one, with the table of holes or without."""
    style = (
        "<style>@page { size: A5 landscape; margin: 7mm } .one { break-after: page }"
        " .one table { border-collapse: collapse; width: 48%; float: left }"
        " .one td, .one th { border: .2mm solid #888; text-align: center; line-height: 7.7mm;"
        " padding: 0 }</style>"
    )
    body = "".join(_card(card, table=table) for card in cards)
    return pdf_bytes(f'<link rel="stylesheet" href="print.css">{style}{body}')


def _card(card: CardPaper, *, table: bool) -> str:
    head = (
        f"<h1>{ABOUT.competition}</h1><p>{ABOUT.course}, {card.blank.tee} tee</p>"
        f"<p>{card.name}, {card.index}, {card.course}, <b>{card.plays_off}</b>, {card.marker}</p>"
        f"<p>You mark: {card.marks}. {card.digits}. {card.time:%H:%M}, group {card.group}</p>"
    )
    return f'<div class="one">{head}{_nines(card) if table else ""}</div>'


def _nines(card: CardPaper) -> str:
    heads = ("Hole", "Yards", "Par", "SI", "Shots", "Player", card.blank.value, "Marker")
    head = "".join(f"<th>{word}</th>" for word in heads)
    made = []
    for first in (0, 9):
        rows = "".join(
            f"<tr><th>{hole.number}</th><td>{hole.yards}</td><td>{hole.par}</td>"
            f"<td>{hole.index}</td><td>{dots_of(shots)}</td><td></td><td></td><td></td></tr>"
            for hole, shots in list(zip(card.blank.holes, card.shots, strict=True))[
                first : first + 9
            ]
        )
        made.append(f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>")
    return "".join(made)


def main() -> None:
    """Each way three times, and how they stand to each other."""
    cards = field()
    ours(cards[:2])  # the first use of the engine pays for its fonts
    ways = {
        "a row for each hole": lambda: page_by_page(cards, table=True),
        "headings only": lambda: page_by_page(cards, table=False),
        "stamped": lambda: ours(cards),
    }
    spent = {}
    for name, way in ways.items():
        runs = []
        for _ in range(RUNS):
            cpu, wall = process_time(), perf_counter()
            size = len(way())
            runs.append((process_time() - cpu, perf_counter() - wall))
        spent[name] = median(run[0] for run in runs)
        print(
            f"  {PLAYERS} cards, {name:20s} {spent[name]:7.3f} s of processor "
            f"({median(run[1] for run in runs):.3f} s by the clock), "
            f"{spent[name] / PLAYERS * 1000:6.2f} ms a card, {size / 1024:.0f} KiB"
        )
    table, least, stamp = spent.values()
    print(
        f"  stamped is {table / stamp:.0f} x as quick as the table (goal 8, hoped for 50), "
        f"{stamp / least:.2f} x headings only (goal 0.5)"
    )


if __name__ == "__main__":
    main()
