"""The card on a phone, with and without scripts; the scorer's line from the keyboard alone."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import LAPTOP, PHONE
from tests.serving import ROOT, environment, serving

PASSWORD = "a long enough word"
# Whether the middle of what has the focus is what one sees there (WCAG 2.2, 2.4.11).
TOPMOST = """() => {
  const box = document.activeElement.getBoundingClientRect();
  const seen = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return seen === document.activeElement || document.activeElement.contains(seen);
}"""


@pytest.fixture
def field(empty: Path) -> dict[str, object]:
    """Two players who mark each other, and a scorer, on the empty database."""
    told = subprocess.run(
        [sys.executable, "-m", "tests.browser.card_day"],
        cwd=ROOT,
        env=environment(empty),
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 0, told.stderr
    return json.loads(told.stdout)


def sign_in(page: Page, url: str, email: str) -> None:
    page.goto(f"{url}/sign-in/")
    page.get_by_label("E-mail").fill(email)
    page.get_by_label("Password").fill(PASSWORD)
    page.locator("main button").click()
    page.wait_for_url(lambda address: "sign-in" not in address)


def test_the_script_adds_what_the_server_adds(empty: Path, field: dict, device: Callable) -> None:
    with serving(empty) as url:
        page = device(PHONE)
        sign_in(page, url, field["players"][0])
        page.goto(f"{url}/cards/{field['cards'][0]}/")
        # Enter goes to the next hole, as the keypad's own key does.
        page.locator("#h1").focus()
        for score in ["5", "4", "4", "6", "5"]:
            page.keyboard.type(score)
            page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "h6"
        for hole in range(6, 19):  # the bar at the foot never covers the box one is in
            page.keyboard.press("Enter")
            assert page.evaluate(TOPMOST), f"the box after hole {hole} is covered"
        page.locator("[name=n6]").check()
        for hole in range(7, 19):
            page.locator(f"#h{hole}").fill("5")
        page.locator("[name=n18]").check()
        assert page.locator("#h18").input_value() == ""
        page.locator("#h18").fill("6")
        assert not page.locator("[name=n18]").is_checked()
        by_script = page.locator("[data-total]").inner_text()
        values = page.locator("[data-value]").all_inner_texts()
        page.get_by_role("button", name="Keep these figures").click()
        page.get_by_text("All 18 holes arrived.").wait_for()
        assert page.locator("[data-total]").inner_text() == by_script
        assert page.locator("[data-value]").all_inner_texts() == values
        assert f"{by_script} points" in page.locator("#sign").inner_text()


def test_a_card_without_scripts_and_the_phone_handed_over(
    empty: Path, field: dict, device: Callable
) -> None:
    with serving(empty) as url:
        page = device(PHONE, scripts=False)
        sign_in(page, url, field["players"][0])
        page.goto(f"{url}/cards/{field['cards'][0]}/")
        for hole in range(1, 19):
            page.locator(f"#h{hole}").fill("0" if hole == 7 else "5")
        page.get_by_role("button", name="Keep these figures").click()
        assert page.locator("#h7").input_value() == "0"
        assert "nobody takes 0" in page.locator("#wrong-7").inner_text()
        page.locator("#h7").fill("-")
        page.get_by_role("button", name="Keep these figures").click()
        page.get_by_text("All 18 holes arrived.").wait_for()
        assert page.locator("[name=n7]").is_checked()
        page.get_by_role("button", name="Certify your card").click()
        page.get_by_text("Hand this phone to").click()
        page.locator("#digits").fill(field["digits"][1])
        page.get_by_role("button", name="Certify as marker").click()
        page.locator(".tag", has_text="Returned").wait_for()
        assert page.locator("#h1").count() == 0


def test_paper_cards_are_typed_without_the_mouse(
    empty: Path, field: dict, device: Callable
) -> None:
    with serving(empty) as url:
        page = device(LAPTOP)
        sign_in(page, url, field["scorer"])
        page.goto(f"{url}/cards/fixture/{field['fixture']}/type/")
        for number in range(2):
            assert page.evaluate("document.activeElement.id") == "id_line"
            page.keyboard.type("5 4 6 - 3 5 4 4 6 5 4 3 7 5 4 - 5 6")
            if number == 0:
                page.keyboard.press("Tab")  # box by box
                page.keyboard.press("Tab")  # the tick, which then stays set
                page.keyboard.press("Space")
            page.keyboard.press("Enter")
            page.wait_for_url(f"**after={field['cards'][number]}*")
            assert page.locator("#id_seen").is_checked()
        page.get_by_text("Every card is written.").wait_for()
