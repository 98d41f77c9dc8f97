"""The papers read back from the PDF: what stands on them, and the dots against the engine."""

import re
import subprocess
from pathlib import Path

import pytest
from django.urls import reverse

from scoring.rules.handicap import strokes_received
from society.desk.printing.papers import scorecards_html, start_sheet_html
from society.desk.queries.papers import chosen_cards, dots_of, scorecards
from society.entries.actions import drawing, freezing
from society.entries.actions.entering import withdraw
from society.entries.bridge import handicap_lines, the_draw
from society.entries.models import Entry, Start
from society.entries.rules.draw import DrawMethod
from society.fixtures.models import Fixture, Round, RoundTee
from society.fixtures.queries import the_round
from society.web import pdf
from society.web.pdf import pdf_bytes
from tests.factories.courses import INDEXES, PARS, rated_tee
from tests.factories.entries import entered
from tests.factories.fixtures import saturday

pytestmark = pytest.mark.django_db
MEDAL = '{"allowance":95,"format":"medal"}'


def read_back(made: bytes, folder: Path) -> list[str]:
    """The text of each page, laid out in lines and columns."""
    file = folder / "paper.pdf"
    file.write_bytes(made)
    told = subprocess.run(
        ["pdftotext", "-layout", str(file), "-"], check=True, capture_output=True, text=True
    )
    return told.stdout.split("\f")[:-1]


def read_halves(made: bytes, folder: Path) -> list[str]:
    """The text of each half of each A4 page, which is a card; empty halves are left out."""
    file = folder / "paper.pdf"
    file.write_bytes(made)
    halves = []
    for top in (0, 421):  # A4 is 595 x 842 points
        told = subprocess.run(
            [
                "pdftotext",
                "-layout",
                "-r",
                "72",
                "-x",
                "0",
                "-y",
                str(top),
                "-W",
                "595",
                "-H",
                "421",
                str(file),
                "-",
            ],
            check=True,
            capture_output=True,
            text=True,
        )
        halves += told.stdout.split("\f")[:-1]
    return [half for half in halves if half.strip()]


def one_line(text: str) -> str:
    return " ".join(text.split())


def day(players: int, at, machine, *, publish: bool = True, **values: object) -> Fixture:
    fixture = saturday(state="closed", name="Lantern Plate", **values)
    for n in range(players):
        entered(fixture, index=f"{n % 30}.4", name=f"Player Letter{chr(65 + n % 26)}{n // 26}")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    if publish:
        drawing.make_draw(
            fixture=fixture, method=DrawMethod.RANDOM, seed="41207", interval=10, by=machine, at=at
        )
        drawing.publish_draw(fixture=fixture, by=machine, at=at)
    return fixture


def every(fixture: Fixture):
    return scorecards(fixture, chosen_cards(fixture))


# scorecards --------------------------------------------------------------------------------

# Playing handicaps 23, 45, 0 and plus 3 on the tee of the factories (Slope 120, rating 70.1, par
# 72, 95 %): the indexes were found by Rules of Handicapping 2024, Rules 6.1a and 6.2a, by hand.
SHOTS = {"24.6": 23, "46.4": 45, "1.8": 0, "-1.2": -3}


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_the_dots_on_paper_are_the_strokes_of_the_engine(at, machine, society, tmp_path):
    fixture = saturday(state="closed", name="Lantern Plate")
    for index in SHOTS:
        entered(fixture, index=index, name=f"Player {index.replace('.', 'x').replace('-', 'plus')}")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    playing = {
        line.entry.player.name: line.plays.playing for line in handicap_lines(fixture) if line.plays
    }
    assert sorted(playing.values()) == sorted(SHOTS.values())
    made = pdf_bytes(scorecards_html(fixture, every(fixture)))
    assert len(read_back(made, tmp_path)) == 2  # two cards on each A4
    cards = read_halves(made, tmp_path)
    assert len(cards) == 4
    for card in cards:
        names = [name for name in playing if re.search(rf"^ *{name}\b", card, re.MULTILINE)]
        assert len(names) == 1
        expected = strokes_received(playing[names[0]], INDEXES)
        assert holes_on(card) == {
            hole: (PARS[hole - 1], INDEXES[hole - 1], dots_of(shots))
            for hole, shots in enumerate(expected, 1)
        }


def holes_on(card: str) -> dict[int, tuple[int, int, str]]:
    """Hole → par, stroke index and dots, from the lines of a card: two holes on each line."""
    found = {}
    pattern = r"(?<!\S)(\d{1,2})\s+300\s+([3-6])\s+(\d{1,2})(?!\S)[^\S\n]*([●○]*)"
    for hole, par, index, dots in re.findall(pattern, card):
        found[int(hole)] = (int(par), int(index), dots)
    return found


def test_dots_rings_and_blanks():
    assert [dots_of(n) for n in (0, 1, 3, -1, 4)] == ["", "●", "●●●", "○", "4●"]


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_a_card_says_what_the_player_needs(at, machine, society, tmp_path):
    fixture = day(4, at, machine)
    pages = read_back(pdf_bytes(scorecards_html(fixture, every(fixture))), tmp_path)
    text = one_line("\n".join(pages))
    assert text.count("Lantern Plate") == 4
    assert text.count("Saturday 18 April 2026") == 4
    assert text.count("tee time") == 4
    assert text.count("09:30") == 4
    assert text.count("You mark: ") == 4
    assert "Two points: par plus dots." in text
    for start in Start.objects.select_related("entry__player", "marker__player"):
        assert text.count(start.digits) >= 1
        assert f"You mark: {start.entry.player.name}" in text
    for words in ("Plays off", "Course handicap", "Index", "Marker", "Player", "Points"):
        assert text.count(words) >= 4


def test_a_player_has_their_own_digits_and_no_others(at, machine):
    fixture = day(4, at, machine)
    for card in every(fixture):
        start = Start.objects.get(entry=card.entry)
        html = scorecards_html(fixture, [card])
        assert f"<b>{start.digits}</b>" in html
        others = Start.objects.exclude(pk=start.pk).values_list("digits", flat=True)
        assert not [digits for digits in others if f"<b>{digits}</b>" in html]


def test_cards_come_by_group_and_place(at, machine):
    fixture = day(11, at, machine)
    order = [card.entry.key for card in every(fixture)]
    assert order == [key for group in the_draw(the_round(fixture)).groups for key in group]


def test_without_a_draw_the_marker_is_a_line_to_write_on(at, machine):
    fixture = day(3, at, machine, publish=False)
    cards = every(fixture)
    assert [card.marker for card in cards] == ["", "", ""]
    assert [card.entry.player.name for card in cards] == sorted(
        card.entry.player.name for card in cards
    )
    html = scorecards_html(fixture, cards)
    assert "tee time" not in html
    assert "You mark: ____" in html


@pytest.mark.parametrize(
    ("terms", "column", "totals", "note"),
    [
        ('{"format":"stableford"}', "Points", ("Points",), "Two points: par plus dots."),
        (MEDAL, "Net", ("Gross", "Net"), "Every hole wants a score."),
        ('{"format":"par"}', "+ 0 –", ("Holes up",), "Par plus dots is a half: 0."),
        (
            '{"format":"maximum_score"}',
            "Counts",
            ("Gross", "Net"),
            "Most on a hole: par, two and dots.",
        ),
        ('{"basis":"gross","format":"medal"}', "Net", ("Gross",), "Gross: no shots are received."),
    ],
)
def test_each_game_has_its_columns_and_words(terms, column, totals, note, at, machine):
    fixture = day(2, at, machine, terms=terms)
    card = every(fixture)[0]
    assert card.value == column
    assert column in scorecards_html(fixture, [card])
    assert card.totals == totals
    assert note in card.notes


def test_a_gross_card_has_no_dots_and_no_handicap_to_play_off(at, machine):
    fixture = day(2, at, machine, terms='{"basis":"gross","format":"stableford"}')
    for card in every(fixture):
        assert card.plays_off == ""
        assert "●" not in scorecards_html(fixture, [card])


def test_nine_holes_have_one_table_with_their_own_numbers(at, machine):
    fixture = saturday(state="closed", handicap_kind="playing")
    Round.objects.filter(fixture=fixture).update(holes="second 9")
    entry = entered(fixture, index=None)
    from tests.factories.entries import handicap

    handicap(entry.player, "5", kind="playing")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    (card,) = every(fixture)
    assert card.nine_holes
    assert card.holes.split("\n") == [str(hole) for hole in range(10, 19)]
    assert card.sums.startswith("In\t")
    # five shots on the five hardest of the nine: indexes 2, 4, 6, 8, 10 (Appendix E)
    lines = zip(range(10, 19), card.lines.split("\n"), strict=True)
    assert {INDEXES[hole - 1] for hole, line in lines if "●" in line} == {2, 4, 6, 8, 10}


def test_which_cards_are_printed(at, machine):
    fixture = day(8, at, machine)
    first = the_draw(the_round(fixture)).groups[0]
    assert {c.entry.key for c in scorecards(fixture, chosen_cards(fixture, group=1))} == set(first)
    assert scorecards(fixture, chosen_cards(fixture, group=9)) == []
    assert scorecards(fixture, chosen_cards(fixture, changed=True)) == []
    fixture.refresh_from_db()
    withdraw(entry=Entry.objects.get(key=first[0]), by=machine, at=at)
    changed = scorecards(fixture, chosen_cards(fixture, changed=True))
    assert {card.entry.key for card in changed} == set(first[1:])
    one_change = scorecards(fixture, chosen_cards(fixture, change=1))
    assert {card.entry.key for card in one_change} == set(first[1:])
    other = the_draw(the_round(fixture)).groups[1][0]
    from datetime import timedelta
    from decimal import Decimal

    freezing.correct_frozen(
        start=Start.objects.get(entry__key=other),
        value=Decimal("3.3"),
        reason_class="wrong handicap",
        words="An old record.",
        by=machine,
        at=at + timedelta(hours=1),
    )
    changed = scorecards(fixture, chosen_cards(fixture, changed=True))
    assert {card.entry.key for card in changed} == {*first[1:], other}


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_long_names_stay_on_the_card(at, machine, society, tmp_path):
    fixture = saturday(state="closed", name="The Autumn Trophy for Past Captains and Their Friends")
    for n in range(3):
        entered(fixture, name=f"Bartholomew-Alexander Featherstonehaugh the {n + 1}th")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, by=machine, at=at)
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    pages = read_back(pdf_bytes(scorecards_html(fixture, every(fixture))), tmp_path)
    assert len(pages) == 2
    assert one_line("\n".join(pages)).count("You mark: ") == 3


# start sheet -------------------------------------------------------------------------------


@pytest.mark.pdf
@pytest.mark.pdftotext
@pytest.mark.parametrize("players", [4, 28, 44, 60])
def test_the_start_sheet_is_one_page_by_group_and_time(players, at, machine, society, tmp_path):
    fixture = day(players, at, machine)
    made = pdf_bytes(start_sheet_html(fixture, digits=False, at=at))
    (page,) = read_back(made, tmp_path)
    text = one_line(page)
    groups = the_draw(the_round(fixture)).groups
    assert "Start sheet." in text
    assert f"{players} players in {len(groups)} group" in text
    assert "Draw 1, seed 41207, no change by hand." in text
    assert "Published " in text
    assert "Printed " in text
    assert "page 1 of 1" in text
    playing = {line.entry.key: line.plays.playing for line in handicap_lines(fixture)}
    names = dict(Entry.objects.values_list("key", "player__name"))
    for group in groups:
        for key in group:
            figure = playing[key] if playing[key] >= 0 else f"+{-playing[key]}"
            assert re.search(rf"{names[key]} +{re.escape(str(figure))}\b", page)
    assert text.index("09:30") < text.index("group 1")
    assert not [d for d in Start.objects.values_list("digits", flat=True) if f" {d} " in text]


@pytest.mark.pdf
@pytest.mark.pdftotext
@pytest.mark.parametrize("digits", [False, True])
def test_long_names_and_notes_stay_on_the_start_sheet(digits, at, machine, society, tmp_path):
    fixture = saturday(state="closed", name="The Autumn Trophy for Past Captains and Their Friends")
    for n in range(8):
        entered(fixture, name=f"Bartholomew-Alexander Featherstonehaugh the {n + 1}th")
    host = Entry.objects.first().player
    for n in range(3):
        guest = entered(
            fixture,
            name=f"Wilhelmina-Constance Featherstonehaugh-Winterbottom the {n + 1}th",
            kind="guest",
        )
        guest.host = host
        guest.save()
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, seed="9" * 60, by=machine, at=at)
    drawing.publish_draw(fixture=fixture, by=machine, at=at)
    (tmp_path / "paper.pdf").write_bytes(pdf_bytes(start_sheet_html(fixture, digits=digits, at=at)))
    told = subprocess.run(
        ["pdftotext", "-bbox", str(tmp_path / "paper.pdf"), "-"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    assert told.count("<page ") == 1
    assert told.count(">guest<") == 3
    right = [float(x) for x in re.findall(r'<word [^>]*xMax="([\d.]+)"', told)]
    assert max(right) < 595 - 13 * 72 / 25.4  # the margin of the sheet, in points


def test_the_officers_sheet_has_the_digits(at, machine):
    fixture = day(5, at, machine)
    html = start_sheet_html(fixture, digits=True, at=at)
    for digits in Start.objects.values_list("digits", flat=True):
        assert f">{digits}<" in html
    assert "for the officers alone" in html


def test_several_tees_are_named_and_guests_have_their_host(at, machine):
    fixture = saturday(state="closed")
    red = rated_tee(course=the_round(fixture).course, name="red", category="women")
    RoundTee.objects.create(round=the_round(fixture), category="women", tee=red)
    host = entered(fixture, name="Jem Saltcote")
    guest = entered(fixture, name="Percy Bluntspoon", category="women", kind="guest")
    guest.host = host.player
    guest.save()
    html = start_sheet_html(fixture, digits=False, at=at)
    assert "<td>red</td>" in html
    assert "guest of Jem" in html
    assert "No draw." in html


# the pages that give them ------------------------------------------------------------------


@pytest.mark.pdf
def test_the_addresses_answer_with_pdf(secretary, scorer, at, machine):
    fixture = day(5, at, machine)
    for name in ("start_sheet", "scorecards"):
        address = reverse(f"desk:{name}", args=[fixture.public_id])
        for client in (secretary, scorer):
            response = client.get(address)
            assert response["Content-Type"] == "application/pdf"
            assert response.content.startswith(b"%PDF-")
            assert response["Cache-Control"] == "no-store"


def test_cards_wait_for_handicaps(secretary):
    fixture = saturday(state="closed")
    entered(fixture)
    response = secretary.get(reverse("desk:scorecards", args=[fixture.public_id]))
    assert response.status_code == 409
    assert "Take handicaps first" in response.content.decode()


def test_no_card_by_that_choice_is_said(secretary, at, machine):
    fixture = day(5, at, machine)
    address = reverse("desk:scorecards", args=[fixture.public_id])
    response = secretary.get(address, {"changed": "1"})
    assert response.status_code == 409
    assert "no card to print" in response.content.decode()


def test_members_never_get_cards_or_digits(member, at, machine):
    fixture = day(5, at, machine)
    assert member.get(reverse("desk:scorecards", args=[fixture.public_id])).status_code == 403
    sheet = reverse("desk:start_sheet", args=[fixture.public_id])
    assert member.get(sheet, {"digits": "1"}).status_code == 403


def test_where_pango_is_missing_the_page_says_so(secretary, at, machine, monkeypatch):
    fixture = day(5, at, machine)

    def no_pango(html: str) -> bytes:
        raise pdf.NoPaper(pdf.NO_PANGO)

    monkeypatch.setattr(pdf, "pdf_bytes", no_pango)
    response = secretary.get(reverse("desk:scorecards", args=[fixture.public_id]))
    assert response.status_code == 503
    assert "Pango is missing" in response.content.decode()


def test_queries_do_not_grow_with_the_field(at, machine):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for players in (6, 24):
        fixture = day(players, at, machine)
        with CaptureQueriesContext(connection) as seen:
            scorecards_html(fixture, every(fixture))
            start_sheet_html(fixture, digits=False, at=at)
        counts.append(len(seen))
    assert counts[0] == counts[1]
