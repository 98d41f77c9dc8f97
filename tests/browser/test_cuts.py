"""The handicap secretary takes the demo's season from cards to confirmed cuts.

The society cuts the first three 3, 2 and 1, and gives a shot back for 24 points or fewer (the
demo's own rules). What each is proposed is worked out here again from the places on the page of
the result: the figure before, less the cut of the place.
"""

import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser import people as p
from tests.browser.conftest import PHONE
from tests.serving import manage, serving

PASSWORD = "lantern-and-kettle"
CAPTAIN = "Hester Quillfeather"
PLAYED, NEXT = "Lantern Plate", "Beacon Stableford"
AWAY = {1: 3, 2: 2, 3: 1}  # the cut of each place
WHY_CHANGED, WHY_LEFT = "Two clubs were borrowed", "Played with an injury"
NOT_TYPED = {"Percy Bluntspoon", "Flora Dabblecote", "Rufus Candlewick"}  # guests; below scratch
ROUND = "3 " * 17 + "3"  # 54 strokes: far ahead of everybody


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """The invented society of today: its address and its file."""
    file = tmp_path_factory.mktemp("demo") / "demo.sqlite3"
    made = manage(file, "demo", "--no-serve")
    assert made.returncode == 0, made.stderr
    with serving(file) as url:
        yield url, file


def test_from_the_last_cards_to_confirmed_cuts(
    demo: tuple[str, Path], device: Callable[..., Page]
) -> None:
    url, file = demo
    desk, keeper, plain = device(), device(), device(PHONE, scripts=False)
    p.sign_in(desk, url, "wilf@tarn-hollow.example", PASSWORD)
    fixture = find(desk, url, PLAYED)
    best = type_the_best(desk, url, fixture)
    make_it_final(desk, device(), url, fixture)
    placed = {name: int(place) for place, name, _ in p.standings(desk)[:3]}
    assert set(placed) == set(best)
    first, second, third = sorted(placed, key=placed.__getitem__)

    p.sign_in(keeper, url, "dorrick@tarn-hollow.example", PASSWORD)
    todo = keeper.get_by_role("listitem").filter(has_text=f"wait for your word: {PLAYED}")
    expect(todo).to_contain_text("Nothing moves before that.")
    todo.get_by_role("link", name="Answer").click()
    expect(keeper.get_by_text("Nothing has moved yet.")).to_be_visible()
    proposed = {name: as_proposed(keeper, name) for name in placed}
    records = {name: record(desk, url, name) for name in placed}
    for name, place in placed.items():
        old, new = proposed[name]
        assert new == old - AWAY[place]
        desk.goto(records[name])
        expect(cut_of(desk)).to_have_count(0)
        expect(desk.locator("#today .row").first.locator(".n")).to_have_text(plus(old))

    address = keeper.url
    changed = proposed[second][0] - 1
    another(keeper, second, WHY_CHANGED, "Set this figure", plus(changed))
    p.sign_in(plain, url, "dorrick@tarn-hollow.example", PASSWORD)
    plain.goto(address)
    another(plain, third, WHY_LEFT, "Leave the handicap as it is")
    p.press(plain, "Confirm the ticked")
    expect(p.said(plain)).to_contain_text("changed")
    expect(plain.get_by_role("heading", name="Nothing waits for an answer")).to_be_visible()

    kept(desk, records[first], f"{plus(proposed[first][0])} → {plus(proposed[first][1])}")
    kept(desk, records[second], f"{plus(proposed[second][0])} → {plus(changed)}", WHY_CHANGED)
    desk.goto(records[third])
    expect(cut_of(desk)).to_have_count(0)

    told = p.society_file(
        file, "SELECT player_id, text FROM members_letter WHERE subject LIKE ?",
        f"your handicap after {PLAYED}%",
    )  # fmt: skip
    said = f"goes from {plus(proposed[first][0])} to {plus(proposed[first][1])}"
    assert sum(said in str(text) for _, text in told) == 1
    the_next_fixture(desk, url, first, plus(proposed[first][1]))


def plus(value: Decimal) -> str:
    """A figure as it is written: without a nought after the point, a plus below zero."""
    text = f"{abs(value).normalize():f}"
    return f"+{text}" if value < 0 else text


def figure(text: str) -> Decimal:
    return -Decimal(text[1:]) if text.startswith("+") else Decimal(text)


def find(page: Page, url: str, name: str) -> str:
    """The address of a fixture, as the organiser finds it."""
    page.goto(f"{url}/organise/")
    page.get_by_role("link", name=name, exact=True).first.click()
    found = re.search(r"/fixtures/(\w+)/", page.url)
    assert found
    return found[1]


def type_the_best(page: Page, url: str, fixture: str) -> list[str]:
    """Paper cards of three members who are out, each far ahead of everybody; their names.

    The captain's among them, if it is out, so that one of two officers may make the result final.
    """
    page.goto(f"{url}/cards/fixture/{fixture}/type/")
    names = page.locator("#id_card option").all_inner_texts()
    missing = [name for name in names if "(" not in name and name not in NOT_TYPED]
    others = [name for name in missing if name not in ("Wilf Acornby", "Dorrick Pennywhisk")]
    best = sorted(others, key=lambda name: name != CAPTAIN)[:3]
    for name in best:
        page.goto(f"{url}/cards/fixture/{fixture}/type/")
        page.locator("#id_card").select_option(label=name)
        page.locator("#id_line").fill(ROUND)
        page.get_by_label("Both signatures seen").check()
        p.press(page, "Keep this card, go to the next")
    return best


def make_it_final(desk: Page, other: Page, url: str, fixture: str) -> None:
    """Nobody rules on a card of their own: if the secretary's is out, the captain does."""
    page = desk
    page.goto(f"{url}/fixtures/{fixture}/final/")
    if page.get_by_text("Your own card is among these").count():
        page = other
        p.sign_in(page, url, "hester@tarn-hollow.example", PASSWORD)
        page.goto(f"{url}/fixtures/{fixture}/final/")
    for box in page.get_by_role("checkbox", name=re.compile("No return for|Accept")).all():
        box.check()
    p.press(page, "Make the result final")
    expect(p.said(page)).to_contain_text("The result is final", timeout=20_000)
    desk.goto(f"{url}/results/{fixture}/")
    expect(desk.get_by_text("Final, version 1")).to_be_visible()


def as_proposed(page: Page, name: str) -> tuple[Decimal, Decimal]:
    """Old and new of one player; the sentence stands below it."""
    row = page.locator(".cut-row").filter(has=page.get_by_text(name, exact=True))
    expect(row).to_contain_text(re.compile(r"(First|Second|Third) with \d+ points\b"))
    old, new = row.locator(".choice .num").inner_text().split(" → ")
    return figure(old), figure(new)


def record(page: Page, url: str, name: str) -> str:
    """The address of a player's handicap record, as an officer finds it."""
    page.goto(f"{url}/players/")
    page.get_by_label("Name, number, e-mail or club").fill(name)
    p.press(page, "Find")
    page.get_by_role("link", name=name, exact=True).click()
    page.get_by_role("link", name=re.compile("^Every score")).click()
    return page.url


def another(page: Page, name: str, why: str, button: str, new: str = "") -> None:
    """Another figure for one player, or none, with a reason."""
    row = page.locator(".cut-row").filter(has=page.get_by_text(name, exact=True))
    row.locator("summary").click()
    if new:
        row.get_by_label("Handicap instead of").fill(new)
    row.get_by_label("Why", exact=True).fill(why)
    with page.expect_navigation():
        row.get_by_role("button", name=button).click()
    expect(page.locator("#waiting-h, #none-h")).to_be_visible()
    answered = page.get_by_role("listitem").filter(has_text=f"“{why}”")
    expect(answered).to_contain_text("Dorrick Pennywhisk")


def cut_of(page: Page) -> Locator:
    """What this result has changed by a cut, on the page of a record."""
    sentence = re.compile(r"(first|second|third) with \d+ points\b", re.IGNORECASE)
    lines = page.locator("#changes .row").filter(has_text=PLAYED)
    lines = lines.filter(has_text=sentence).filter(has_text=re.compile(r"\d shots? off"))
    return lines.filter(has_text=f"{p.today():%Y}")


def kept(page: Page, address: str, arrow: str, why: str = "") -> None:
    """The record has old → new, the event, the reason, and who wrote it."""
    page.goto(address)
    line = page.locator("#changes .row").filter(has_text=arrow)
    expect(line).to_contain_text(PLAYED)
    expect(line).to_contain_text(re.compile(r"(First|Second|Third) with \d+ points"))
    expect(line).to_contain_text("Written by Dorrick Pennywhisk")
    expect(line).to_contain_text(why)


def the_next_fixture(page: Page, url: str, name: str, new: str) -> None:
    """A fixture to come, whose handicaps are not taken, has the new figure and says why."""
    fixture = find(page, url, NEXT)
    page.goto(f"{url}/fixtures/{fixture}/entries/")
    choice = page.get_by_label("Player", exact=True)
    if name in [text.strip() for text in choice.locator("option").all_inner_texts()]:
        choice.select_option(label=name)
        p.press(page, "Enter this player")
    page.goto(f"{url}/fixtures/{fixture}/handicaps/")
    line = page.locator("main").get_by_role("row").filter(has_text=name)
    expect(line).to_contain_text(new)
    line.locator("summary").first.click()
    expect(line.get_by_text("first with")).to_be_visible()
