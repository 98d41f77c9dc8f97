"""The result page: pencil before it is final, the board after; nothing sent twice."""

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scoring.results.actions.ruling import rule
from scoring.results.actions.sealing import seal
from society.fixtures.models import Fixture
from society.members.models import Player
from tests.factories.cards import FIVES, FOURS, ready
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, competition_of, paper, played

pytestmark = pytest.mark.django_db


def address(fixture: Fixture, name: str = "show", *args: str) -> str:
    return reverse(f"results:{name}", args=[fixture.public_id, *args])


def page(client: Client, fixture: Fixture, query: str = "", **headers: str) -> str:
    response = client.get(address(fixture) + query, headers=headers)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def test_scores_so_far_say_how_many_cards_are_in(secretary: Client) -> None:
    html = page(secretary, played([FOURS, FIVES, None]))
    assert '<span class="num">2 of 3</span> cards in' in html
    assert "nothing here is final" in html
    assert "Cards still out" in html
    assert "Player C002" in html
    assert "on-board" not in html
    assert "is-final" not in html


def test_a_tie_is_told_under_the_upper_row_with_both_figures(secretary: Client) -> None:
    better_home = [5] * 9 + [4] * 9
    better_out = [4] * 9 + [5] * 9
    html = page(secretary, played([better_out, better_home]))
    # 18.0 on slope 120: 16 strokes of 95 %; both halves differ by nine points
    first = html.index("Player B001")
    assert (
        first
        < html.index('Won on holes <span class="num">10–18</span>')
        < html.index("Player A000")
    )
    assert html.count('<p class="why">') == 1


def test_in_the_middle_of_a_tie_it_says_what_put_one_ahead(secretary: Client) -> None:
    # 1.8 on slope 120, rating 70.1, par 72: course handicap 0.01, plays off 0; all pars make 36
    pars = [4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 3, 4, 5, 4, 4, 3, 4, 5]
    better_home = [*pars[:8], 6, *pars[9:17], 4]
    better_out = [*pars[:8], 4, *pars[9:17], 6]
    fixture = played([pars, better_home, better_out], indexes=["1.8"] * 3)
    html = re.sub(r"<[^>]+>", "", page(secretary, fixture))
    assert "Won on holes 10–18, 19 v 18 and 17" in html
    assert "Ahead of Player C002 on holes 10–18, 18 v 17" in html
    assert "Lost on" not in html


def test_those_who_share_a_place_are_joint(secretary: Client) -> None:
    html = page(secretary, played([FIVES, FIVES]))
    assert html.count('<span class="d">joint</span>') == 2
    assert html.count("the place is shared") == 2


def test_cards_not_settled_say_what_they_wait_for(secretary: Client) -> None:
    fixture = played([None, None])
    one, two = fixture.rounds.get().starts.order_by("pk")
    paper(one, FOURS, record="player")
    paper(two, FOURS, record="player")
    paper(two, FIVES, record="marker")
    html = page(secretary, fixture)
    assert "not signed yet" in html
    assert "queried" in html


def test_my_own_row_is_marked(member: Client, player: Player) -> None:
    fixture = saturday()
    mine = entered(fixture)
    mine.player = player
    mine.save()
    entered(fixture)
    for start in ready(fixture):
        paper(start, FIVES)
    html = page(member, fixture)
    assert html.count('<tbody class="is-mine">') == 1
    assert html.count('<span class="tag">you</span>') == 1


def test_a_final_result_stands_on_the_board_with_its_seal(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    version = seal(competition=competition_of(fixture), by=OFFICER, at=AT)
    html = page(secretary, fixture)
    assert "Final, version 1" in html
    assert f"{version.digest[:4]} {version.digest[4:8]}" in html
    assert "cards in" not in html
    assert html.count('<th class="m is-final"') == 2


def test_rulings_are_there_for_everyone(member: Client) -> None:
    fixture = played([FOURS, FIVES])
    rule(
        competition=competition_of(fixture), kind="disqualified", rule="3.3b(2)",
        entry=fixture.entries.order_by("pk").first(), words="the card was not signed",
        by=OFFICER, at=AT,
    )  # fmt: skip
    html = page(member, fixture)
    assert "Disqualified (Rule 3.3b(2))" in html
    assert "The card was not signed" in html
    assert reverse("results:rulings", args=[fixture.public_id]) not in html


def test_a_division_has_a_standing_of_its_own(secretary: Client) -> None:
    fixture = played([FOURS, FIVES, FIVES])
    fixture.entries.filter(player__name__endswith="1").update(divisions='["Seniors"]')
    html = page(secretary, fixture)
    assert 'href="?division=Seniors"' in html
    html = page(secretary, fixture, "?division=Seniors")
    assert "Player B001" in html
    assert "Player A000" not in html
    assert secretary.get(address(fixture) + "?division=Nobody").status_code == 404


def test_nothing_to_show_says_what_comes_next(secretary: Client) -> None:
    assert "No scores yet" in page(secretary, saturday())


def test_a_medal_without_a_score_on_a_hole_has_no_place(secretary: Client) -> None:
    fixture = played([FOURS, [*FOURS[:-1], None]], terms='{"format":"medal"}')
    html = page(secretary, fixture)
    assert "No return" in html
    assert ">Net</th>" in html


@pytest.mark.parametrize("terms", ["stableford", "par", "maximum_score", "modified_stableford"])
def test_every_format_has_its_page(secretary: Client, terms: str) -> None:
    fixture = played([FOURS, FIVES], terms=f'{{"format":"{terms}"}}')
    key = fixture.entries.first().key
    assert page(secretary, fixture)
    assert secretary.get(address(fixture, "card", key)).status_code == 200


# unchanged ---------------------------------------------------------------------------------


def test_an_unchanged_page_is_not_sent_again(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    secretary.get(address(fixture))  # brings the cookie that the forms of the page answer to
    first = secretary.get(address(fixture))
    tag = first.headers["ETag"]
    assert first.headers["Cache-Control"] == "private, no-cache"
    again = secretary.get(address(fixture), headers={"If-None-Match": tag})
    assert again.status_code == 304
    assert again.content == b""
    assert again.headers["ETag"] == tag


def test_any_deed_or_another_reader_makes_it_new(secretary: Client, captain: Client) -> None:
    fixture = played([FOURS, FIVES])
    for client in (secretary, captain):
        client.get(address(fixture))
    tag = secretary.get(address(fixture)).headers["ETag"]
    assert captain.get(address(fixture), headers={"If-None-Match": tag}).status_code == 200
    seal(competition=competition_of(fixture), by=OFFICER, at=AT)
    response = secretary.get(address(fixture), headers={"If-None-Match": tag})
    assert response.status_code == 200
    assert response.headers["ETag"] != tag


def test_a_page_that_says_something_once_is_never_kept(secretary: Client) -> None:
    fixture = played([FOURS, FIVES])
    address_ = address(fixture, "rulings")
    entry = fixture.entries.order_by("pk").first()
    tag = secretary.get(address(fixture)).headers["ETag"]
    made = secretary.post(
        address_, {"kind": "no_return", "entry": entry.key, "words": "never came in"}
    )
    assert made.status_code == 302
    response = secretary.get(address(fixture), headers={"If-None-Match": tag})
    assert "The ruling is made" in response.content.decode()
    assert "ETag" not in response.headers
    assert response.headers["Cache-Control"] == "no-store"


def statements(client: Client, fixture: Fixture) -> int:
    client.get(address(fixture))
    with CaptureQueriesContext(connection) as said:
        assert client.get(address(fixture)).status_code == 200
    return len(said)


def test_statements_do_not_depend_on_the_field(secretary: Client) -> None:
    small, large = played([FIVES, FOURS]), played([FIVES] * 30)
    assert statements(secretary, small) == statements(secretary, large)
    for fixture in (small, large):
        seal(competition=competition_of(fixture), by=OFFICER, at=AT)
    assert statements(secretary, small) == statements(secretary, large)


# one card ----------------------------------------------------------------------------------


def test_a_row_opens_into_the_card(secretary: Client) -> None:
    fixture = played([[None, *FIVES[1:]], FIVES], indexes=["12.3"])
    key = fixture.entries.order_by("pk").first().key
    assert f'hx-get="cards/{key}/"' in page(secretary, fixture)
    html = " ".join(secretary.get(address(fixture, "card", key)).content.decode().split())
    assert "<html" in html
    explained = r'<span class="word-note".*?</button></span>|<span class="vh">.*?</span>'
    words = re.sub(r"<[^>]+>", "", re.sub(explained, "", html))
    # Rules of Handicapping, Rule 6.1a; 12.3 x 120 / 113 + 70.1 - 72 worked out by hand
    for sentence in (
        "Course handicap: 12.3 × 120 ÷ 113 + (70.1 − 72) = 11.16",
        "Allowance: 95 % × 11.16 = 10.6",
        "10.6 to the nearest whole number, a half upwards.",
        "One shot on stroke index 1 to 11.",
        "from the association, valid from",
    ):
        assert sentence in words, sentence
    assert "no score: 0 points" in words
    part = secretary.get(address(fixture, "card", key), headers={"HX-Request": "true"})
    assert part.content.decode().lstrip().startswith('<div class="nines"')
    assert "HX-Request" in part.headers["Vary"]


def test_a_card_shows_its_rulings_and_what_the_countback_compared(secretary: Client) -> None:
    fixture = played([[5] * 9 + [4] * 9, [4] * 9 + [5] * 9])
    entry = fixture.entries.order_by("pk").first()
    rule(
        competition=competition_of(fixture), kind="penalty", entry=entry, hole=3, strokes=1,
        rule="9.4", words="moved at rest", by=OFFICER, at=AT,
    )  # fmt: skip
    html = secretary.get(address(fixture, "card", entry.key)).content.decode()
    assert "1 penalty stroke on hole 3" in html
    assert "Rule 9.4" in html


@pytest.mark.parametrize("key", ["nobody", "x" * 41])
def test_no_such_card(secretary: Client, key: str) -> None:
    fixture = played([FOURS])
    assert secretary.get(address(fixture, "card", key)).status_code == 404
    assert secretary.get(address(saturday(), "card", key)).status_code == 404


def test_the_stranger_signs_in_first(stranger: Client) -> None:
    fixture = played([FOURS])
    for name in ("show", "csv", "pdf"):
        assert stranger.get(address(fixture, name)).status_code == 302
    assert stranger.get(reverse("results:show", args=["nothing"])).status_code == 302


def test_no_such_fixture(secretary: Client) -> None:
    assert secretary.get(reverse("results:show", args=["nothing"])).status_code == 404


@pytest.mark.parametrize(("state", "words"), [("cancelled", "was cancelled"), ("void", "is void")])
def test_a_fixture_that_is_off_says_so(secretary: Client, state: str, words: str) -> None:
    assert f"This fixture {words}." in page(secretary, saturday(state=state))
