"""A season from the calendar as it is pasted to the title: three days played, each to its final
result, one result put right after it was out, the season sealed, and what is refused from then on.

Everyone brings 18.9 to a course rated level with its par at slope 113: a course handicap of 18.9,
95 % of it 17.955, so 18 strokes, one on each hole. A bogey is a net par, 2 points; a par is a net
birdie, 3 points (Rules of Golf 2023, Rule 21.1b; allowance for individual Stableford: Rules of
Handicapping 2024, Appendix C). Eighteen bogeys make 36, every par one point more.
"""

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
# How many pars each makes on the three days, in the order of NAMES.
PARS = {
    "First Card": (0, 1, 2, 3, 4, 5),
    "Beck Plate": (2, 3, 4, 5, 0, 1),
    "Last Card": (4, 5, 0, 1, 2, 3),
}
# The two best count, and Last Card is a major that counts double. Alder: 36, 38 and 2 × 40, so
# 38 + 80; Birch: 37, 39 and 2 × 41; Cedar: 38, 40, 72; Damson: 39, 41, 74; Elder: 40, 36, 76;
# Fern: 41, 37, 78.
BEFORE = [
    ("1", "Birch Lanterby", "121"),
    ("2", "Fern Hobblethwaite", "119"),
    ("3", "Alder Kettleworth", "118"),
    ("4", "Elder Applecroak", "116"),
    ("5", "Damson Fennimore", "115"),
    ("6", "Cedar Mossgrave", "112"),
]
# Two penalty strokes on the first hole of Last Card make a net birdie of Birch's par a net bogey,
# 1 point for 3: 39 there, so 39 + 2 × 39.
AFTER = [
    ("1", "Fern Hobblethwaite", "119"),
    ("2", "Alder Kettleworth", "118"),
    ("3", "Birch Lanterby", "117"),
    *BEFORE[3:],
]
# Last Card itself, before and after. Birch and Fern are then level on 39: Birch has 1 3 3 3 3 2 2
# 2 2 on the first nine, Fern 3 3 3 and six times 2, and both two points on every hole from the
# tenth. So the last nine, six, three holes and the last part nobody, and the last six holes of
# the first nine do: holes 4-9, 14 against 12 (matching scorecards: Committee Procedures 5A(6), in
# the Official Guide to the Rules of Golf 2023; that it goes on to the first nine is common
# practice, no source).
DAY_BEFORE = [("1", "Birch Lanterby", "41"), ("2", "Alder Kettleworth", "40")]
DAY_AFTER = [
    ("1", "Alder Kettleworth", "40"),
    ("2", "Birch Lanterby", "39"),
    ("3", "Fern Hobblethwaite", "39"),
]
CHANGED = {
    "Alder Kettleworth 2nd, 40 1st, 40 gains",
    "Birch Lanterby 1st, 41 2nd, 39 loses",
}
WHY = "A ball was played from the wrong place on the first hole"


def test_from_pasted_calendar_to_sealed_season(empty: Path, device: Callable[..., Page]) -> None:
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
        set_the_rules(page, url)
        for name in DAYS_AGO:
            play(page, url, name)
        page.goto(f"{url}/merit/")
        assert table(page) == BEFORE

        put_right(page, url, "Last Card", "Birch Lanterby")
        page.goto(f"{url}/merit/")
        assert table(page) == AFTER

        seal(page)
        after_the_title(page, url)


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


def set_the_rules(page: Page, url: str) -> None:
    """The Stableford totals, the two best of the season, the last day a major that counts twice."""
    page.goto(f"{url}/merit/")
    page.get_by_role("link", name="Set the rules").click()
    page.get_by_label("The Stableford total itself").check()
    page.get_by_label("How many scores count").fill("2")
    page.locator("summary", has_text="Weights and majors").click()
    page.get_by_label(re.compile("^Last Card, (?!.*times)")).select_option("Major")
    page.get_by_label("Majors times").fill("2")
    p.press(page, "Set these rules")
    expect(page.get_by_text("Majors: Last Card; their points count times 2.")).to_be_visible()


def play(page: Page, url: str, name: str) -> None:
    """One day from the list of who played to the final result, by the secretary alone."""
    fixture = find(page, url, name)
    page.goto(f"{url}/fixtures/{fixture}/entries/played/")
    for player in NAMES:
        page.get_by_label(player, exact=True).check()
    p.press(page, "Keep this list")
    page.goto(f"{url}/fixtures/{fixture}/handicaps/")
    p.press(page, f"Take {len(NAMES)} handicaps")
    page.goto(f"{url}/cards/fixture/{fixture}/type/")
    scorer = p.Typist(page)
    scorer.set_tick()
    for _ in NAMES:
        pars = PARS[name][NAMES.index(scorer.whose())]
        scorer.card(p.bogeys(**{f"h{hole}": p.PAR[hole - 1] for hole in range(1, 1 + pars)}))
    page.goto(f"{url}/fixtures/{fixture}/final/")
    p.press(page, "Make the result final")
    page.goto(f"{url}/results/{fixture}/")
    expect(page.get_by_text("Final, version 1")).to_be_visible()


def find(page: Page, url: str, name: str) -> str:
    """The address of a fixture, as the organiser finds it."""
    page.goto(f"{url}/organise/")
    page.get_by_role("link", name=name, exact=True).first.click()
    fixture = re.search(r"/fixtures/(\w+)/", page.url)
    assert fixture
    return fixture[1]


def table(page: Page) -> list[tuple[str, str, str]]:
    """The season table as it is read: place, name, total."""
    rows = page.locator("table.merit tbody tr").all()
    return [
        (
            row.locator("th .n").inner_text(),
            row.locator(".name").inner_text(),
            row.locator("td.score").first.inner_text(),
        )
        for row in rows
    ]


def put_right(page: Page, url: str, name: str, player: str) -> None:
    """A penalty that comes to light after the result is out: opened again with a reason, ruled,
    compared, sealed as version 2."""
    fixture = find(page, url, name)
    page.goto(f"{url}/results/{fixture}/")
    assert p.standings(page)[:2] == DAY_BEFORE
    page.goto(f"{url}/fixtures/{fixture}/reopen/")
    page.get_by_label("A ruling after play").check()
    page.get_by_label("Why").fill(WHY)
    p.press(page, "Open the result again")
    page.goto(f"{url}/results/{fixture}/rulings/")
    page.get_by_label("Ruling", exact=True).select_option("Penalty strokes on a hole")
    page.get_by_label("Player").select_option(player)
    page.get_by_label("Hole, for penalty strokes").select_option("1")
    page.get_by_label("How many strokes or points").fill("2")
    page.get_by_label("Rule number").fill("14.7a")
    page.get_by_label("Reason").fill("Played from a wrong place")
    p.press(page, "Make the ruling")
    page.goto(f"{url}/fixtures/{fixture}/reopen/")
    expect(page.get_by_text("Fern Hobblethwaite: 1st, 119 points")).to_be_visible()
    p.press(page, "Seal the next version")
    page.goto(f"{url}/results/{fixture}/")
    expect(page.get_by_text("Final, version 2")).to_be_visible()
    assert p.standings(page)[:3] == DAY_AFTER
    page.get_by_role("link", name="Version 2", exact=True).click()
    expect(page.get_by_text(f"A ruling after play. {WHY}")).to_be_visible()
    changed = page.get_by_role("region", name="What changed").get_by_role("row")
    told = {" ".join(row.split()) for row in changed.all_inner_texts()}
    assert told >= CHANGED


def seal(page: Page) -> None:
    """Before the title is given."""
    page.get_by_role("link", name="Seal the season").click()
    p.press(page, "Seal the season")
    expect(page.get_by_text("Final, version 1").first).to_be_visible()


def after_the_title(page: Page, url: str) -> None:
    """The season page names the title. The same season is not sealed twice, its rules do not change
    without a reason, and what is changed with one is told and moves nobody."""
    page.goto(url)
    title = page.locator(".on-board", has_text="Order of merit, final")
    expect(title.get_by_role("listitem")).to_have_text(
        [re.compile(rf"{place}\s*{name}\s*{total}") for place, name, total in AFTER[:3]]
    )

    page.goto(f"{url}/merit/")
    page.get_by_role("link", name="Seal the season again").click()
    page.get_by_label("Why").fill("Pressed once more")
    p.press(page, "Seal the season as version 2")
    refused(page, "Nothing has changed since this season was sealed.")

    page.goto(f"{url}/merit/")
    page.get_by_role("link", name="Change the rules").click()
    expect(page.get_by_text("This season is sealed.")).to_be_visible()
    page.get_by_label("How many scores count").fill("1")
    p.press(page, "Set these rules")
    refused(page, "This season is sealed: say why its rules change.")
    page.goto(f"{url}/merit/")
    assert table(page) == AFTER
    page.get_by_role("link", name="Change the rules").click()
    expect(page.get_by_label("How many scores count")).to_have_value("2")
    page.get_by_label("How many scores count").fill("1")
    page.get_by_label("Why").fill("Asked for at the meeting")
    p.press(page, "Set these rules")
    expect(page.get_by_text("The sealed one stands until an officer")).to_be_visible()
    assert table(page) == AFTER


def refused(page: Page, sentence: str) -> None:
    """The page comes back with the sentence first, where the reader's focus is."""
    summary = page.get_by_role("alert")
    expect(summary).to_contain_text(sentence)
