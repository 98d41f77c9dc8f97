"""One Saturday from an empty database to a sealed result, by hand, on a laptop and three phones.

Everybody but Rufus has an index of 18.9 on a course rated level with its par and of slope 113, so
the course handicap is 18.9 and 95 % of it, rounded once, is 18: a stroke at every hole, two points
for a bogey (Rules of Handicapping 6.1a, 6.2 and Appendix C; Rules of Golf 21.1b). Rufus, +1.2,
plays off -1.14, rounded -1, and gives a stroke back where the stroke index is 18 (Rules of
Handicapping 6.2b(iii)): level par is 35 points. The totals below are added up by hand.
"""

import json
import re
import subprocess
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser import people as p
from tests.browser.conftest import PHONE
from tests.needs import have
from tests.serving import manage, serving

PLAYERS = (
    ("Ada Fennimore", "ada@example.org", "women", "18.9"),
    ("Bram Oxtoby", "bram@example.org", "men", "18.9"),
    ("Cleo Wintergreen", "cleo@example.org", "women", "18.9"),
    ("Rufus Plumley", "", "men", "+1.2"),
    ("Dot Marrowby", "", "women", "18.9"),
    ("Enid Larchmont", "", "women", "18.9"),
    ("Fitz Gorringe", "", "men", "18.9"),
    ("Gus Tolliver", "", "men", "18.9"),
)
ADA = p.bogeys(h1=4, h8=5, h13=5)  # three pars: 39 points
BRAM = p.bogeys(h6=6, h11=6)  # two doubles: 34
CLEO = p.bogeys(h4=None, h9=6)  # picked up at the 4th, one double: 33
PAPER = {
    "Rufus Plumley": list(p.PAR),  # 35
    "Dot Marrowby": p.bogeys(h1=4, h18=6),  # 36, the last nine 17
    "Enid Larchmont": p.bogeys(h1=6, h18=4),  # 36, the last nine 19
    "Fitz Gorringe": p.bogeys(h2=4, h15=4),  # two pars: 38
}
RESULT = [
    ("1", "Ada Fennimore", "39"),
    ("2", "Fitz Gorringe", "38"),
    ("3", "Enid Larchmont", "36"),
    ("4", "Dot Marrowby", "36"),
    ("5", "Rufus Plumley", "35"),
    ("6", "Bram Oxtoby", "34"),
    ("7", "Cleo Wintergreen", "33"),
]


@dataclass
class Saturday:
    """What the chapters of the story share."""

    url: str
    file: Path
    laptop: Page
    phones: dict[str, Page] = field(default_factory=dict)
    fixture: str = ""

    def at(self, page: Page, place: str) -> None:
        """Go to a page of the fixture."""
        page.goto(f"{self.url}/{place.format(self.fixture)}")


def test_one_saturday(empty: Path, device: Callable[..., Page]) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        day = Saturday(url, empty, laptop=device())
        p.choose_password(day.laptop, url + link)
        course_and_players(day)
        for name in ("Ada Fennimore", "Bram Oxtoby", "Cleo Wintergreen"):
            day.phones[name.split()[0]] = invited(day, name, device(PHONE))
        season_and_fixture(day)
        entries(day)
        handicaps_and_draw(day)
        on_paper(day)
        two_phones_settle_a_difference(day)
        handed_over(day)
        sent_but_not_signed(day)
        typed_from_paper(day)
        scores_so_far(day)
        final(day)
        too_late(day.phones["Cleo"])
        season_points(day)
        agree_everywhere(day, tmp=empty.parent)


# before the day --------------------------------------------------------------------------------


def course_and_players(day: Saturday) -> None:
    page = day.laptop
    p.add_course(page, day.url, "Kettlemoor", [("White", "men", p.MEN), ("Red", "women", p.WOMEN)])
    p.preview_import(page, day.url, PLAYERS)
    rufus = page.get_by_role("listitem").filter(has_text="Rufus Plumley")
    expect(rufus).to_contain_text("plus 1.2")
    assert p.society_file(day.file, "SELECT count(*) FROM members_player") == [(0,)]
    p.press(page, "Save exactly this")
    assert p.society_file(day.file, "SELECT count(*) FROM members_player") == [(8,)]

    p.preview_import(page, day.url, PLAYERS)  # the same file again
    expect(page.get_by_text("Nothing to save.")).to_be_visible()
    expect(page.get_by_role("button", name="Save exactly this")).to_have_count(0)


def invited(day: Saturday, name: str, phone: Page) -> Page:
    """The player's own phone, signed in by the link that the secretary handed over."""
    p.choose_password(phone, p.invite(day.laptop, day.url, name))
    return phone


def season_and_fixture(day: Saturday) -> None:
    page = day.laptop
    p.start_season(page, day.url, f"Season {p.today().year}")
    page.goto(f"{day.url}/merit/")
    page.get_by_role("link", name="Set the rules").click()
    page.get_by_label("The Stableford total itself").check()
    p.press(page, "Set these rules")
    day.fixture = p.plan_fixture(page, day.url, "Lantern Plate", "Stableford, 95 %", places=7)
    day.at(page, "fixtures/{}/")
    expect(page.get_by_text("The Playing Handicap is 95% of the Course Handicap")).to_be_visible()


def entries(day: Saturday) -> None:
    page, ada, bram = day.laptop, day.phones["Ada"], day.phones["Bram"]
    day.at(page, "fixtures/{}/entries/")
    p.press(page, "Open entries")
    day.at(page, "fixtures/{}/entries/")
    for name, *_ in PLAYERS[2:]:  # the secretary enters six of the seven places
        page.get_by_label("Player", exact=True).select_option(name)
        p.press(page, "Enter this player")

    thumb = season_page(day, ada)
    thumb.tap("button", "^Enter")
    reads(ada, "You are in")
    assert thumb.taps <= 2

    thumb = season_page(day, bram)
    thumb.tap("button", "^Wait for a place")
    reads(bram, "You are on the waiting list")

    thumb = season_page(day, ada)
    thumb.tap("link", "^Withdraw")
    thumb.tap("button", "^Withdraw")
    assert thumb.taps <= 2
    season_page(day, ada)
    reads(ada, "You have not entered yet")
    season_page(day, bram)
    reads(bram, "You are in")  # the free place was his

    season_page(day, ada).tap("button", "^Wait for a place")
    reads(ada, "You are on the waiting list")
    day.at(page, "fixtures/{}/change/")
    page.get_by_label("Places").fill("8")
    p.press(page, "Save the fixture")
    season_page(day, ada)
    reads(ada, "You are in")

    day.at(page, "fixtures/{}/entries/")
    p.press(page, "Close entries")
    day.at(page, "fixtures/{}/entries/")
    expect(page.get_by_text("8 of 8")).to_be_visible()


def reads(phone: Page, words: str) -> None:
    """What the season page says of the next fixture to the one who holds the phone."""
    next_one = phone.get_by_role("region", name="Lantern Plate")
    expect(next_one.get_by_text(words, exact=True)).to_be_visible()


def season_page(day: Saturday, phone: Page) -> p.Thumb:
    """Taps are counted from here."""
    phone.goto(day.url)
    return p.Thumb(phone)


def handicaps_and_draw(day: Saturday) -> None:
    page = day.laptop
    day.at(page, "fixtures/{}/handicaps/")
    p.press(page, "Take 8 handicaps")
    rufus = page.get_by_role("row").filter(has_text="Rufus Plumley")
    expect(rufus.get_by_role("rowheader")).to_have_text("+1")

    day.at(page, "fixtures/{}/draw/")
    p.press(page, "Make the draw")
    seed = page.locator("#draw-facts b").first.inner_text()
    assert re.fullmatch(r"\d{5}", seed), seed
    page.get_by_role("link", name="Repeat it now").click()
    expect(page.get_by_text("Repeated just now: the same groups.")).to_be_visible()

    # The secretary puts Ada and Bram together: first and second of a four swap cards.
    partner = pairs(page)["Ada Fennimore"]
    one, other = ("Bram Oxtoby", partner) if partner != "Bram Oxtoby" else ("Dot Marrowby", "")
    other = other or next(
        name for name in pairs(page) if name not in (one, "Ada Fennimore", partner)
    )
    for name in (one, other):
        page.get_by_role("checkbox", name=name).check()
    expect(page.get_by_role("heading", name=re.compile(r"^Swap .*\?$"))).to_be_visible()
    page.get_by_label("Why").first.fill("they share a car")
    p.press(page, "Swap the two")
    changed = page.get_by_role("region", name="Changed since the draw")
    expect(changed).to_contain_text("they share a car")
    assert pairs(page)["Ada Fennimore"] == "Bram Oxtoby"
    p.press(page, "Publish the draw")
    expect(page.get_by_text("Members see it.")).to_be_visible()


def pairs(page: Page) -> dict[str, str]:
    """Who swaps cards with whom, read from the groups of four on the page."""
    found = {}
    for group in page.locator("section.group").all():
        names = group.locator(".name").all_inner_texts()
        assert len(names) == 4, names
        for at, name in enumerate(names):
            found[name] = names[at ^ 1]
    return found


def on_paper(day: Saturday) -> None:
    for paper in ("start-sheet.pdf", "cards.pdf"):
        answer = p.printed(day.laptop, f"{day.url}/fixtures/{day.fixture}/{paper}")
        if have("pdf"):
            assert answer.status == 200
            assert answer.body().startswith(b"%PDF")
        else:
            assert answer.status == 503


# on the course and after it --------------------------------------------------------------------


def two_phones_settle_a_difference(day: Saturday) -> None:
    """Ada writes her card, Bram writes it as he saw it; at the fifth they differ."""
    ada, bram = day.phones["Ada"], day.phones["Bram"]
    open_card(day, ada, "Your card")
    p.write_card(ada, ADA)
    p.send_card(ada)
    expect(ada.locator("#sign")).to_contain_text("39 points")

    open_card(day, bram, "Ada’s card|Ada Fennimore’s card")
    expect(bram.locator("main")).to_contain_text("Ada Fennimore")
    bram.get_by_role("link", name="Write your own figures instead").click()
    p.write_card(bram, [*ADA[:4], 6, *ADA[5:]])
    p.send_card(bram)
    bram.get_by_role("link", name="Compare and settle").click()
    expect(bram.get_by_role("group", name=re.compile("^Par 4, 1 shot"))).to_have_count(1)
    bram.get_by_label(re.compile("Ada wrote")).check()
    p.press(bram, "Use this figure")
    p.press(bram, "Certify Ada’s card")

    open_card(day, ada, "Your card")
    expect(ada.locator("#sign")).to_contain_text("Bram Oxtoby")
    p.press(ada, "Certify your card")
    expect(ada.locator(".tag", has_text="Returned")).to_be_visible()


def open_card(day: Saturday, phone: Page, title: str) -> None:
    phone.goto(f"{day.url}/cards/")
    phone.get_by_role("link", name=re.compile(f"^({title})$")).click()
    phone.wait_for_load_state()


def handed_over(day: Saturday) -> None:
    """Bram's card: he hands his phone to Ada, who signs with her own four digits."""
    phone = day.phones["Bram"]
    open_card(day, phone, "Your card")
    p.write_card(phone, BRAM)
    p.send_card(phone)
    p.press(phone, "Certify your card")
    phone.get_by_text("Hand this phone to Ada").tap()
    box = phone.get_by_role("textbox", name="The four digits of Ada")
    box.fill(digits_of(day, "Bram Oxtoby"))
    p.press(phone, "Certify as marker")  # his own digits are not hers
    expect(phone.get_by_role("alert").first).to_contain_text("not the four digits")
    box.fill(digits_of(day, "Ada Fennimore"))
    p.press(phone, "Certify as marker")
    expect(phone.locator(".tag", has_text="Returned")).to_be_visible()


def digits_of(day: Saturday, name: str) -> str:
    """The digits that stand on the printed card."""
    found = p.society_file(
        day.file,
        "SELECT s.digits FROM entries_start s JOIN entries_entry e ON e.id = s.entry_id"
        " JOIN members_player m ON m.id = e.player_id WHERE m.name = ?",
        name,
    )
    return str(found[0][0])


def sent_but_not_signed(day: Saturday) -> None:
    """Cleo sends her card and puts the phone away; neither she nor her marker certifies it."""
    phone = day.phones["Cleo"]
    open_card(day, phone, "Your card")
    p.write_card(phone, CLEO)
    p.send_card(phone)


def typed_from_paper(day: Saturday) -> None:
    """Four paper cards without the mouse; of Gus there is none."""
    page = day.laptop
    day.at(page, "cards/fixture/{}/type/")
    scorer, left = p.Typist(page), dict(PAPER)
    scorer.set_tick()
    while left:
        name = scorer.pass_over(until=left)
        scorer.card(left.pop(name))
        expect(page.get_by_text(f"Just typed: {name}")).to_be_visible()


def scores_so_far(day: Saturday) -> None:
    page = day.laptop
    day.at(page, "results/{}/")
    expect(page.locator("#so-far")).to_contain_text("7 of 8 cards in")
    expect(page.get_by_role("region", name="Cards still out")).to_contain_text("Gus Tolliver")
    assert p.standings(page) == RESULT
    tie = page.locator("tbody").filter(has_text="Enid Larchmont").locator(".why")
    expect(tie).to_contain_text("19")
    expect(tie).to_contain_text("17")


def final(day: Saturday) -> None:
    page = day.laptop
    day.at(page, "fixtures/{}/final/")
    p.press(page, "Make the result final")  # both lists want an answer
    expect(page.get_by_role("alert").first).to_be_visible()
    page.get_by_label("No return for this card").check()
    page.get_by_label("Accept it as written").check()
    p.press(page, "Make the result final")
    day.at(page, "results/{}/")
    expect(page.get_by_text("Final, version 1")).to_be_visible()
    assert p.standings(page) == RESULT
    expect(page.get_by_role("region", name="Without a place")).to_contain_text("Gus Tolliver")


def too_late(phone: Page) -> None:
    """Cleo finds the phone in her bag, puts the 9th right and sends the card again."""
    phone.get_by_label("Strokes on hole 9, par 4").fill("5")
    p.press(phone, "Keep these figures")
    expect(p.said(phone)).to_contain_text("The result is final. Your figures are kept")


def season_points(day: Saturday) -> None:
    page = day.laptop
    page.goto(f"{day.url}/merit/")
    rows = page.locator("table.merit tbody tr").all()
    points = {row.locator(".name").inner_text(): row.locator(".tot").inner_text() for row in rows}
    assert points == {name: total for _, name, total in RESULT}


def agree_everywhere(day: Saturday, tmp: Path) -> None:
    """The page, the paper, the file, the export and the commands say the same."""
    page = day.laptop
    day.at(page, "results/{}/")
    shown = page.locator(".seal").get_by_text(re.compile(r"^[0-9a-f]{4} [0-9a-f]{4}$")).inner_text()
    ((digest,),) = p.society_file(day.file, "SELECT digest FROM results_resultversion")
    assert str(digest).startswith(shown.replace(" ", ""))
    if have("pdftotext") and have("pdf"):
        paper = tmp / "result.pdf"
        made = p.printed(page, f"{day.url}/results/{day.fixture}/result.pdf")
        paper.write_bytes(made.body())
        text = subprocess.run(
            ["pdftotext", "-layout", str(paper), "-"], capture_output=True, text=True, check=True
        ).stdout
        assert shown in text
        assert str(digest) in re.sub(r"\s", "", text)

    verified = manage(day.file, "verify")
    assert verified.returncode == 0, verified.stderr
    event = tmp / "event.json"
    assert manage(day.file, "export_event", day.fixture, "--out", str(event)).returncode == 0
    scored = manage(day.file, "score", str(event), "--format", "json")
    assert scored.returncode == 0, scored.stderr
    answer = json.loads(scored.stdout)
    listed = [(str(row["place"]), row["name"], str(row["total"])) for row in answer["standings"]]
    assert listed == p.standings(page)
