"""The organiser's pages with scripts switched off on every device: questions on entering, an
offered place, a swap that says what it breaks, divisions, side contests, twos, other rules tried.

The course is rated level with its par at slope 113, so a course handicap is the index: 95 % of 18.9
is 17.955, 18 strokes; 95 % of 5.0 is 4.75, 5 strokes, on stroke indexes 1 to 5 (Rules of
Handicapping 2024, Rules 6.1a and 6.2a). A net par is 2 points, each stroke better one more and
each worse one less (Rules of Golf 2023, Rule 21.1b).
"""

import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser import people as p
from tests.browser.conftest import PHONE
from tests.serving import serving

PLAYERS = (
    ("Ivo Marrable", "ivo@example.org", "men", "18.9"),
    ("Nan Underbough", "", "men", "5.0"),
    ("Piet Larkspindle", "", "men", "18.9"),
    ("Etta Pudlark", "", "men", "5.0"),
)

CARDS = {
    "Ivo Marrable": p.bogeys(h3=2),  # 36, and two points more for the two: 38
    "Nan Underbough": [2 if hole == 12 else par for hole, par in enumerate(p.PAR, 1)],  # 41 + 1
    "Piet Larkspindle": p.bogeys(),  # 36
    "Etta Pudlark": [5, *p.PAR[1:]],  # 41, less one for the bogey on the first
}
RESULT = [
    ("1", "Nan Underbough", "42"),
    ("2", "Etta Pudlark", "40"),
    ("3", "Ivo Marrable", "38"),
    ("4", "Piet Larkspindle", "36"),
]
# By place, the preset gives 25, 18, 15, 12. With 20 on top for nearest the pin Piet has 32.
MERIT = [
    ("1st", "Piet Larkspindle", "32, was 12"),
    ("2nd", "Nan Underbough", "25"),
    ("3rd", "Etta Pudlark", "18"),
    ("4th", "Ivo Marrable", "15"),
]


def test_questions_an_offer_and_the_kitchen_without_scripts(
    empty: Path, device: Callable[..., Page]
) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        page, phone = device(scripts=False), device(PHONE, scripts=False)
        fixture = ready(page, url, link, ahead=14)
        p.choose_password(phone, p.invite(page, url, "Ivo Marrable"))
        questions(page, f"{url}/fixtures/{fixture}")

        phone.goto(f"{url}/fixtures/{fixture}/")
        phone.get_by_role("link", name="Wait for a place").click()
        phone.get_by_label("Barley broth").check()
        phone.get_by_label("Diet or allergies").fill("No nuts")
        phone.get_by_label("I need a buggy").check()
        phone.get_by_label("Would like to play with").select_option("Etta Pudlark")
        phone.get_by_label("Later", exact=True).check()
        p.press(phone, "Wait for a place")
        expect(phone.get_by_role("heading", name="You are on the waiting list")).to_be_visible()

        gives_up_a_place(page, f"{url}/fixtures/{fixture}", "Piet Larkspindle")
        phone.goto(f"{url}/fixtures/{fixture}/")
        expect(phone.get_by_role("heading", name="A place is offered to you")).to_be_visible()
        p.press(phone, "Take the place")
        expect(phone.get_by_role("heading", name="You are in", exact=True)).to_be_visible()
        phone.get_by_role("link", name="Change what you asked for").click()
        expect(phone.get_by_label("Diet or allergies")).to_have_value("No nuts")
        phone.get_by_label("Leek pie").check()
        p.press(phone, "Keep these answers")

        page.goto(f"{url}/fixtures/{fixture}/entries/extras/")
        ivo = page.get_by_role("listitem").filter(has_text="Ivo Marrable")
        expect(ivo).to_contain_text("Leek pie")
        expect(ivo).to_contain_text("diet: No nuts")
        expect(ivo).to_contain_text("Etta Pudlark")
        expect(page.get_by_text("Barley broth")).to_have_count(0)


def ready(page: Page, url: str, link: str, *, ahead: int) -> str:
    """A society of four, a season, and a fixture so many days ahead; its own address."""
    p.choose_password(page, url + link)
    p.add_course(page, url, "Millrace", [("Yellow", "men", p.MEN)])
    p.preview_import(page, url, PLAYERS)
    p.press(page, "Save exactly this")
    p.start_season(page, url, "Season")
    return p.plan_fixture(page, url, "Beck Stableford", "Stableford, 95 %", ahead=ahead)


def questions(page: Page, fixture: str) -> None:
    """Two places, both taken; what is asked on entering; a free place is offered until an hour."""
    page.goto(f"{fixture}/change/")
    page.get_by_label("Places").fill("2")
    page.get_by_label("A free place is offered until").fill("20:00")
    for asked in (
        "A meal", "Diet or allergies", "A buggy, and with whom", "A playing partner",
        "Earlier or later",
    ):  # fmt: skip
        page.get_by_label(asked).check()
    page.get_by_label("Meals to choose from").fill("Barley broth\nLeek pie")
    p.press(page, "Save the fixture")
    page.goto(f"{fixture}/entries/")
    p.press(page, "Open entries")
    page.goto(f"{fixture}/entries/")
    for name in ("Piet Larkspindle", "Etta Pudlark"):
        page.get_by_label("Player", exact=True).select_option(name)
        p.press(page, "Enter this player")


def gives_up_a_place(page: Page, fixture: str, name: str) -> None:
    page.goto(f"{fixture}/entries/")
    page.get_by_role("link", name=f"Take out {name}").click()
    page.get_by_label("Withdrew: the place goes to the next in line").check()
    page.get_by_label("Why").fill("Telephoned")
    p.press(page, "Take out of the field")


def test_a_day_with_all_that_is_played_for_without_scripts(
    empty: Path, device: Callable[..., Page]
) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        page = device(scripts=False)
        fixture = ready(page, url, link, ahead=0)
        address = f"{url}/fixtures/{fixture}"
        page.goto(f"{address}/entries/played/")
        for name, *_ in PLAYERS:
            page.get_by_label(name, exact=True).check()
        p.press(page, "Keep this list")

        what_is_played_for(page, f"{address}/played-for/")
        page.goto(f"{address}/handicaps/")
        p.press(page, "Take 4 handicaps")
        draw_and_swap(page, f"{address}/draw/")
        nearest(page, f"{address}/played-for/", "Piet Larkspindle")
        type_the_cards(page, f"{url}/cards/fixture/{fixture}/type/")
        page.goto(f"{address}/final/")
        p.press(page, "Make the result final")
        read_the_result(page, f"{url}/results/{fixture}/")
        try_other_rules(page, f"{url}/merit/")


def what_is_played_for(page: Page, address: str) -> None:
    """Two divisions, nearest the pin on the third, twos at £2 for three of the four."""
    page.goto(address)
    page.locator("summary", has_text="Divide the field").click()
    page.get_by_role("combobox", name="Divisions").select_option("By bounds that you type")
    page.get_by_label("Highest handicap of each division but the last").fill("10.0")
    p.press(page, "Set the divisions")

    page.locator("summary", has_text="Add a side contest").click()
    page.get_by_role("combobox", name="Contest").select_option("Nearest the pin")
    page.get_by_role("combobox", name="Hole").select_option("3")
    p.press(page, "Add the contest")

    page.locator("summary", has_text="Have twos").click()
    page.get_by_label("What each pays who is in the twos").fill("2.00")
    p.press(page, "Set the amount")
    page.locator("summary", has_text="Who is in").click()
    for name in ("Ivo Marrable", "Piet Larkspindle", "Etta Pudlark"):
        page.get_by_label(name, exact=True).check()
    p.press(page, "Keep who is in")
    expect(page.get_by_role("region", name="Twos")).to_contain_text("3 of 4 in, at £2")


def draw_and_swap(page: Page, address: str) -> None:
    """Ivo and Piet are asked to be together; a swap says that it parts them before it is made."""
    page.goto(address)
    page.locator("summary", has_text="Groups and start").click()
    page.get_by_label("Players in a group").select_option("2")
    page.locator("summary", has_text="Who plays with whom").click()
    page.get_by_label("Player, line 1", exact=True).select_option("Ivo Marrable")
    page.get_by_label("The other player, line 1").select_option("Piet Larkspindle")
    p.press(page, "Make the draw")
    assert pairs(page) == {
        frozenset({"Ivo Marrable", "Piet Larkspindle"}),
        frozenset({"Nan Underbough", "Etta Pudlark"}),
    }
    for name in ("Ivo Marrable", "Nan Underbough"):
        page.get_by_role("checkbox", name=name).check()
    p.press(page, "Swap or move who is ticked")
    expect(page.locator("#picked")).to_contain_text(
        "Ivo Marrable and Piet Larkspindle were asked to be together, and would be apart."
    )
    p.press(page, "Swap the two")
    parted = {
        frozenset({"Nan Underbough", "Piet Larkspindle"}),
        frozenset({"Ivo Marrable", "Etta Pudlark"}),
    }
    assert pairs(page) == parted
    p.press(page, "Publish the draw")
    expect(page.get_by_text("Members see it.")).to_be_visible()


def pairs(page: Page) -> set[frozenset[str]]:
    groups = page.locator("section.group").all()
    return {frozenset(group.locator(".name").all_inner_texts()) for group in groups}


def nearest(page: Page, address: str, winner: str) -> None:
    page.goto(address)
    page.locator("summary", has_text="Write down who won").click()
    page.get_by_label("Winner").select_option(winner)
    page.get_by_label("Distance").fill("1.86 m")
    p.press(page, "Write it down")
    expect(page.get_by_role("region", name="Side contests")).to_contain_text(f"{winner}, 1.86 m")


def type_the_cards(page: Page, address: str) -> None:
    page.goto(address)
    scorer = p.Typist(page)
    scorer.set_tick()
    for _ in CARDS:
        scorer.card(CARDS[scorer.whose()])


def read_the_result(page: Page, address: str) -> None:
    """The whole field, each division by itself, the pin, and the pot: three at £2, one two."""
    page.goto(address)
    assert p.standings(page) == RESULT
    pin = page.get_by_role("listitem").filter(has_text="Nearest the pin")
    expect(pin).to_contain_text("Piet Larkspindle")
    expect(page.get_by_text("3 players at £2: £6. One two pays £6.")).to_be_visible()
    out = page.get_by_role("listitem").filter(has_text="not in the pot")
    expect(out).to_contain_text("Nan Underbough")
    page.get_by_role("link", name=re.compile("^Division 2")).click()
    assert p.standings(page) == [
        ("1", "Ivo Marrable", "38"),
        ("2", "Piet Larkspindle", "36"),
    ]


def try_other_rules(page: Page, address: str) -> None:
    """Who would move if nearest the pin gave twenty points; the table itself stays as it is."""
    page.goto(address)
    page.get_by_role("link", name="Set the rules").click()
    p.press(page, "Set these rules")
    before = page.locator("table.merit tbody").inner_text()
    page.get_by_role("link", name="Try other rules").click()
    page.locator("summary", has_text="On top").click()
    page.get_by_label("For each nearest the pin").fill("20")
    p.press(page, "See who would move")
    expect(page.get_by_role("heading", name="Four would move")).to_be_visible()
    rows = page.get_by_role("table", name="Places under both rules").locator("tbody tr").all()
    found = [
        (
            row.locator("th").inner_text(),
            row.locator("td b").inner_text(),
            row.locator("td.tot").inner_text(),
        )
        for row in rows
    ]
    assert found == MERIT
    page.goto(address)
    assert page.locator("table.merit tbody").inner_text() == before
