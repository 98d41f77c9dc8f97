"""A season from the calendar as it is pasted: three days played, each to its final result."""

import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser import people as p
from tests.serving import serving

NAMES = (
    "Alder Kettleworth", "Birch Lanterby", "Cedar Mossgrave", "Damson Fennimore",
    "Elder Applecroak", "Fern Hobblethwaite",
)  # fmt: skip
DAYS_AGO = {"First Card": 14, "Beck Plate": 7, "Last Card": 0}


def test_from_pasted_calendar_to_final_results(empty: Path, device: Callable[..., Page]) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        page = device()
        p.choose_password(page, url + link)
        p.add_course(page, url, "Millrace", [("Yellow", "men", p.MEN)])
        month_ago = p.today() - timedelta(days=30)
        p.preview_import(page, url, [(n, "", "men", "18.9") for n in NAMES], since=month_ago)
        p.press(page, "Save exactly this")
        p.start_season(page, url, "Season")
        paste_the_year(page, url)
        for number, name in enumerate(DAYS_AGO):
            play(page, url, name, number)


def paste_the_year(page: Page, url: str) -> None:
    """The calendar as it stands in somebody's sheet: headings, tabs, days in words."""
    lines = ["Date\tName\tCourse\tFormat\tFirst tee time\tFee"]
    for name, ago in DAYS_AGO.items():
        day = p.today() - timedelta(days=ago)
        lines.append(f"{day:%-d %B %Y}\t{name}\tMillrace\tStableford\t09:00\t36.00")
    page.goto(url)
    page.get_by_role("link", name=re.compile("paste the whole year", re.IGNORECASE)).first.click()
    page.get_by_label("Paste the year here").fill("\n".join(lines))
    p.press(page, "Show what will happen")
    expect(page.get_by_text("Nothing is saved yet.")).to_be_visible()
    p.press(page, "Save exactly this")


def play(page: Page, url: str, name: str, number: int) -> None:
    """One day from the list of who played to the final result, by the secretary alone."""
    page.goto(f"{url}/organise/")
    page.get_by_role("link", name=name, exact=True).first.click()
    fixture = re.search(r"/fixtures/(\w+)/", page.url)
    assert fixture
    page.goto(f"{url}/fixtures/{fixture[1]}/entries/played/")
    for player in NAMES:
        page.get_by_label(player, exact=True).check()
    p.press(page, "Keep this list")
    page.goto(f"{url}/fixtures/{fixture[1]}/handicaps/")
    p.press(page, f"Take {len(NAMES)} handicaps")
    page.goto(f"{url}/cards/fixture/{fixture[1]}/type/")
    scorer = p.Typist(page)
    scorer.set_tick()
    for place in range(len(NAMES)):
        holes = {f"h{hole}": p.PAR[hole - 1] for hole in range(1, 1 + (place + number * 2) % 6)}
        assert scorer.whose() in NAMES
        scorer.card(p.bogeys(**holes))
    page.goto(f"{url}/fixtures/{fixture[1]}/final/")
    p.press(page, "Make the result final")
    page.goto(f"{url}/results/{fixture[1]}/")
    expect(page.get_by_text("Final, version 1")).to_be_visible()
