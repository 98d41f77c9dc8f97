"""A member opens their figure, down to the card that made it, on a phone with scripts on and off.

Ida's four cards off scratch, from a tee rated 70.1 / 120, by hand: 36, 34, 30 and 37 points are 72,
74, 78 and 71 strokes, so differentials of 1.8, 3.7, 7.4 and 0.8 (Rules of Handicapping 2024, Rule
5.1a: 113 ÷ 120 × (71 − 70.1) = 0.8475). Of four scores the lowest counts, less 1.0 (Rule 5.2a).
"""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser import people as p
from tests.browser.conftest import PHONE
from tests.serving import manage, serving

PASSWORD = "a long enough word"
FILLED = """
from society.members.models import Player
from tests.factories.members import AccountFactory, SocietyFactory
from tests.factories.results import sealed_season
SocietyFactory()
sealed_season({"Ida Clamber": (36, 34, 30, 37), "Nan Under": (30, 30, 30, 30)})
AccountFactory(email="ida@example.org", players=[Player.objects.get(name="Ida Clamber")])
"""


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without scripts"])
def test_from_the_front_page_down_to_the_card(
    empty: Path, device: Callable[..., Page], scripts: bool
) -> None:
    told = manage(empty, "shell", given=FILLED)
    assert told.returncode == 0, told.stderr
    with serving(empty) as url:
        phone = device(PHONE, scripts=scripts)
        phone.goto(f"{url}/sign-in/")
        phone.get_by_label("E-mail").fill("ida@example.org")
        phone.get_by_label("Password").fill(PASSWORD)
        p.press(phone, "Sign in")

        phone.get_by_role("link", name="Your handicap").click()
        the_figure(phone)
        one_score(phone, scripts=scripts)
        phone.get_by_role("link", name="Fixture 4").first.click()
        expect(phone.get_by_role("heading", level=1)).to_be_visible()
        expect(phone.locator("main")).to_contain_text("71")
        another_tee(phone, url)


def the_figure(phone: Page) -> None:
    """The sum in words, the one framed differential, what each card was worth."""
    page = phone.locator("main")
    expect(phone.get_by_role("heading", name="How +0.2 is worked out")).to_be_visible()
    expect(page).to_contain_text("0.8 − 1 = +0.2")
    framed = phone.locator("#scores .is-counted")
    expect(framed).to_have_count(1)
    expect(framed).to_contain_text("0.8")
    for differential in ("1.8", "3.7", "7.4"):
        expect(phone.locator("#scores")).to_contain_text(differential)
    expect(phone.locator("#changes")).to_contain_text("none → +0.2")


def one_score(phone: Page, *, scripts: bool) -> None:
    """The newest score opens in its row; without scripts it has a page of its own."""
    row = phone.locator("#scores .row").first
    row.get_by_text("Worked out").first.click()
    if not scripts:
        row.get_by_role("link", name=re.compile("worked out$")).click()
    working = phone.locator(".working").filter(has_text="Adjusted gross").first
    expect(working).to_contain_text("113 ÷ 120 × (71 − 70.1) = 0.848, rounded 0.8")
    expect(working).to_contain_text("Every hole counts as written.")


def another_tee(phone: Page, url: str) -> None:
    """What a figure would play off, and what cannot be asked."""
    phone.goto(url)
    phone.get_by_role("link", name="Your handicap").click()
    expect(phone.locator("#next-score")).to_contain_text("or a better differential lowers it")
    expect(phone.locator("#would-play")).to_contain_text("no figure yet that the season can use")
