"""The lists of the day read back from their PDF, and what stands on labels and slips."""

import re
import subprocess
import zlib
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.urls import reverse

from scoring.results.models import SideContest
from scoring.rules.handicap import strokes_received
from society.desk.printing.shapes import printed_labels, printed_slips
from society.desk.queries.day_papers import venue_sheet
from society.desk.queries.scorecards import chosen_cards, dots_of, scorecards
from society.desk.rules.labels import LabelSheet, WrongSheet
from society.entries.bridge.draws import the_draw
from society.entries.bridge.handicaps import handicap_lines
from society.entries.models import CardPrint, Entry, Start
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.members.models import Society
from society.web.stamp import stamped
from tests.factories.courses import INDEXES
from tests.society.desk.test_papers import cards_to_print, day, one_line, read_back

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 4, 15, 10, 0, tzinfo=UTC)
ON_PAPER = [pytest.mark.pdf, pytest.mark.pdftotext]


def paper(client, name: str, fixture: Fixture):
    return client.get(reverse(f"desk:{name}", args=[fixture.public_id]))


def said(client, name: str, fixture: Fixture, folder) -> str:
    response = paper(client, name, fixture)
    assert response["Content-Type"] == "application/pdf"
    return one_line("\n".join(read_back(response.content, folder)))


@pytest.mark.pdf
@pytest.mark.pdftotext
@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("paper_names", "Players by name."),
        ("paper_venue", "For the venue."),
        ("paper_box", "Card box:"),
        ("paper_terms", "The day’s terms."),
        ("paper_read_out", "To read out at the prize-giving."),
    ],
)
def test_each_paper_has_its_head_its_page_and_when_it_was_printed(
    name, words, scorer, at, machine, tmp_path
):
    fixture = day(9, at, machine)
    text = said(scorer, name, fixture, tmp_path)
    assert words in text
    assert "Lantern Plate" in text
    assert "Saturday 18 April 2026" in text
    assert re.search(r"Printed \w{3} \d+ \w{3}, \d\d:\d\d\.", text)
    assert "page 1 of 1" in text
    if name != "paper_read_out":
        assert "Draw 1, seed 41207" in text


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_the_file_says_what_it_is(scorer, at, machine, tmp_path):
    fixture = day(4, at, machine)
    response = paper(scorer, "paper_venue", fixture)
    assert response["Content-Disposition"] == 'inline; filename="for-the-venue-2026-04-18.pdf"'
    (tmp_path / "paper.pdf").write_bytes(response.content)
    told = subprocess.run(
        ["pdfinfo", str(tmp_path / "paper.pdf")], check=True, capture_output=True, text=True
    ).stdout
    assert re.search(r"Title: +For the venue: Lantern Plate, Saturday 18 April 2026", told)
    assert re.search(rf"Author: +{Society.objects.get().name}", told)
    assert "CreationDate" in told
    packed = re.findall(rb"stream\n(.*?)\nendstream", response.content, re.DOTALL)
    assert any(b"/Lang (en-GB)" in zlib.decompress(part) for part in packed if part[:1] == b"x")


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_by_name_everybody_stands_once_by_the_last_word(scorer, at, machine, tmp_path):
    fixture = day(14, at, machine)
    text = said(scorer, "paper_names", fixture, tmp_path)
    names = Entry.objects.values_list("player__name", flat=True)
    places = [text.index(name) for name in sorted(names, key=lambda n: n.split()[-1].casefold())]
    assert places == sorted(places)
    assert all(text.count(f"{name} ") == 1 for name in names)


def test_the_venue_is_told_numbers_and_diets_without_names(at, machine):
    fixture = day(6, at, machine)
    fixture.asks, fixture.meals = "meal diet buggy", "Soup\nPie"
    fixture.save()
    entries = list(Entry.objects.order_by("pk"))
    for entry, meal, diet in zip(
        entries, ("Soup", "Pie", "Pie"), ("", "no nuts", ""), strict=False
    ):
        entry.answered, entry.meal, entry.diet = True, meal, diet
        entry.save()
    one, other = entries[:2]
    one.buggy, one.buggy_with = True, other.player
    one.save()
    sheet = venue_sheet(fixture)
    assert sheet.counts.heads == 6
    assert sheet.counts.meals == (("Pie", 2), ("Soup", 1))
    assert sheet.counts.buggies == 1
    assert sheet.diets == (("no nuts", 1),)
    rows = {row.name: row for _, rows in sheet.groups for row in rows}
    assert rows[one.player.name].buggy == other.player.name
    assert rows[other.player.name].buggy == one.player.name
    assert rows[one.player.name].meal == "Soup"
    assert not [row for row in rows.values() if "nuts" in row.meal]


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_the_days_terms_say_what_was_written_down(secretary, at, machine, tmp_path):
    fixture = day(4, at, machine)
    assert "______" not in said(secretary, "paper_terms", fixture, tmp_path)
    page = reverse("desk:day_terms", args=[fixture.public_id])
    sent = {
        "conditions": "Preferred lies on mown grass.\nHole 4 plays to a temporary green.",
        "signals": "One long note: stop at once.\nTwo short notes: play on.",
        "decides": "Hester, 0100 000000",
        "shelter": "The clubhouse",
    }
    assert secretary.post(page, sent).status_code == 302
    text = said(secretary, "paper_terms", fixture, tmp_path)
    for line in "\n".join(sent.values()).splitlines():
        assert line in text
    assert "If you see lightning or hear thunder, stop at once" in text
    assert "knows nothing of the weather" in text


def test_what_is_too_long_for_the_days_terms_is_refused_and_nothing_is_kept(secretary, at, machine):
    fixture = day(4, at, machine)
    page = reverse("desk:day_terms", args=[fixture.public_id])
    response = secretary.post(page, {"decides": "x" * 201, "shelter": "The clubhouse"})
    assert response.status_code == 422
    fixture.refresh_from_db()
    assert fixture.shelter == ""


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_each_side_contest_has_a_card(scorer, at, machine, tmp_path):
    fixture = day(4, at, machine)
    assert paper(scorer, "paper_contests", fixture).status_code == 409
    for kind, hole in (("pin", 7), ("drive", 14)):
        SideContest.objects.create(round=the_round(fixture), kind=kind, hole=hole)
    pages = read_back(paper(scorer, "paper_contests", fixture).content, tmp_path)
    assert len(pages) == 2
    assert "Nearest the pin" in pages[0]
    assert "Longest drive" in pages[1]
    assert "fairway" in pages[1]


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_scores_so_far_are_not_read_out_as_final(scorer, at, machine, tmp_path):
    fixture = day(4, at, machine)
    assert "Not final." in said(scorer, "paper_read_out", fixture, tmp_path)


def test_the_page_of_papers_says_what_each_waits_for(secretary, scorer, at, machine):
    fixture = day(4, at, machine)
    page = reverse("desk:papers", args=[fixture.public_id])
    text = secretary.get(page).content.decode()
    assert "This fixture has no side contest." in text
    assert "Signals or who decides are not written down yet" in text
    assert "Write them down" in text
    assert "Write them down" not in scorer.get(page).content.decode()


# slips and labels --------------------------------------------------------------------------


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_slips_come_four_to_a_sheet_with_the_engines_dots(at, machine, society, tmp_path):
    fixture = day(6, at, machine)
    cards = scorecards(fixture, chosen_cards(fixture))
    made = printed_slips(fixture, cards, site="https://society.example", at=NOW)
    pages = read_back(stamped(made.html, made.sheets), tmp_path)
    assert len(pages) == 2
    playing = {line.entry.player.name: line.plays.playing for line in handicap_lines(fixture)}
    papers = [placed.paper for page in made.sheets.pages for placed in page]
    for card, on_it in zip(cards, papers, strict=True):
        dots = [mark.words for mark in on_it.marks if mark.style == "st-dots"]
        expected = strokes_received(playing[card.name], INDEXES)
        assert dots == [dots_of(shots) for shots in expected if shots]
        assert card.digits in [mark.words for mark in on_it.marks]
        assert pages[0].count(card.name) + pages[1].count(card.name) >= 1


def test_labels_begin_where_the_sheet_is_not_used_yet(at, machine, society):
    fixture = day(5, at, machine)
    cards = scorecards(fixture, chosen_cards(fixture))
    sheet = LabelSheet(columns=2, rows=2)
    made = printed_labels(fixture, cards, sheet=sheet, first=4, site="", at=NOW)
    places = [[(one.x, one.y) for one in page] for page in made.sheets.pages]
    corners = [(4.6, 15.1), (106.2, 15.1), (4.6, 53.2), (106.2, 53.2)]
    assert places == [corners[3:], corners]


def test_a_small_label_has_no_code_and_no_dots(at, machine, society):
    fixture = day(1, at, machine, publish=False)
    cards = scorecards(fixture, chosen_cards(fixture))
    small = LabelSheet(wide=Decimal(60), high=Decimal(25), across=Decimal(60))
    made = printed_labels(fixture, cards, sheet=small, first=1, site="", at=NOW)
    (label,) = made.sheets.pages[0]
    assert label.paper.code is None
    assert "st-spots" not in {mark.style for mark in label.paper.marks}
    assert cards[0].name in [mark.words for mark in label.paper.marks]


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"left": Decimal(12)}, "left"),
        ({"top": Decimal(40)}, "top"),
        ({"across": Decimal(90)}, "across"),
        ({"down": Decimal(30)}, "down"),
        ({"wide": Decimal(30)}, "wide"),
        ({"high": Decimal(12)}, "high"),
    ],
)
def test_labels_that_do_not_lie_on_the_paper_are_refused_beside_the_field(changed, field):
    with pytest.raises(WrongSheet) as refused:
        LabelSheet(**changed).checked()
    assert refused.value.field == field


@pytest.mark.pdf
def test_the_sheet_of_labels_is_kept_for_the_society(secretary, scorer, at, machine):
    page = reverse("desk:labels")
    sent = {
        "columns": "3", "rows": "8", "wide": "63.5", "high": "33.9", "left": "7.2", "top": "12.9",
        "across": "66.0", "down": "33.9",
    }  # fmt: skip
    assert secretary.post(page, sent | {"left": "70"}).status_code == 422
    assert Society.objects.get().label_sheet == ""
    assert secretary.post(page, sent).status_code == 302
    assert LabelSheet.read(Society.objects.get().label_sheet).on_a_sheet == 24
    assert scorer.get(reverse("desk:label_test"))["Content-Type"] == "application/pdf"


@pytest.mark.pdf
def test_labels_begin_on_the_first_sheet_or_not_at_all(secretary, at, machine):
    """A sheet of two by seven: number 15 would leave a sheet empty, 200 fourteen of them."""
    fixture = day(5, at, machine)
    address = reverse("desk:scorecards", args=[fixture.public_id])
    wanted = [row.card.card_id for row in cards_to_print(fixture).rows]
    for first in ("15", "200"):
        sent = {"card": wanted, "shape": "label", "first": first}
        response = secretary.post(address, sent)
        assert response.status_code == 422
        assert "A sheet has 14 labels" in response.content.decode()
    assert not CardPrint.objects.exists()


def test_what_is_not_printed_is_not_noted(secretary, at, machine, settings, monkeypatch):
    """Too many files are being made: the cards still want printing."""
    settings.PAPERS_APART = True
    monkeypatch.setattr("society.web.press.MOST_WAITING", 0)
    monkeypatch.setattr("society.web.pdf.pdf_available", lambda: True)
    fixture = day(5, at, machine)
    wanted = [row.card.card_id for row in cards_to_print(fixture).rows]
    address = reverse("desk:scorecards", args=[fixture.public_id])
    assert secretary.post(address, {"card": wanted, "shape": "card"}).status_code == 503
    assert not CardPrint.objects.exists()


def test_a_hundred_millimetres_are_kept_as_such():
    """A browser may send 1E+2, which no style sheet reads as a length."""
    text = LabelSheet(columns=1, wide=Decimal("1E+2")).text()
    assert '"wide":"100"' in text


@pytest.mark.pdf
@pytest.mark.parametrize("shape", ["slip", "label"])
def test_slips_and_labels_are_noted_too(shape, secretary, at, machine):
    fixture = day(5, at, machine)
    wanted = [row.card.card_id for row in cards_to_print(fixture).rows]
    response = secretary.post(
        reverse("desk:scorecards", args=[fixture.public_id]),
        {"card": wanted, "shape": shape, "first": "2"},
    )
    assert response.content.startswith(b"%PDF-")
    assert set(CardPrint.objects.values_list("shape", flat=True)) == {shape}
    assert CardPrint.objects.count() == Start.objects.count() == 5
    assert the_draw(the_round(fixture)) is not None
