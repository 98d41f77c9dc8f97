"""The pages of a furnished society, small and wide, light and dark, before a checker.

The checker is axe-core. It finds what a machine can find (names, roles, contrast, order of
headings, targets); what it cannot is in the journeys: everything there is found by label and role,
and `test_keyboard.py` does without a mouse. The level is AA of WCAG 2.2.
"""

from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Page

from tests.browser.conftest import LAPTOP, PHONE
from tests.pictures import OUT, VIEWS, View, sign_in, sign_ins, stretch, walk
from tests.serving import manage, serving

CHECKER = Axe().axe_script
GRAVE = ("serious", "critical")
# The size of what is pressed is a rule of WCAG 2.2, level AA, which the checker leaves out else.
EVERYTHING = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
# Colours are all that the dark scheme changes.
COLOURS = {"resultTypes": ["violations"], "runOnly": ["color-contrast", "link-in-text-block"]}
SIZES = {"phone": PHONE, "laptop": LAPTOP}
# WCAG 2.2, 1.4.4: text at 200 %, a laptop's 1280 pixels being 640 then. 1.4.10: 320 pixels wide,
# which is 400 % there and 200 % on a window of 640.
ZOOMED = (640, 320)
SIDEWAYS = "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, dict]]:
    """The invented society of today: its address and its sign-ins by role."""
    file = tmp_path_factory.mktemp("demo") / "demo.sqlite3"
    made = manage(file, "demo", "--no-serve")  # it is made in the file's folder
    assert made.returncode == 0, made.stderr
    with serving(file) as url:
        yield url, sign_ins(made.stdout)


@pytest.mark.parametrize("who", dict.fromkeys(view.who for view in VIEWS))
def test_pages_seen_by(who: str, demo: tuple[str, dict], device: Callable[..., Page]) -> None:
    url, known = demo
    page = device(PHONE)
    if who != OUT:
        sign_in(page, url, *known[who])
    found = []
    for view in (view for view in VIEWS if view.who == who):
        if reached(page, url, view):
            found += [f"{view.name}, {words}" for words in faults(page)]
    assert found == [], "\n".join(found)


def faults(page: Page) -> list[str]:
    """What is wrong with the page as it stands: by the checker, and when it is made larger."""
    page.evaluate(CHECKER)
    found = []
    for size, viewport in SIZES.items():
        page.set_viewport_size(viewport)
        stretch(page, **viewport)  # a bar that sticks to the foot covers only what is scrolled to
        for scheme, options in (("light", EVERYTHING), ("dark", COLOURS)):
            page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
            found += [f"{size}, {scheme}: {words}" for words in grave(page, options)]
    found += zoomed(page)
    headings = page.locator("h1").count()
    if headings != 1:
        found.append(f"{headings} headings of the first level")
    page.set_viewport_size(PHONE)
    return found


def zoomed(page: Page) -> list[str]:
    """At which widths the page has to be scrolled sideways."""
    found = []
    for width in ZOOMED:
        page.set_viewport_size({"width": width, "height": PHONE["height"]})
        needed, room = page.evaluate(SIDEWAYS)
        if needed > room:
            found.append(f"zoomed: {needed} pixels in {room}")
    return found


def reached(page: Page, url: str, view: View) -> bool:
    """Go there as a person would. Some pages exist at some hours of the demo's day only."""
    page.set_default_timeout(2_000 if view.sometimes else 10_000)
    try:
        page.emulate_media(color_scheme="light", reduced_motion="reduce")
        walk(page, url, view.path)
    except PlaywrightError:
        if not view.sometimes:
            raise
        return False
    return True


def grave(page: Page, options: dict) -> list[str]:
    """What the checker finds serious or critical, each with its rule, place and reason."""
    answer = page.evaluate("options => axe.run(options)", options)
    judged = {
        rule["id"] for kind in ("passes", "violations", "incomplete") for rule in answer[kind]
    }
    assert "color-contrast" in judged, judged
    return [
        f"{rule['id']} ({rule['impact']}) at {node['target'][0]}: {node['failureSummary']}"
        for rule in answer["violations"]
        for node in rule["nodes"]
        if rule["impact"] in GRAVE
    ]


def test_the_checker_sees_what_is_wrong(device: Callable[..., Page]) -> None:
    page = device(PHONE)
    tiny = "<button style='width:9px;height:9px;padding:0;border:0;margin:0'>{}</button>"
    page.set_content(
        "<main><p style='color:#bbb;background:#fff'>pale</p><input>"
        f"<p style='font-size:0'>{tiny.format('a')}{tiny.format('b')}</p></main>"
    )
    page.evaluate(CHECKER)
    found = {words.split(" ")[0] for words in grave(page, EVERYTHING)}
    assert {"color-contrast", "label", "target-size"} <= found
    assert [words.split(" ")[0] for words in grave(page, COLOURS)] == ["color-contrast"]


def test_the_measure_of_zoom_sees_what_is_too_wide(device: Callable[..., Page]) -> None:
    page = device(PHONE)
    page.set_content("<main><p>narrow</p></main>")
    assert zoomed(page) == []
    page.set_content("<main><pre>" + "wide " * 30 + "</pre></main>")
    assert len(zoomed(page)) == 2


MOVING = """() => [...document.querySelectorAll("*")].flatMap(one => ["", "::before", "::after"]
    .map(part => getComputedStyle(one, part || null))
    .filter(style => [style.transitionDuration, style.animationDuration]
        .some(words => words.split(",").some(time => parseFloat(time) > 0)))
    .map(() => one.tagName + "." + one.className))"""


def test_nothing_moves_for_whoever_wants_no_motion(
    demo: tuple[str, dict], device: Callable[..., Page]
) -> None:
    url, known = demo
    page = device(PHONE)
    sign_in(page, url, *known["member"])
    for address in ("/", "/cards/", "/merit/", "/account/"):
        page.goto(url + address)
        page.emulate_media(reduced_motion="no-preference")
        assert page.evaluate(MOVING), address  # links fade, so the measure sees what moves
        page.emulate_media(reduced_motion="reduce")
        assert page.evaluate(MOVING) == [], address
