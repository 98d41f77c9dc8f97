"""Pictures of every page, at a phone's and a laptop's width, light and dark.

    python -m tests.pictures                       starts the demo itself
    python -m tests.pictures --url http://127.0.0.1:8000 --only season,card

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
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

ROOT = Path(__file__).resolve().parent.parent
CHROMIUM = os.environ.get("CHROMIUM", "/usr/bin/chromium")
WIDTHS = {390: 844, 1280: 800}
SCHEMES = ("light", "dark")


@dataclass(frozen=True)
class View:
    """One page: a name for the file, where it is, and who looks.

    ``path`` is an address, then the links to follow from there, parted by " > ": addresses of
    fixtures and cards are drawn by chance, so they are found the way a person finds them. A
    step "details" opens everything that can be opened.
    """

    name: str
    path: str
    who: str = "member"


OUT, MEMBER, OFFICER = "signed out", "member", "secretary"

VIEWS = (
    View("sign-in", "/sign-in/", OUT),
    View("season", "/", MEMBER),
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
    """Go to the address, then follow the links."""
    address, *steps = path.split(" > ")
    page.goto(url + address)
    for step in steps:
        if step == "details":
            page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
            continue
        page.get_by_role("link", name=re.compile(step)).first.click()
        page.wait_for_load_state()


def _stretch(page: Page, width: int, height: int) -> None:
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
        if message.type == "error":
            noted.append(message.text)

    page = browser.new_context().new_page()
    page.on("console", note)
    page.on("pageerror", lambda error: noted.append(str(error)))
    return page


def shoot(
    browser: Browser,
    url: str,
    known: dict[str, tuple[str, str]],
    views: list[View],
    folder: Path,
) -> int:
    """All pictures of these views; the number of complaints."""
    found = 0
    for who in dict.fromkeys(view.who for view in views):
        noted: list[str] = []
        page = _open(browser, noted)
        if who != OUT:
            sign_in(page, url, *known[who])
        for view in (view for view in views if view.who == who):
            for width, height in WIDTHS.items():
                for scheme in SCHEMES:
                    noted.clear()
                    page.set_viewport_size({"width": width, "height": height})
                    page.emulate_media(color_scheme=scheme)
                    walk(page, url, view.path)
                    name = f"{view.name}-{width}-{scheme}.png"
                    _stretch(page, width, height)
                    page.screenshot(path=folder / name, full_page=True)
                    for words in complaints(page, noted):
                        found += 1
                        print(f"{name}: {words}")
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
    options.add_argument("--to", type=Path, default=ROOT / "pictures", help="the folder")
    chosen = options.parse_args()

    wanted = chosen.only.split(",") if chosen.only else [view.name for view in VIEWS]
    views = [view for view in VIEWS if view.name in wanted]
    chosen.to.mkdir(parents=True, exist_ok=True)
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
        found = shoot(browser, url, known, views, chosen.to)
        browser.close()
    print(f"{len(views)} pages, {len(views) * 4} pictures in {chosen.to}; complaints: {found}")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
