"""Pictures of every page, at a phone's and a laptop's width, light and dark.

    python -m tests.pictures                       starts the demo itself
    python -m tests.pictures --url http://127.0.0.1:8000 --only season,card
    python -m tests.pictures --readme              those of README.md, into docs/pictures

Writes ``pictures/<name>-<width>-<scheme>.png``. Says which page scrolls sideways, and which
complains in the browser's console, and ends with 1 if one does.
"""

import argparse
import contextlib
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urljoin

from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright
from playwright.sync_api import Error as PlaywrightError

ROOT = Path(__file__).resolve().parent.parent
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
WIDTHS = {390: 844, 1280: 800}
SCHEMES = ("light", "dark")


@dataclass(frozen=True)
class View:
    """One page: a name for the file, where it is, and who looks.

    ``path`` is an address, then what to do from there, parted by " > ": addresses of fixtures
    and cards are drawn by chance, so they are found the way a person finds them. A step is the
    name of a link, or "./draw/" (an address seen from here), "open: words" (what unfolds),
    "fill: name=value", "press: words" (a button, only to see a form refused).
    """

    name: str
    path: str
    who: str = "member"
    sometimes: bool = False  # the demo's cards come in with the hour: may be missing


OUT, MEMBER, OFFICER, SCORER = "signed out", "member", "secretary", "scorer"
COUPLE, NEWCOMER, PLUS = "couple", "newcomer", "plus player"

VIEWS = (
    View("sign-in", "/sign-in/", OUT),
    View("sign-in-refused", "/sign-in/ > press: Sign in", OUT),
    View("sign-in-link", "/sign-in/link/", OUT),
    View("sign-in-link-spent", "/sign-in/link/none-of-ours/", OUT),
    View("no-such-page", "/no-such-page/", OUT),
    View("words", "/words/", OUT),
    View("learn", "/learn/", NEWCOMER),
    View("learn-plus", "/learn/", PLUS),
    View("learn-medal", "/learn/?format=medal"),
    View("learn-par", "/learn/?format=par"),
    View("learn-maximum", "/learn/?format=maximum_score"),
    View("learn-refused", "/learn/?handicap=-3"),
    View("practice", "/learn/practice/?a1=2&a2=0&a3=1", NEWCOMER),
    View(
        "practice-done",
        "/learn/practice/?seed=7&" + "&".join(f"a{hole}=2" for hole in range(1, 19)),
        PLUS,
    ),
    View("practice-refused", "/learn/practice/?a3=9"),
    View("how-scored-couple", "/ > ^Lantern Plate$ > ^How this is scored", COUPLE),
    View("how-scored", "/ > ^Lantern Plate$ > ^How this is scored"),
    View("season", "/"),
    View("season-couple", "/", COUPLE),
    View("season-over", "/ > ^Season 20"),
    View("season-officer", "/", OFFICER),
    View("fixture-today", "/ > ^Lantern Plate$"),
    View("fixture-open", "/ > ^Harbour Stableford$"),
    View("fixture-to-enter", "/ > ^Beacon Stableford$"),
    View("fixture-full", "/ > ^Harbour Stableford$", NEWCOMER),
    View("entry-asks", "/ > ^Beacon Stableford$ > ^Enter"),
    View("wishes", "/ > ^Harbour Stableford$ > ^Change what you asked for$", PLUS),
    View("fixture-couple", "/ > ^Harbour Stableford$", COUPLE),
    View("withdraw", "/ > ^Harbour Stableford$ > ^Withdraw", PLUS),
    View("papers", "/organise/ > ^Lantern Plate$ > ^Papers$", OFFICER),
    View("papers-cards", "/organise/ > ^Lantern Plate$ > ^Papers$ > ^Cards, slips", OFFICER),
    View("papers-terms", "/organise/ > ^Lantern Plate$ > ^Papers$ > ^Write them down", OFFICER),
    View("papers-labels", "/settings/labels/", OFFICER),
    View("draw-published", "/ > ^Lantern Plate$ > ./draw/"),
    View("draw-why", "/ > ^Lantern Plate$ > ./draw/ > open: Why this draw"),
    View("draw-shotgun", "/ > ^Captain's Day$ > ^Draw$"),
    View("draw-two-tees", "/ > ^Bracken Maximum$ > ^Draw$"),
    View("draw-figure-open", "/ > ^Lantern Plate$ > ./draw/ > open: What"),
    View("plays-off", "/organise/ > ^Lantern Plate$ > ^Draw$ > worked out for", OFFICER),
    View("card-worked-out", "/cards/ > ^Your card$ > open: worked out"),
    View("cards", "/cards/"),
    View("card-to-write", "/cards/ > ^Your card$"),
    View(
        "card-refused",
        "/cards/ > ^Your card$ > fill: h1=100 > press: Keep these figures",
        sometimes=True,
    ),
    View("card-to-mark", "/cards/ > ^(?!Your).*’s card$"),
    View("card-to-settle", "/cards/ > ^(?!Your).*’s card$ > Compare", MEMBER, sometimes=True),
    View("card-certified", "/cards/ > ^Your card$", NEWCOMER),
    View("scores-so-far", "/ > ^Lantern Plate$ > Scores so far"),
    View("result-stableford", "/ > ^Millrace Cup$"),
    View("result-division", "/ > ^Millrace Cup$ > ^Division 1"),
    View("result-twos-go-on", "/ > ^First Card$"),
    View("result-by-lot", "/ > ^Captain's Day$ > ^Gross prize$"),
    View("result-medal", "/ > ^Beck Medal$"),  # version 2
    View("result-superseded", "/ > ^Beck Medal$ > ^Version 1$"),
    View("result-open", "/ > ^Millrace Cup$ > open: Card of", PLUS),
    View("settings", "/settings/", OFFICER),
    View("result-version", "/ > ^Millrace Cup$ > ^Version 1$"),
    View("cuts-by-hand", "/players/ > ^Ivo Marrable$ > ^Every score > ^Society cuts$", OFFICER),
    View("cuts-waiting", "/ > ^Millrace Cup$ > ^Member view$ > ./cuts/", OFFICER),
    View(
        "cuts-refused",
        "/ > ^Millrace Cup$ > ^Member view$ > ./cuts/ > open: Another > press: Set this figure",
        OFFICER,
    ),
    View("cuts-answered", "/ > ^Beck Medal$ > ^Member view$ > ./cuts/", OFFICER),
    View("cuts-none", "/ > ^Season 20 > ^Millrace Cup$ > ^Member view$ > ./cuts/", OFFICER),
    View("reopen", "/ > ^Millrace Cup$ > ^Open this result again$", OFFICER),
    View("merit", "/merit/"),
    View("merit-totals", "/merit/ > ^Three best cards$"),
    View("merit-sealed", "/ > ^Season 20 > ^Season 20"),
    View("merit-made-from", "/ > ^Season 20 > ^Season 20 > What it was made from"),
    View("merit-line", "/merit/ > ^Ivo Marrable$"),
    View("merit-give", "/merit/ > ^Ivo Marrable$ > Give points by hand", OFFICER),
    View("merit-rules", "/merit/ > Change the rules", OFFICER),
    View(
        "merit-try", "/merit/ > Try other rules > fill: best=3 > press: See who would move", OFFICER
    ),
    View("merit-seal", "/merit/ > Seal the season", OFFICER),
    View("merit-members", "/merit/ > Members of the season", OFFICER),
    View("merit-joined", "/merit/ > Members of the season > ^Change", OFFICER),
    View("player", "/players/ > ^Ivo Marrable$", OFFICER),
    View("result-spread", "/ > ^Millrace Cup$ > open: How the scores > open: The figures"),
    View("record", "/players/ > ^Ivo Marrable$ > ^Every score", OFFICER),
    View("record-elsewhere", "/ > ^your handicap$ > ./?allowance=85"),
    View("score-new", "/players/ > ^Ivo Marrable$ > ^Every score > ^Add a score", OFFICER),
    View(
        "score-new-ready",
        "/players/ > ^Ivo Marrable$ > ^Every score > ^Add a score > ^The differential$"
        " > fill: played=2026-01-10 > fill: differential=9.0 > fill: words=away > press: See what",
        OFFICER,
    ),
    View(
        "score-new-refused",
        "/players/ > ^Ivo Marrable$ > ^Every score > ^Add a score > press: See what",
        OFFICER,
    ),
    View(
        "score-withdraw",
        "/players/ > ^Ivo Marrable$ > ^Every score > ^Take off, or open alone > ^Take off",
        OFFICER,
    ),
    View("adjust", "/players/ > ^Ivo Marrable$ > ^Every score > ^Adjust the record", OFFICER),
    View("record-newcomer", "/ > ^your handicap$", NEWCOMER),
    View("player-own", "/account/ > ^Your page|Ivo Marrable"),
    View("account", "/account/"),
    View("password", "/account/password/"),
    View("what-we-keep", "/what-we-keep/"),
    View("not-yours", "/organise/"),
    View("organise", "/organise/", OFFICER),
    View("steps-today", "/organise/ > ^Lantern Plate$", OFFICER),
    View("steps-open", "/organise/ > ^Harbour Stableford$", OFFICER),
    View("steps-planned", "/organise/ > ^Frost Nine$", OFFICER),
    View("entries", "/organise/ > ^Harbour Stableford$ > ^Entries$", OFFICER),
    View("turns-up", "/organise/ > ^Harbour Stableford$ > ^Entries$ > ./walk-up/", OFFICER),
    View("extras", "/organise/ > ^Harbour Stableford$ > ^Entries$ > ./extras/", OFFICER),
    View(
        "late-and-absent",
        "/organise/ > ^Harbour Stableford$ > ^Entries$ > ^Late withdrawals and no-shows$",
        OFFICER,
    ),
    View("who-played", "/organise/ > ^Harbour Stableford$ > Tick who played", OFFICER),
    View("handicaps", "/organise/ > ^Lantern Plate$ > ^Handicaps$", OFFICER),
    View("draw", "/organise/ > ^Lantern Plate$ > ^Draw$", OFFICER),
    View("draw-to-make", "/organise/ > ^Harbour Stableford$ > ^Draw$", OFFICER),
    View("cards-in-out", "/organise/ > ^Lantern Plate$ > ^Cards$", SCORER),
    View("type-cards", "/organise/ > ^Lantern Plate$ > ^Cards$ > Type paper cards", SCORER),
    View("card-officer", "/organise/ > ^Lantern Plate$ > ^Cards$ > ^Ivo Marrable$", OFFICER),
    View("rulings", "/ > ^Lantern Plate$ > Scores so far > Rulings", OFFICER),
    View("played-for", "/organise/ > ^Lantern Plate$ > Played for", OFFICER),
    View("competition-new", "/organise/ > ^Lantern Plate$ > Played for > Add a comp", OFFICER),
    View("make-final", "/organise/ > ^Lantern Plate$ > Make final", OFFICER),
    View("letters", "/organise/ > ^Harbour Stableford$ > Letters of this fixture", OFFICER),
    View("log", "/organise/ > ^Lantern Plate$ > Everything", OFFICER),
    View("fixture-new", "/ > Plan a fixture", OFFICER),
    View("fixture-change", "/organise/ > ^Harbour Stableford$ > Change the fixture", OFFICER),
    View("fixture-move", "/organise/ > ^Harbour Stableford$ > Move it to another day", OFFICER),
    View("fixture-copy", "/organise/ > ^Harbour Stableford$ > ^Copy it$", OFFICER),
    View("stale", "/players/ > Old and missing", OFFICER),
    View("season-handicaps", "/ > Which handicap is used", OFFICER),
    View("calendar", "/ > Keep the whole year", OFFICER),
    View("calendar-refused", "/ > Keep the whole year > press: Show what will happen", OFFICER),
    View("calendar-copied", "/ > Keep the whole year > Copy the fixtures", OFFICER),
    View(
        "calendar-preview",
        "/ > Keep the whole year > Copy the fixtures > press: Show what will happen",
        OFFICER,
    ),
    View("season-new", "/seasons/new/", OFFICER),
    View("season-refused", "/seasons/new/ > press: Start the season", OFFICER),
    View("players", "/players/", OFFICER),
    View("player-new", "/players/new/", OFFICER),
    View("players-import", "/players/import/", OFFICER),
    View("handicaps-import", "/players/handicaps/", OFFICER),
    View("handicap-new", "/players/ > ^Ivo Marrable$ > Write down a handicap", OFFICER),
    View("invite", "/players/ > ^Ivo Marrable$ > Invite", OFFICER),
    View("offices", "/offices/", OFFICER),
    View("courses", "/courses/", OFFICER),
    View("course", "/courses/ > ^Kettlemoor$", OFFICER),
    View("course-new", "/courses/new/", OFFICER),
    View("courses-import", "/courses/import/", OFFICER),
)


@dataclass(frozen=True)
class Shown:
    """One picture of README.md: a window of this size, with ``top`` (a selector) at its top."""

    view: str
    width: int
    height: int
    top: str = "body"
    scheme: str = "light"


# A laptop's window is as narrow as two columns stand in, so that words can be read in a page.
README = (
    Shown("season", 390, 780),
    Shown("entry-asks", 390, 780),
    Shown("card-to-write", 390, 780, "main .sheet"),
    Shown("draw-published", 1080, 680, "main h2"),
    Shown("steps-today", 1080, 840, ".head"),
    Shown("result-stableford", 1080, 760, ".switch"),
    Shown("season-over", 1080, 700),
    Shown("merit-sealed", 1080, 700, ".merit-grid", "dark"),
)


# the server --------------------------------------------------------------------------------


def _free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


def _answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(url, timeout=2):
            return True
    except OSError:
        return False


@contextlib.contextmanager
def demo() -> Iterator[tuple[str, dict[str, tuple[str, str]]]]:
    """The demo on a file and a port of its own: its address and its sign-ins by role."""
    with tempfile.TemporaryDirectory(prefix="pictures-") as folder:
        port = _free_port()
        log = Path(folder) / "demo.log"
        with log.open("w") as out:
            server = subprocess.Popen(
                [sys.executable, "manage.py", "demo", "--port", str(port)],
                cwd=ROOT,
                env={**os.environ, "DATA_DIR": folder, "PYTHONUNBUFFERED": "1"},
                stdout=out,
                stderr=subprocess.STDOUT,
            )
        try:
            url = f"http://127.0.0.1:{port}"
            for _ in range(240):
                if server.poll() is not None:
                    raise SystemExit(f"The demo ended early:\n{log.read_text()}")
                if _answers(url):
                    break
                time.sleep(0.5)
            else:
                raise SystemExit(f"The demo did not answer:\n{log.read_text()}")
            yield url, sign_ins(log.read_text())
        finally:
            server.terminate()
            server.wait(timeout=20)


def sign_ins(printed: str) -> dict[str, tuple[str, str]]:
    """Role → (e-mail, password), read from what the demo prints: "secretary  mail  password"."""
    found = re.findall(r"^\s*([a-z][a-z ]*?)\s{2,}(\S+@\S+)\s+(\S+)", printed, re.MULTILINE)
    return {role: (mail, password) for role, mail, password in found}


# the camera --------------------------------------------------------------------------------


def sign_in(page: Page, url: str, mail: str, password: str) -> None:
    page.goto(f"{url}/sign-in/")
    page.get_by_label("E-mail").fill(mail)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_load_state()


def walk(page: Page, url: str, path: str) -> None:
    """Go to the address, then take the steps."""
    address, *steps = path.split(" > ")
    page.goto(url + address)
    for step in steps:
        kind, _, words = step.partition(": ")
        if step.startswith("./"):
            page.goto(urljoin(page.url, step))
        elif kind == "open":
            page.locator("summary", has_text=words).first.click()
            page.wait_for_load_state("networkidle")
        elif kind == "fill":
            name, value = words.split("=")
            page.fill(f"[name={name}]", value)
        elif kind == "press":
            page.get_by_role("button", name=words).first.click()
        else:
            page.get_by_role("link", name=re.compile(step)).first.click()
        page.wait_for_load_state()


def stretch(page: Page, width: int, height: int) -> None:
    """Make the window as tall as the page, so that what sticks to the foot stands at the foot."""
    tall = page.evaluate("document.documentElement.scrollHeight")
    page.set_viewport_size({"width": width, "height": max(height, tall)})


def complaints(page: Page, noted: list[str]) -> list[str]:
    found = [f"says in the console: {words}" for words in noted]
    width, room = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    if width > room:
        found.append(f"scrolls sideways: {width} px in {room}")
    return found


def _open(browser: Browser, noted: list[str]) -> Page:
    """A fresh browser window; what it complains about is added to ``noted``."""

    def note(message: ConsoleMessage) -> None:
        # a refused form and a page that is not there are what some of the pictures show
        if message.type == "error" and "status of 4" not in message.text:
            noted.append(message.text)

    page = browser.new_context(reduced_motion="reduce").new_page()  # no colour in mid-change
    page.set_default_timeout(8000)
    page.on("console", note)
    page.on("pageerror", lambda error: noted.append(str(error)))
    return page


def portray(page: Page, view: View, noted: list[str], folder: Path) -> int:
    """The four pictures of the page as it stands; the number of complaints."""
    found = 0
    for width, height in WIDTHS.items():
        for scheme in SCHEMES:
            page.set_viewport_size({"width": width, "height": height})
            page.emulate_media(color_scheme=scheme)
            stretch(page, width, height)
            name = f"{view.name}-{width}-{scheme}.png"
            page.screenshot(path=folder / name, full_page=True)
            for words in complaints(page, noted):
                found += 1
                print(f"{name}: {words}")
            noted.clear()
    return found


def show(page: Page, view: View, noted: list[str], folder: Path) -> int:
    """The picture of README.md of the page as it stands; the number of complaints."""
    shown = next(shown for shown in README if shown.view == view.name)
    page.emulate_media(color_scheme=shown.scheme)
    page.set_viewport_size({"width": shown.width, "height": shown.height})
    page.evaluate("scrollTo(0, 0)")
    page.evaluate(
        "top => scrollTo(0, document.querySelector(top).getBoundingClientRect().top - 18)",
        shown.top,
    )
    page.screenshot(path=folder / f"{view.name}.png")
    found = complaints(page, noted)
    for words in found:
        print(f"{view.name}: {words}")
    return len(found)


def shoot(
    browser: Browser,
    url: str,
    known: dict[str, tuple[str, str]],
    views: list[View],
    folder: Path,
    take: Callable[[Page, View, list[str], Path], int] = portray,
) -> int:
    """All pictures of these views; the number of complaints."""
    found = 0
    for who in dict.fromkeys(view.who for view in views):
        noted: list[str] = []
        page = _open(browser, noted)
        if who != OUT:
            sign_in(page, url, *known[who])
        for view in (view for view in views if view.who == who):
            noted.clear()
            try:
                walk(page, url, view.path)
            except PlaywrightError as error:
                found += not view.sometimes
                print(f"{view.name}: not reached, {str(error).splitlines()[-1].strip()}")
                continue
            found += take(page, view, noted, folder)
        page.context.close()
    return found


def main() -> int:
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    options.add_argument("--url", help="a server that is already running")
    options.add_argument(
        "--sign-in",
        action="append",
        default=[],
        metavar="ROLE:MAIL:PASSWORD",
        help="with --url: who may sign in, once for each role",
    )
    options.add_argument("--only", help="names of views, parted by commas")
    options.add_argument("--readme", action="store_true", help="the pictures of README.md")
    options.add_argument("--to", type=Path, help="the folder")
    chosen = options.parse_args()

    everything = [shown.view for shown in README] if chosen.readme else [v.name for v in VIEWS]
    wanted = chosen.only.split(",") if chosen.only else everything
    views = [view for view in VIEWS if view.name in wanted and view.name in everything]
    folder = chosen.to or ROOT / ("docs/pictures" if chosen.readme else "pictures")
    folder.mkdir(parents=True, exist_ok=True)
    with contextlib.ExitStack() as held:
        if chosen.url:
            url = chosen.url.rstrip("/")
            parted = [given.split(":", 2) for given in chosen.sign_in]
            known = {role: (mail, password) for role, mail, password in parted}
        else:
            url, known = held.enter_context(demo())
        playwright = held.enter_context(sync_playwright())
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox"] if os.geteuid() == 0 else []
        )
        take = show if chosen.readme else portray
        found = shoot(browser, url, known, views, folder, take)
        browser.close()
    number = len(views) * (1 if chosen.readme else 4)
    print(f"{len(views)} pages, {number} pictures in {folder}; complaints: {found}")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
