"""The pages of a furnished society on a phone, light and dark, before an accessibility checker.

The checker is axe-core. It finds what a machine can find (names, roles, contrast, order of
headings, targets); what it cannot is in the journeys: everything there is found by label and role.
"""

from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Page

from tests.browser.conftest import PHONE
from tests.pictures import OUT, VIEWS, View, sign_in, sign_ins, walk
from tests.serving import manage, serving

CHECKER = Axe().axe_script
GRAVE = ("serious", "critical")
EVERYTHING = {"resultTypes": ["violations"]}
# Colours are all that the dark scheme changes.
COLOURS = {**EVERYTHING, "runOnly": ["color-contrast", "link-in-text-block"]}


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
            page.evaluate(CHECKER)
            for scheme, options in (("light", EVERYTHING), ("dark", COLOURS)):
                page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
                found += [f"{view.name}, {scheme}: {words}" for words in grave(page, options)]
    assert found == [], "\n".join(found)


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
    page.set_content("<main><p style='color:#bbb;background:#fff'>pale</p><input></main>")
    page.evaluate(CHECKER)
    found = {words.split(" ")[0] for words in grave(page, EVERYTHING)}
    assert {"color-contrast", "label"} <= found
    assert [words.split(" ")[0] for words in grave(page, COLOURS)] == ["color-contrast"]
