"""A day with scripts switched off on every device: slower to the hand, and nothing is missing."""

from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

from tests.browser import people as p
from tests.browser.conftest import PHONE
from tests.serving import serving

PLAYERS = (
    ("Ivo Marrable", "ivo@example.org", "men", "18.9"),
    ("Nan Underbough", "", "men", "18.9"),
    ("Piet Larkspindle", "", "men", "18.9"),
    ("Etta Pudlark", "", "men", "18.9"),
)


def test_a_day_without_scripts(empty: Path, device: Callable[..., Page]) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        page, phone = device(scripts=False), device(PHONE, scripts=False)
        fixture = made_ready(page, url, link)
        p.choose_password(phone, p.invite(page, url, "Ivo Marrable"))

        phone.goto(url)
        p.press(phone, "Enter")
        next_one = phone.get_by_role("region", name="Beck Stableford")
        expect(next_one.get_by_text("You are in", exact=True)).to_be_visible()

        close_and_draw(page, f"{url}/fixtures/{fixture}")
        swap(page, "Ivo Marrable", "Nan Underbough")
        p.press(page, "Publish the draw")
        expect(page.get_by_text("Members see it.")).to_be_visible()

        own_card(phone, url)
        paper_card(page, f"{url}/cards/fixture/{fixture}/type/")
        page.goto(f"{url}/results/{fixture}/")
        expect(page.locator("#so-far")).to_contain_text("2 of 4 cards in")


def made_ready(page: Page, url: str, link: str) -> str:
    """The society, its players and a fixture whose entries are open; three are in."""
    p.choose_password(page, url + link)
    p.add_course(page, url, "Millrace", [("Yellow", "men", p.MEN)])
    p.preview_import(page, url, PLAYERS)
    p.press(page, "Save exactly this")
    p.start_season(page, url, "Season")
    fixture = p.plan_fixture(page, url, "Beck Stableford", "Stableford, 95 %")
    page.goto(f"{url}/fixtures/{fixture}/entries/")
    p.press(page, "Open entries")
    page.goto(f"{url}/fixtures/{fixture}/entries/played/")
    for name, *_ in PLAYERS[1:]:
        page.get_by_label(name, exact=True).check()
    p.press(page, "Keep this list")
    return fixture


def close_and_draw(page: Page, fixture: str) -> None:
    page.goto(f"{fixture}/entries/")
    p.press(page, "Close entries")
    page.goto(f"{fixture}/handicaps/")
    p.press(page, "Take 4 handicaps")
    page.goto(f"{fixture}/draw/")
    page.get_by_text("Groups and start").click()
    page.get_by_label("Players in a group").select_option("2")
    p.press(page, "Make the draw")


def swap(page: Page, one: str, other: str) -> None:
    """Put two players in each other's place; if they drew one group, another takes part."""
    groups = [group.all_inner_texts() for group in names_by_group(page)]
    if any(one in group and other in group for group in groups):
        other = next(group[0] for group in groups if one not in group)
    for name in (one, other):
        page.get_by_role("checkbox", name=name).check()
    p.press(page, "Swap or move who is ticked")
    p.press(page, "Swap the two")
    changed = page.get_by_role("region", name="Changed since the draw")
    expect(changed).to_contain_text(one)
    expect(changed).to_contain_text(other)
    exchange = {one: other, other: one}
    expected = [[exchange.get(name, name) for name in group] for group in groups]
    assert [group.all_inner_texts() for group in names_by_group(page)] == expected


def names_by_group(page: Page) -> list[Locator]:
    return [group.locator(".name") for group in page.locator("section.group").all()]


def own_card(phone: Page, url: str) -> None:
    """A word in a box is refused where it stands; put right, the card arrives and is certified."""
    phone.goto(f"{url}/cards/")
    phone.get_by_role("link", name="Your card", exact=True).click()
    p.write_card(phone, [*p.bogeys()[:6], None, *p.bogeys()[7:]])
    phone.get_by_label("Strokes on hole 2, par 4").fill("five")
    p.press(phone, "Keep these figures")
    expect(phone.locator("#wrong-2")).to_be_visible()
    expect(phone.get_by_label("Strokes on hole 3, par 3")).to_have_value("4")  # nothing is lost
    phone.get_by_label("Strokes on hole 2, par 4").fill("5")
    p.send_card(phone)
    expect(phone.locator("#sign")).to_contain_text("34 points")
    p.press(phone, "Certify your card")
    expect(phone.locator("#sign")).to_contain_text("player, certified")


def paper_card(page: Page, address: str) -> None:
    page.goto(address)
    scorer = p.Typist(page)
    name = scorer.pass_over(until=[name for name, *_ in PLAYERS[1:]])
    scorer.card(p.bogeys())
    expect(page.get_by_text(f"Just typed: {name}, 36 points")).to_be_visible()
