"""The papers read back from the PDF: what stands on them, and the dots against the engine."""

import json
import random
import re
import subprocess
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from scoring.rules.handicap import strokes_received
from society.audit.models import AuditLine
from society.desk.printing.cards import printed_cards
from society.desk.printing.papers import start_sheet_html
from society.desk.queries.printed import cards_to_print
from society.desk.queries.scorecards import chosen_cards, dots_of, scorecards
from society.entries.actions import drawing, freezing
from society.entries.actions.entering import withdraw
from society.entries.bridge.draws import the_draw
from society.entries.bridge.handicaps import handicap_lines
from society.entries.models import CardPrint, Entry, Start
from society.entries.rules.draw import DrawMethod
from society.fixtures.models import Fixture, Round, RoundTee
from society.fixtures.queries import the_round
from society.web import pdf
from society.web.pdf import pdf_bytes
from society.web.stamp import stamped
from tests.factories.courses import INDEXES, PARS, rated_tee
from tests.factories.entries import entered
from tests.factories.fixtures import saturday

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 4, 15, 10, 0, tzinfo=UTC)
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


def known_digits() -> None:
    """Digits that nothing else on paper has: four by chance may be the year."""
    for number, start in enumerate(Start.objects.order_by("pk")):
        Start.objects.filter(pk=start.pk).update(digits=f"{8000 + 7 * number}")


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
    known_digits()
    return fixture


def every(fixture: Fixture):
    return scorecards(fixture, chosen_cards(fixture))


def cards_pdf(fixture: Fixture, cards) -> bytes:
    made = printed_cards(fixture, cards, site="https://society.example", at=NOW)
    return stamped(made.html, made.sheets)


def marks_of(fixture: Fixture, card) -> list[str]:
    """What is stamped on one card, text by text."""
    made = printed_cards(fixture, [card], site="https://society.example", at=NOW)
    return [mark.words for mark in made.sheets.pages[0][0].paper.marks]


def blank_of(fixture: Fixture, card) -> str:
    return printed_cards(fixture, [card], site="https://society.example", at=NOW).html


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
    made = cards_pdf(fixture, every(fixture))
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


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_a_hundred_random_players_read_back_as_the_engine_has_them(at, machine, society, tmp_path):
    """Name, playing handicap and the shots of every hole, against the engine (Appendix E)."""
    chance = random.Random(20260418)
    fixture = saturday(state="closed", name="Lantern Plate")
    first = ("Ida", "Öyvind", "Zoë", "Łucja", "Maeve", "Kit", "Søren", "D’Arcy", "Bronwyn", "Ana")
    second = ("Quillfeather", "O’Marrow", "Ferncastle-Tarn", "Wågby", "Snowberry", "Çelik", "Ptak")
    names = [f"{one} {other} {n:03d}" for n, (one, other) in enumerate(
        (chance.choice(first), chance.choice(second)) for _ in range(100)
    )]  # fmt: skip
    for name in names:
        entered(fixture, index=f"{chance.randint(-40, 540) / 10:.1f}", name=name)
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    playing = {
        line.entry.player.name: line.plays.playing for line in handicap_lines(fixture) if line.plays
    }
    assert len(playing) == 100
    assert len(set(playing.values())) > 30
    cards = read_halves(cards_pdf(fixture, every(fixture)), tmp_path)
    assert len(cards) == 100
    seen = set()
    for card in cards:
        (name,) = [name for name in names if name in one_line(card)]
        seen.add(name)
        shots = strokes_received(playing[name], INDEXES)
        assert holes_on(card) == {
            hole: (PARS[hole - 1], INDEXES[hole - 1], dots_of(given))
            for hole, given in enumerate(shots, 1)
        }
        off = str(playing[name]) if playing[name] >= 0 else f"+{-playing[name]}"
        line = next(line for line in card.splitlines() if name in line)
        assert re.search(rf"(?<!\S){re.escape(off)}(?!\S)", line.split(name)[1])
    assert seen == set(names)


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_the_code_in_the_picture_of_a_card_is_the_code_of_its_address(at, machine, tmp_path):
    """Each module looked at in the middle, on the page as it is printed (ISO/IEC 18004)."""
    import segno

    fixture = day(2, at, machine)
    cards = every(fixture)
    (tmp_path / "cards.pdf").write_bytes(cards_pdf(fixture, cards))
    subprocess.run(
        [
            "pdftoppm",
            "-r",
            "300",
            "-gray",
            "-singlefile",
            tmp_path / "cards.pdf",
            tmp_path / "card",
        ],
        check=True,
    )
    kind, size, _, dots = (tmp_path / "card.pgm").read_bytes().split(b"\n", 3)
    assert kind == b"P5"
    wide, _ = map(int, size.split())
    for number, card in enumerate(cards):
        matrix = segno.make_qr(
            f"https://society.example/cards/{card.card_id}/", error="m", boost_error=False, mask=3
        ).matrix
        module = 19 / len(matrix)
        for row, modules in enumerate(matrix):
            for column, dark in enumerate(modules):
                x = (7.5 + (column + 0.5) * module) / 25.4 * 300
                y = (148.5 * number + 121.6 + (row + 0.5) * module) / 25.4 * 300
                assert (dots[int(y) * wide + int(x)] < 128) == bool(dark), (number, row, column)


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
    pages = read_back(cards_pdf(fixture, every(fixture)), tmp_path)
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
        stamped_on = marks_of(fixture, card)
        assert start.digits in stamped_on
        others = set(Start.objects.exclude(pk=start.pk).values_list("digits", flat=True))
        assert not (others - {start.digits}) & set(stamped_on)
        assert start.digits not in card.address


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
    for card in cards:
        said = marks_of(fixture, card)
        assert "tee time" not in " ".join(said)
        assert [words for words in said if words.startswith("____")]


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
    assert card.blank.value == column
    assert column in blank_of(fixture, card)
    assert card.blank.totals == totals
    assert note in card.blank.notes


def test_a_gross_card_has_no_dots_and_no_handicap_to_play_off(at, machine):
    fixture = day(2, at, machine, terms='{"basis":"gross","format":"stableford"}')
    for card in every(fixture):
        assert card.plays_off == ""
        assert "●" not in "".join(marks_of(fixture, card))


def test_nine_holes_have_one_table_with_their_own_numbers(at, machine):
    fixture = saturday(state="closed", handicap_kind="playing")
    Round.objects.filter(fixture=fixture).update(holes="second 9")
    entry = entered(fixture, index=None)
    from tests.factories.entries import handicap

    handicap(entry.player, "5", kind="playing")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    (card,) = every(fixture)
    assert card.blank.nine_holes
    assert [hole.number for hole in card.blank.holes] == list(range(10, 19))
    assert [word for word, *_ in card.blank.nines] == ["In"]
    # five shots on the five hardest of the nine: indexes 2, 4, 6, 8, 10 (Appendix E)
    lines = zip(range(10, 19), card.shots, strict=True)
    assert {INDEXES[hole - 1] for hole, shots in lines if shots} == {2, 4, 6, 8, 10}


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
    pages = read_back(cards_pdf(fixture, every(fixture)), tmp_path)
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

    def no_pango(html: str, sheets: object) -> bytes:
        raise pdf.NoPaper(pdf.NO_PANGO)

    monkeypatch.setattr(pdf, "stamped", no_pango)
    response = secretary.get(reverse("desk:scorecards", args=[fixture.public_id]))
    assert response.status_code == 503
    assert "Pango is missing" in response.content.decode()


def ticked(fixture: Fixture, *, changed: bool = False) -> list[str]:
    return [row.card.card_id for row in cards_to_print(fixture).rows if not changed or row.changes]


@pytest.mark.pdf
def test_printing_is_noted_and_a_change_is_told_with_both_figures(secretary, at, machine):
    fixture = day(5, at, machine)
    address = reverse("desk:scorecards", args=[fixture.public_id])
    page = reverse("desk:print_cards", args=[fixture.public_id])
    assert boxes_ticked(secretary.get(page)) == 5
    response = secretary.post(address, {"card": ticked(fixture), "shape": "card"})
    assert response["Content-Type"] == "application/pdf"
    assert CardPrint.objects.count() == 5
    assert AuditLine.objects.filter(deed="cards printed").count() == 1
    assert boxes_ticked(secretary.get(page)) == 0
    assert ticked(fixture, changed=True) == []

    start = Start.objects.order_by("pk").first()
    freezing.correct_frozen(
        start=start,
        value=Decimal("3.3"),
        reason_class="wrong handicap",
        words="An old record.",
        by=machine,
        at=at,
    )
    assert ticked(fixture, changed=True) == [start.public_id]
    (row,) = [row for row in cards_to_print(fixture).rows if row.changes]
    # 3.3 x 120 / 113 + 70.1 - 72 = 1.60; 95 % of it is 1.52, which plays off 2 (Rule 6.1a, 6.2a)
    assert f"plays off 2, was {plays_off_of(row)}" in row.changes
    response = secretary.get(page)
    assert "Print again:" in response.content.decode()
    assert boxes_ticked(response) == 1

    secretary.post(address, {"card": [start.public_id], "shape": "card"})
    assert ticked(fixture, changed=True) == []
    assert CardPrint.objects.count() == 6


def test_the_links_of_the_draw_tick_what_they_say(secretary, at, machine):
    fixture = day(8, at, machine)
    page = reverse("desk:print_cards", args=[fixture.public_id])
    assert boxes_ticked(secretary.get(page, {"group": "1"})) == 4
    assert boxes_ticked(secretary.get(page, {"changed": "1"})) == 0
    assert boxes_ticked(secretary.get(page, {"ticked": "all"})) == 8
    assert boxes_ticked(secretary.get(page, {"ticked": "none"})) == 0
    first = the_draw(the_round(fixture)).groups[0]
    withdraw(entry=Entry.objects.get(key=first[0]), by=machine, at=at)
    assert boxes_ticked(secretary.get(page, {"changed": "1"})) == 3


def boxes_ticked(response) -> int:
    return len(re.findall(r'<input type="checkbox" [^>]* checked>', response.content.decode()))


def plays_off_of(row) -> str:
    """What the first print said, from its row."""
    first = CardPrint.objects.filter(start__public_id=row.card.card_id).order_by("pk").first()
    return json.loads(first.said)["plays off"]


@pytest.mark.pdf
def test_a_print_keeps_no_name_and_no_digits(secretary, at, machine):
    fixture = day(4, at, machine)
    secretary.post(
        reverse("desk:scorecards", args=[fixture.public_id]),
        {"card": ticked(fixture), "shape": "card"},
    )
    kept = " ".join(CardPrint.objects.values_list("said", flat=True))
    assert kept
    for start in Start.objects.select_related("entry__player"):
        assert start.entry.player.name not in kept
        assert f'"{start.digits}"' not in kept


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_spares_have_the_course_and_no_name(secretary, at, machine, tmp_path):
    fixture = day(4, at, machine)
    tee = RoundTee.objects.get(round=the_round(fixture)).tee
    response = secretary.post(
        reverse("desk:scorecards", args=[fixture.public_id]),
        {"shape": "card", f"spare_{tee.public_id}": "3"},
    )
    cards = read_halves(response.content, tmp_path)
    assert len(cards) == 3
    for card in cards:
        assert {hole for hole, _ in enumerate(PARS, 1)} == set(holes_on(card))
        assert "●" not in card
        assert "Player Letter" not in card
        assert "four digits" not in card
    assert not CardPrint.objects.exists()


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"shape": "card"}, "Nothing is ticked"),
        ({"shape": "stone"}, "not one of the available choices"),
        ({}, "required"),
    ],
)
def test_what_cannot_be_printed_is_said_and_nothing_is_noted(sent, words, secretary, at, machine):
    fixture = day(4, at, machine)
    response = secretary.post(reverse("desk:scorecards", args=[fixture.public_id]), sent)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not CardPrint.objects.exists()


@pytest.mark.pdf
def test_the_code_on_a_card_leads_to_that_card_after_signing_in(client, at, machine):
    fixture = day(4, at, machine)
    (card, *_) = every(fixture)
    made = printed_cards(fixture, [card], site="https://society.example", at=NOW)
    code = made.sheets.pages[0][0].paper.code
    assert code.address == f"https://society.example/cards/{card.card_id}/"
    response = client.get(card.address)
    assert response.status_code == 302
    assert parse_qs(urlsplit(response["Location"]).query)["next"] == [card.address]


def test_queries_do_not_grow_with_the_field(at, machine):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts = []
    for players in (6, 24):
        fixture = day(players, at, machine)
        with CaptureQueriesContext(connection) as seen:
            printed_cards(fixture, every(fixture), site="", at=NOW)
            start_sheet_html(fixture, digits=False, at=at)
        counts.append(len(seen))
    assert counts[0] == counts[1]
