"""A journey by the keyboard alone: sign in, enter, open a figure, write a card and certify it.

Nothing is clicked and nothing is focused by the test: Tab goes to whatever comes next, and what
has the focus must be seen. WCAG 2.2: 2.1.1 keyboard, 2.1.2 no trap, 2.4.3 order, 2.4.7 focus
visible, 2.4.11 focus not hidden.
"""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser import people as p
from tests.browser.test_scripts_off import close_and_draw, made_ready
from tests.serving import serving

MOST_TABS = 150
# A laptop of 1280 by 800 pixels at 200 %: little room, so that what sticks to the foot could hide.
ZOOMED = {"width": 640, "height": 400}
HERE = """() => {
    const one = document.activeElement, box = one.getBoundingClientRect();
    const ring = getComputedStyle(one), x = box.x + box.width / 2, y = box.y + box.height / 2;
    const labels = [...(one.labels || [])].map(label => label.innerText.trim()).join(" ");
    const at = document.elementFromPoint(
        Math.min(Math.max(x, 0), innerWidth - 1), Math.min(Math.max(y, 0), innerHeight - 1));
    const shown = at && (one === at || one.contains(at) || at.contains(one)
        || [...(one.labels || [])].some(label => label.contains(at)));
    return {
        tag: one.tagName.toLowerCase(), type: one.type || "", name: one.name || "",
        words: (one.getAttribute("aria-label") || labels || one.innerText || "").trim(),
        seen: box.width > 0 && box.height > 0 && y >= 0 && y <= innerHeight && Boolean(shown),
        ringed: ring.outlineStyle !== "none" && parseFloat(ring.outlineWidth) >= 2,
    };
}"""


class Keys:
    """Someone with a keyboard and no mouse. What the focus passes must be seen and ringed."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def here(self) -> dict:
        return self.page.evaluate(HERE)

    def tab_to(self, words: str, *tags: str) -> dict:
        """Tab until something of that name has the focus; what was passed had to be seen."""
        passed = []
        for _ in range(MOST_TABS):
            self.page.keyboard.press("Tab")
            here = self.here()
            if here["tag"] == "body":  # round the end of the page
                continue
            assert here["ringed"], f"no ring on {here}"
            assert here["seen"], f"hidden: {here}"
            if re.search(words, here["words"]) and (not tags or here["tag"] in tags):
                return here
            passed.append(here["words"][:30])
        raise AssertionError(f"Tab never came to {words!r}; it came to {passed}")

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)

    def follow(self, words: str) -> None:
        """Tab to a link or button and press Enter."""
        self.tab_to(words, "a", "button")
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")


@pytest.mark.parametrize(
    ("page_of", "fault"),
    [
        ("<button>One</button><style>button { outline: none }</style>", "no ring"),
        (
            "<button>One</button><style>button { outline: 3px solid }"
            "div { position: fixed; inset: 0 }</style><div></div>",
            "hidden",
        ),
        ("<button>Another</button><style>button { outline: 3px solid }</style>", "never came"),
    ],
)
def test_the_measure_sees_what_is_wrong(
    page_of: str, fault: str, device: Callable[..., Page]
) -> None:
    page = device(ZOOMED)
    page.set_content(f"<main>{page_of}</main>")
    with pytest.raises(AssertionError, match=fault):
        Keys(page).tab_to("^One$")


def test_a_day_by_keyboard(empty: Path, device: Callable[..., Page]) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        officer, page = device(), device(ZOOMED)
        keys = Keys(page)
        fixture = made_ready(officer, url, link)
        p.choose_password(page, p.invite(officer, url, "Ivo Marrable"))
        page.context.clear_cookies()

        signs_in(keys, url)
        keys.follow("^Enter$")
        expect(page.get_by_text("You are in", exact=True).first).to_be_visible()

        close_and_draw(officer, f"{url}/fixtures/{fixture}")
        p.press(officer, "Publish the draw")

        page.goto(url)
        keys.follow("^Card$")
        keys.follow("^Your card$")
        asks_for_a_word(keys)
        opens_a_figure(keys)
        page.reload()
        writes_the_card(keys)
        keys.follow("^Certify your card$")
        expect(page.locator("#sign")).to_contain_text("player, certified")


def signs_in(keys: Keys, url: str) -> None:
    """First with a wrong password: the summary has the focus, and leads to the field."""
    page = keys.page
    page.goto(f"{url}/sign-in/")
    keys.tab_to("^E-mail", "input")
    keys.type("ivo@example.org")
    keys.tab_to("^Password", "input")
    keys.type("not this one")
    keys.follow("^Sign in$")
    expect(page.locator("[data-problems]")).to_be_focused()
    keys.tab_to("^E-mail", "input")
    page.keyboard.press("Control+a")
    keys.type("ivo@example.org")
    keys.tab_to("^Password", "input")
    keys.type(p.PASSWORD)
    keys.follow("^Sign in$")


def asks_for_a_word(keys: Keys) -> None:
    """A word of the glossary opens with Enter, shuts with Escape, and gives the focus back."""
    keys.tab_to("^Plays off", "button")
    keys.page.keyboard.press("Enter")
    note = keys.page.get_by_role("note")
    expect(note).to_contain_text("course handicap times allowance, rounded once")
    keys.page.keyboard.press("Escape")
    expect(note).to_be_hidden()
    assert keys.here()["words"].startswith("Plays off")


def opens_a_figure(keys: Keys) -> None:
    keys.tab_to("^Why ", "summary")
    keys.page.keyboard.press("Enter")
    expect(keys.page.get_by_text("Course handicap", exact=True)).to_be_visible()


def writes_the_card(keys: Keys) -> None:
    for hole, score in enumerate(p.bogeys(h7=None), start=1):
        if score is None:
            keys.tab_to(f"^No score on hole {hole}$", "input")
            keys.page.keyboard.press("Space")
        else:
            keys.tab_to(f"^Strokes on hole {hole}, ", "input")
            keys.type(str(score))
    keys.follow("^Keep these figures$")
    expect(keys.page.get_by_text("All 18 holes arrived.")).to_be_visible()
