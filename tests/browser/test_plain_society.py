"""The plain society: one account, no e-mail, no draw, twenty-four paper cards, a final result."""

import random
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser import people as p
from tests.serving import manage, serving

FIRST = ("Alder", "Birch", "Cedar", "Damson", "Elder", "Fern", "Gorse", "Hazel")
LAST = ("Kettleworth", "Lanterby", "Mossgrave")
NAMES = [f"{first} {last}" for last in LAST for first in FIRST]


def cards() -> dict[str, list[int | None]]:
    """Twenty-four cards, the same each time: level with bogey, but for some holes."""
    chance = random.Random(24)
    found: dict[str, list[int | None]] = {}
    for name in NAMES:
        card = p.bogeys()
        for hole in chance.sample(range(18), 6):
            card[hole] = chance.choice([p.PAR[hole], p.PAR[hole], p.PAR[hole] + 2, None])
        found[name] = card
    return found


def points(card: list[int | None]) -> int:
    """Stableford off 18, a stroke at every hole: two for a bogey, none without a score.

    Rules of Golf, Rule 21.1b(1): nothing for two over the fixed score and worse, one for one over,
    two for the fixed score, and so on.
    """
    return sum(max(0, 3 + par - one) for par, one in zip(p.PAR, card, strict=True) if one)


def test_one_account_and_a_pile_of_paper(empty: Path, device: Callable[..., Page]) -> None:
    link = p.begun(empty)
    with serving(empty) as url:
        page = device()
        p.choose_password(page, url + link)
        p.add_course(page, url, "Millrace", [("Yellow", "men", p.MEN)])
        p.add_player(page, url, NAMES[0], "Men", "18.9")
        p.preview_import(page, url, [(name, "", "men", "18.9") for name in NAMES[1:]])
        p.press(page, "Save exactly this")
        p.start_season(page, url, "Season")
        fixture = p.plan_fixture(page, url, "Damson Bowl", "Stableford, 95 %")

        page.goto(f"{url}/fixtures/{fixture}/entries/played/")
        for name in NAMES:
            page.get_by_label(name, exact=True).check()
        p.press(page, "Keep this list")
        page.goto(f"{url}/fixtures/{fixture}/handicaps/")
        p.press(page, "Take 24 handicaps")

        pile = cards()
        type_the_pile(page, f"{url}/cards/fixture/{fixture}/type/", pile)

        page.goto(f"{url}/fixtures/{fixture}/final/")
        expect(page.get_by_text("All 24 cards are in and settled.")).to_be_visible()
        p.press(page, "Make the result final")
        page.goto(f"{url}/results/{fixture}/")
        expect(page.get_by_text("Final, version 1")).to_be_visible()
        shown = {name: total for _, name, total in p.standings(page)}
        assert shown == {name: str(points(card)) for name, card in pile.items()}

    assert p.society_file(empty, "SELECT count(*) FROM members_account") == [(1,)]
    assert p.society_file(empty, "SELECT count(*) FROM members_player WHERE email <> ''") == [(0,)]
    means = p.society_file(empty, "SELECT DISTINCT means, count(*) FROM cards_certificate")
    assert means == [("paper seen", 48)]
    told = manage(empty, "verify")
    assert told.returncode == 0, told.stderr


def type_the_pile(page: Page, address: str, pile: dict[str, list[int | None]]) -> None:
    """All cards without the mouse; the tick is set once and stays."""
    page.goto(address)
    scorer, began = p.Typist(page), time.monotonic()
    scorer.set_tick()
    left = dict(pile)
    while left:
        scorer.card(left.pop(scorer.whose()))
    expect(page.get_by_text("Every card is written.")).to_be_visible()
    seconds = (time.monotonic() - began) / len(pile)
    print(f"{scorer.keys / len(pile):.1f} keys and {seconds:.2f} seconds for each card")
