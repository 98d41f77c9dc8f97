"""A newcomer from invitation to a certified card by way of a practice round; and three sheets.

The course is rated level with its par and of slope 113, so a course handicap is the index. Pia's
42.0 gives 42, 95 % of it is 39.9, rounded once 40: two shots on every hole and a third where the
stroke index is 1 to 4 (Rules of Handicapping 6.1a, 6.2 and Appendices C and E). Otto's 18.9 gives
17.955, so 18: one on every hole. Points: Rules of Golf, Rule 21.1b.
"""

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from scoring.rules.handicap import strokes_received
from scoring.rules.hole_table import pick_up, value_table
from scoring.rules.terms import read_terms
from tests.browser import people as p
from tests.browser.conftest import PHONE
from tests.serving import serving

NEWCOMER, FRIEND, GIVER = "Pia Lowmarsh", "Otto Fennick", "Rolf Highbeck"
PLAYERS = (
    (NEWCOMER, "pia@example.org", "men", "42.0"),
    (FRIEND, "otto@example.org", "men", "18.9"),
    (GIVER, "", "men", "+3.1"),  # plays off -2.945, so +3: one back where the index is 16 to 18
)
PLAYS_OFF = {NEWCOMER: 40, FRIEND: 18, GIVER: -3}
PIA_SHOTS = [3 if index <= 4 else 2 for index in p.MEN]


def begin(page: Page, url: str, link: str) -> str:
    """A society with a course, three players and a fixture of today; the fixture's address."""
    p.choose_password(page, url + link)
    p.add_course(page, url, "Kettlemoor", [("White", "men", p.MEN)])
    p.preview_import(page, url, PLAYERS)
    p.press(page, "Save exactly this")
    p.start_season(page, url, f"Season {p.today().year}")
    fixture = p.plan_fixture(page, url, "First Steps", "Stableford, 95 %", places=8)
    page.goto(f"{url}/fixtures/{fixture}/entries/")
    p.press(page, "Open entries")
    return fixture


def enter(page: Page, url: str, fixture: str, *names: str) -> None:
    for name in names:
        page.goto(f"{url}/fixtures/{fixture}/entries/")
        page.get_by_label("Player", exact=True).select_option(name)
        p.press(page, "Enter this player")


# the newcomer ----------------------------------------------------------------------------------


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without scripts"])
def test_from_invitation_to_a_certified_card(
    empty: Path, device: Callable[..., Page], scripts: bool
) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        page = device()
        fixture = begin(page, url, link)
        pia, otto = device(PHONE, scripts=scripts), device(PHONE)
        p.choose_password(pia, p.invite(page, url, NEWCOMER))
        p.choose_password(otto, p.invite(page, url, FRIEND))

        learns(pia)
        practises(pia)
        pia.goto(url)
        p.press(pia, "Enter")
        expect(pia.get_by_role("region", name="First Steps")).to_contain_text("You are in")

        enter(page, url, fixture, FRIEND)
        draw(page, f"{url}/fixtures/{fixture}")
        figures = what_to_write(pia, url)
        plays(pia, url, figures)
        signs(pia, otto, url)
        page.goto(f"{url}/results/{fixture}/")
        # two points at seventeen holes, none at the one that was picked up
        assert (NEWCOMER, "34") in [(name, total) for _, name, total in p.standings(page)]


def learns(phone: Page) -> None:
    """Where the shots fall and what a score is worth, before there is any card."""
    phone.get_by_role("link", name="Learn", exact=True).click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("How your card is scored")
    expect(phone.locator(".three")).to_contain_text("You play off 40, so 40 shots")
    expect(phone.locator("#lesson-shots")).to_contain_text("a third on the 4 hardest")
    # hole 1: par 4, stroke index 7, two shots; a 6 is par after shots, two points
    assert row_of(phone, 1) == ["1–3", "4", "5", "6", "7", "8"]


def row_of(page: Page, hole: int) -> list[str]:
    cells = page.locator("table.learn-table tbody tr").nth(hole - 1).locator("td.g")
    return [cell.split()[0] for cell in cells.all_inner_texts()]


def practises(phone: Page) -> None:
    """Eighteen holes counted: the first answer is wrong, what to look at again is said."""
    phone.get_by_role("link", name="Count a practice round").click()
    holes = phone.locator("li.quiz")
    expect(holes).to_have_count(18)
    first = holes.nth(0)
    choose(first, (points_of(first) + 1) % 6)
    first.get_by_role("button", name="Check hole 1").click()
    expect(holes.nth(0).locator(".fb")).to_contain_text("Not quite")
    expect(holes.nth(1).locator(".fb")).to_have_count(0)
    for hole in holes.all()[1:]:
        choose(hole, points_of(hole))
    phone.get_by_role("button", name="Check what I have chosen").click()
    end = phone.locator("#practice-end")
    expect(end).to_contain_text("17 of 18 right")
    expect(end).to_contain_text("1 of")
    expect(holes.nth(17).locator(".fb")).to_contain_text("Right")


def choose(hole: Locator, points: int) -> None:
    hole.get_by_role("radio", name=str(points), exact=True).check(force=True)


def points_of(hole: Locator) -> int:
    """Counted from what the page asks, as a player would (Rule 21.1b)."""
    said = hole.locator("legend").inner_text()
    taken = re.search(r"You take (\d+)\.", said)
    if taken is None:
        assert "you pick up" in said
        return 0
    par = re.search(r"Par\D*(\d)", said)
    shots = re.search(r"(\d)\sshots?\b", said)
    assert par, said
    assert shots, said
    return max(0, 2 + int(par[1]) + int(shots[1]) - int(taken[1]))


def draw(page: Page, fixture: str) -> None:
    page.goto(f"{fixture}/entries/")
    p.press(page, "Close entries")
    page.goto(f"{fixture}/handicaps/")
    p.press(page, "Take 2 handicaps")
    page.goto(f"{fixture}/draw/")
    p.press(page, "Make the draw")
    p.press(page, "Publish the draw")
    expect(page.get_by_text("Members see it.")).to_be_visible()


def what_to_write(phone: Page, url: str) -> list[int | None]:
    """From the fixture's page: whose card to hold, and the two-point score of each hole."""
    phone.goto(url)
    phone.get_by_role("link", name="First Steps").first.click()
    phone.get_by_role("link", name="How this is scored, with your shots").click()
    expect(phone.locator("#lesson-day")).to_contain_text(f"You hold and mark the card of {FRIEND}")
    expect(phone.locator("#lesson-day")).to_contain_text(f"{FRIEND} holds yours")
    figures: list[int | None] = [int(row_of(phone, hole)[3]) for hole in range(1, 19)]
    assert figures == [par + shots for par, shots in zip(p.PAR, PIA_SHOTS, strict=True)]
    figures[2] = None  # picked up at the third
    return figures


def plays(phone: Page, url: str, figures: list[int | None]) -> None:
    phone.goto(f"{url}/cards/")
    phone.get_by_role("link", name="Your card", exact=True).click()
    expect(phone.get_by_role("link", name="How this is scored, with your shots")).to_be_visible()
    p.write_card(phone, figures)
    p.send_card(phone)


def signs(pia: Page, otto: Page, url: str) -> None:
    """The player certifies, then the marker on another phone."""
    p.press(pia, "Certify your card")
    otto.goto(f"{url}/cards/")
    otto.get_by_role("link", name=re.compile("^Pia")).click()
    p.press(otto, "Certify Pia’s card")
    pia.reload()
    expect(pia.locator(".tag", has_text="Returned")).to_be_visible()


# three sheets ----------------------------------------------------------------------------------

MM = 72 / 25.4
TABLE = (14, 94, 111, 126.5)  # where the holes stand on a sheet, in millimetres


@pytest.mark.pdf
@pytest.mark.pdftotext
def test_three_sheets_agree_with_the_engine_hole_by_hole(
    empty: Path, device: Callable[..., Page]
) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        page = device(scripts=False)
        fixture = begin(page, url, link)
        enter(page, url, fixture, NEWCOMER, FRIEND, GIVER)
        page.goto(f"{url}/fixtures/{fixture}/handicaps/")
        p.press(page, "Take 3 handicaps")
        page.goto(f"{url}/fixtures/{fixture}/papers/")
        address = page.get_by_role("link", name="How the card is scored").get_attribute("href")
        made = p.printed(page, f"{url}{address}")
        assert made.status == 200
        assert made.body().startswith(b"%PDF")
        file = empty.parent / "sheets.pdf"
        file.write_bytes(made.body())
    heads, tables = text_of(file), text_of(file, TABLE)
    assert len(heads) == len(tables) == 3
    terms = read_terms({"format": "stableford", "allowance": 95}, 18)
    seen = set()
    for head, table in zip(heads, tables, strict=True):
        (name,) = [name for name in PLAYS_OFF if name in head.split("Your card on the day")[0]]
        seen.add(name)
        shots = strokes_received(PLAYS_OFF[name], p.MEN)
        found = [holes_of(line) for line in table.splitlines() if line.strip()]
        assert [row[0] for row in found if row] == list(range(1, 19))
        for row in found:
            hole, par, index, dots, cells = row
            assert (par, index) == (p.PAR[hole - 1], p.MEN[hole - 1])
            given = shots[hole - 1]
            assert dots == "●" * given + "○" * -given
            worth = value_table(terms, par=par, strokes=given)
            assert int(cells[-1]) == pick_up(terms, par, given)
            for points, cell in zip((4, 3, 2, 1, 0), cells[1:], strict=True):
                assert cell == "–" or worth[cell] == points
    assert seen == set(PLAYS_OFF)


def text_of(file: Path, box: tuple[float, ...] = ()) -> list[str]:
    """The text of each page, or of one box of it in millimetres."""
    crop = [
        word
        for name, figure in zip(("-x", "-y", "-W", "-H"), box, strict=False)
        for word in (name, str(round(figure * MM)))
    ]
    crop = ["-r", "72", *crop] if crop else []
    done = subprocess.run(
        ["pdftotext", "-layout", *crop, str(file), "-"], check=True, capture_output=True, text=True
    )
    return done.stdout.split("\f")[:-1]


def holes_of(line: str) -> tuple[int, int, int, str, list[str]]:
    """Hole, par, stroke index, dots and the cells of one line of a sheet."""
    told = re.match(r"\s*(\d+)\s+([3-6])\s+(\d+)\s+(?:([●○]+)\s+)?(.+?)\s*$", line)
    assert told, line
    hole, par, index, dots, rest = told.groups()
    return int(hole), int(par), int(index), dots or "", rest.split()
