"""A real Chromium against the real server; every journey has a database file of its own."""

import contextlib
from collections.abc import Callable, Generator, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from playwright.sync_api import Error as PlaywrightError

from tests.needs import chromium
from tests.serving import ROOT, migrated

PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1280, "height": 800}
FAILED = pytest.StashKey[bool]()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, headless. As root it runs without its sandbox, as it must.

    It is stopped after each file: while it runs, its event loop keeps Django from the database.
    """
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=chromium(), args=["--no-sandbox", "--disable-dev-shm-usage"]
        )
        yield started
        started.close()


@pytest.fixture
def empty(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with tables and nothing in them."""
    template = tmp_path_factory.getbasetemp() / "template.sqlite3"
    return migrated(tmp_path / "society.sqlite3", template)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport]:
    """Remember for the fixtures whether the journey failed."""
    report = yield
    if report.failed:
        item.stash[FAILED] = True
    return report


@pytest.fixture
def device(browser: Browser, request: pytest.FixtureRequest) -> Iterator[Callable[..., Page]]:
    """Opens a page on a device of its own: `device(PHONE)`, `device(LAPTOP, scripts=False)`.

    What the browser complains about (a refused script or style among them) fails the journey. Of a
    journey that failed, a picture of each device is left in the folder `journeys`.
    """
    opened: list[BrowserContext] = []
    complaints: list[str] = []

    def open_page(size: dict[str, int] = LAPTOP, *, scripts: bool = True) -> Page:
        context = browser.new_context(
            viewport=size,
            has_touch=size == PHONE,
            java_script_enabled=scripts,
            locale="en-GB",
            timezone_id="Europe/London",
        )
        context.set_default_timeout(10_000)
        opened.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda said: (
                complaints.append(said.text)
                if said.type == "error" and "status of 4" not in said.text
                else None
            ),
        )
        return page

    yield open_page
    for number, context in enumerate(opened, start=1):
        if FAILED in request.node.stash:
            with contextlib.suppress(PlaywrightError):
                picture = ROOT / "journeys" / f"{request.node.name}-{number}.png"
                context.pages[0].screenshot(path=picture, full_page=True)
                print(f"device {number} stood at {context.pages[0].url}: {picture}")
        context.close()
    assert complaints == []
