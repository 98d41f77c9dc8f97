"""What people do at the society, as their hands do it: the words of the journeys.

Each function is one errand on the pages, found by the labels and buttons that people read. Nothing
here reaches into the program; only `society_file` looks into the database, and only to read.
"""

from __future__ import annotations

import re
import sqlite3
import time
from collections.abc import Container, Iterable, Sequence
from contextlib import closing
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from playwright.sync_api import APIResponse, Locator, Page, expect

from tests.serving import manage

PASSWORD = "three wet geese on the fairway"
SECRETARY = "wanda@example.org"
PAR = (4, 4, 3, 5, 4, 4, 3, 5, 4, 4, 4, 3, 5, 4, 4, 3, 5, 4)
MEN = (7, 11, 17, 1, 5, 13, 15, 3, 9, 8, 12, 18, 2, 6, 14, 16, 4, 10)
WOMEN = (5, 13, 17, 3, 7, 11, 15, 1, 9, 6, 14, 16, 4, 8, 12, 18, 2, 10)


def today() -> date:
    """The society's day, which may not be the day of this machine's clock."""
    return datetime.now(ZoneInfo("Europe/London")).date()


def society_file(file: Path, question: str, *values: object) -> list[tuple[object, ...]]:
    """Read something from the society's database file, as its owner could."""
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as database:
        return database.execute(question, values).fetchall()


# the society begins ----------------------------------------------------------------------------


def begun(file: Path) -> str:
    """Start the society at a terminal; the address that the command prints."""
    told = manage(
        file, "first_officer", "--society", "Tarn Hollow Golf Society",
        "--name", "Wanda Acornby", "--email", SECRETARY,
    )  # fmt: skip
    assert told.returncode == 0, told.stderr
    return told.stdout.strip().splitlines()[-1]


def choose_password(page: Page, link: str) -> None:
    """Open an invitation and choose a password; whoever does is signed in."""
    page.goto(link)
    page.get_by_label("New password").fill(PASSWORD)
    page.get_by_label("The same again").fill(PASSWORD)
    page.get_by_role("button", name="Keep this password").click()
    expect(page.get_by_role("link", name="Sign in")).to_have_count(0)


def sign_in(page: Page, url: str, email: str, password: str = PASSWORD) -> None:
    page.goto(f"{url}/sign-in/")
    page.get_by_label("E-mail").fill(email)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda address: "sign-in" not in address)


# courses and players ---------------------------------------------------------------------------


def add_course(page: Page, url: str, name: str, cards: Sequence[tuple[str, str, Sequence[int]]]):
    """Add a course by form. Cards: tee, category and stroke indexes; all rated level with par."""
    page.goto(f"{url}/courses/new/")
    page.get_by_label("Name", exact=True).fill(name)
    for number, (tee, category, indexes) in enumerate(cards):
        if number:
            page.get_by_role("button", name="One more card").click()
        card = page.get_by_role("region", name=re.compile(f"^Card {number + 1}"))
        card.get_by_label("Tee", exact=True).fill(tee)
        card.get_by_label("Category").select_option(category)
        card.get_by_label("Par, hole by hole").fill(written(PAR))
        card.get_by_label("Stroke index, hole by hole").fill(written(indexes))
        card.get_by_label("Course rating, 18 holes").fill("72.0")
        card.get_by_label("Slope rating, 18 holes").fill("113")
    page.get_by_role("button", name="Keep the course").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)


def preview_import(
    page: Page, url: str, rows: Iterable[Sequence[str]], *, since: date | None = None
) -> None:
    """Choose a file of players (name, e-mail, category, index), numbered; see what will happen.

    The figures are good from the day `since`, or from today.
    """
    head = ("number", "name", "e-mail", "category", "handicap", "kind", "source", "date")
    kind = ("index", "society", (since or today()).isoformat())
    lines = [head, *((str(at), *row, *kind) for at, row in enumerate(rows, start=1))]
    text = "\n".join(",".join(line) for line in lines)
    page.goto(f"{url}/players/import/")
    page.get_by_label("The file").set_input_files(
        {"name": "players.csv", "mimeType": "text/csv", "buffer": text.encode()}
    )
    page.get_by_role("button", name="Show what will happen").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("What will happen")


def add_player(page: Page, url: str, name: str, category: str, handicap: str) -> None:
    """Add one player by form, with a handicap and nothing else."""
    page.goto(f"{url}/players/new/")
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label(category, exact=True).check()
    page.get_by_label("Handicap", exact=False).first.fill(handicap)
    page.get_by_role("button", name="Add the player").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(name)


def invite(page: Page, url: str, name: str) -> str:
    """Make an invitation link for a player; the link as the page shows it."""
    page.goto(f"{url}/players/")
    page.get_by_role("link", name=name, exact=True).click()
    page.get_by_role("link", name="Invite").click()
    page.get_by_role("button", name="Make the link").click()
    return page.get_by_label("The link").input_value()


# season and fixture ----------------------------------------------------------------------------


def start_season(page: Page, url: str, name: str) -> None:
    page.goto(f"{url}/seasons/new/")
    page.get_by_label("Name", exact=False).fill(name)
    # Days before and after today belong to it, on whatever day of the year the journey is made.
    page.get_by_label("First day").fill((today() - timedelta(days=200)).isoformat())
    page.get_by_label("Last day").fill((today() + timedelta(days=160)).isoformat())
    page.get_by_role("button", name="Start the season").click()
    page.wait_for_url(lambda address: "/seasons/new" not in address)


def plan_fixture(
    page: Page, url: str, name: str, preset: str, *, places: int | None = None, ahead: int = 0
) -> str:
    """Plan a fixture for today, or so many days ahead, from a preset; its own address."""
    page.goto(url)
    page.get_by_role("link", name="Plan a fixture").first.click()
    page.get_by_label(preset).check()
    page.get_by_role("button", name="Go on to the fixture").click()
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Day", exact=True).fill((today() + timedelta(days=ahead)).isoformat())
    page.get_by_label("First tee time").fill("09:00")
    if places:
        page.get_by_label("Places").fill(str(places))
    page.get_by_role("button", name="Plan the fixture").click()
    page.wait_for_url(re.compile(r"/fixtures/\w+/"))
    found = re.search(r"/fixtures/(\w+)/", page.url)
    assert found
    return found[1]


def press(page: Page, name: str | re.Pattern[str]) -> None:
    """Press a button and see the page that follows."""
    with page.expect_navigation():
        page.get_by_role("button", name=name).click()


def said(page: Page) -> Locator:
    """What the program said of the last deed."""
    return page.locator("#said")


# cards -----------------------------------------------------------------------------------------


def written(figures: Iterable[int | None]) -> str:
    """Eighteen figures as people type them: a dash for no score."""
    return " ".join("-" if one is None else str(one) for one in figures)


def bogeys(**others: int | None) -> list[int | None]:
    """One over par at every hole, but for `h7=4` and the like."""
    changed = {int(hole[1:]): score for hole, score in others.items()}
    return [changed.get(hole, par + 1) for hole, par in enumerate(PAR, start=1)]


def write_card(page: Page, figures: Sequence[int | None]) -> None:
    """Write all boxes of a card on the phone, without sending it."""
    for hole, score in enumerate(figures, start=1):
        if score is None:
            page.get_by_label(f"No score on hole {hole}", exact=True).check()
        else:
            page.get_by_label(re.compile(rf"^Strokes on hole {hole}, ")).fill(str(score))


def send_card(page: Page) -> None:
    press(page, "Keep these figures")
    expect(page.get_by_text("All 18 holes arrived.")).to_be_visible()


class Typist:
    """A scorer who leaves the mouse alone: every key is counted, nothing is ever clicked."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.keys = 0

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)
        self.keys += len(text)

    def press(self, *names: str) -> None:
        for name in names:
            self.page.keyboard.press(name)
        self.keys += len(names)

    def whose(self) -> str:
        """The player whose card the page waits for."""
        return self.page.locator("#id_card option:checked").inner_text()

    def wait_for_the_line(self) -> None:
        """The page opens with the line ready for the first figure."""
        expect(self.page.locator("#id_line")).to_be_focused()

    def pass_over(self, until: Container[str]) -> str:
        """Go down the list of players until one whose card is on the pile; that player's name."""
        self.wait_for_the_line()
        if self.whose() not in until:
            self.press("Shift+Tab")
            while self.whose() not in until:
                self.press("ArrowDown")
            self.press("Tab")
        return self.whose()

    def set_tick(self) -> None:
        """From the line to the tick for both signatures, and back to the line."""
        self.wait_for_the_line()
        self.press("Tab", "Tab", "Space", "Shift+Tab", "Shift+Tab")

    def card(self, figures: Sequence[int | None]) -> None:
        """Type the card in one line and press Enter; the next card then waits."""
        self.wait_for_the_line()
        self.type(written(figures))
        with self.page.expect_navigation(url="**after=*"):
            self.press("Enter")


class Thumb:
    """A thumb on a phone; every tap is counted."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = 0

    def tap(self, kind: str, name: str) -> None:
        with self.page.expect_navigation():
            self.page.get_by_role(kind, name=re.compile(name)).first.tap()
        self.taps += 1


# results ---------------------------------------------------------------------------------------


def standings(page: Page) -> list[tuple[str, str, str]]:
    """The rows of a result page: place, name, total."""
    rows = page.locator("table.standings .lead-row").all()
    return [
        (
            row.locator("th .n").inner_text(),
            row.locator(".name").inner_text(),
            row.locator(".score").inner_text(),
        )
        for row in rows
    ]


def printed(page: Page, address: str) -> APIResponse:
    """The file for the printer, once the page that says it is being made leads to it."""
    answer = page.request.get(address)
    for _ in range(120):
        if "Refresh" not in {name.title() for name in answer.headers}:
            return answer
        time.sleep(0.5)
        answer = page.request.get(answer.url)
    raise AssertionError(f"{address} was not made within a minute")
