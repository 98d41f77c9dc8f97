"""What one player plays off, worked out on a page of its own and as a part of a list.

The tee of the factories has Slope 120, Course Rating 70.1 and par 72; the figures follow Rules of
Handicapping 2024, Rules 6.1a and 6.2a, worked out by hand: 18.0 x 120 / 113 - 1.9 = 17.215, and
95 per cent of that is 16.354.
"""

import re
from datetime import date, datetime

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from society.desk.printing.cards import printed_cards
from society.desk.queries.learn import fixture_lessons
from society.desk.queries.scorecards import scorecards
from society.entries.actions.freezing import take_handicaps
from society.entries.models import Entry
from society.fixtures.models import Fixture, Round, SeasonHandicaps
from society.web.who import Who
from tests.factories.courses import add_category, rated_tee
from tests.factories.entries import BY, THEN, entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.records import cut

pytestmark = pytest.mark.django_db
# what explains a word of the glossary, and words for the ear alone
EXPLAINED = r'<span class="word-note".*?</button></span>|<span class="vh">.*?</span>'
PART = {"HX-Request": "true"}


def address(fixture: Fixture, entry: Entry) -> str:
    return reverse("desk:plays_off", args=[fixture.public_id, entry.public_id])


def read(client: Client, fixture: Fixture, entry: Entry, **headers: str) -> str:
    """The page without its tags, on one line."""
    html = client.get(address(fixture, entry), headers=headers).content.decode()
    without = re.sub(EXPLAINED, "", html)
    return " ".join(re.sub(r"<[^>]+>", "", without).split())


def test_every_step_has_its_numbers_and_where_they_come_from(member: Client) -> None:
    fixture = saturday()
    entry = entered(fixture, index="18.0")
    words = read(member, fixture, entry)
    for sentence in (
        "Would play off 16",
        "Handicap index, from the association, valid from Thu 1 Jan 2026",
        "Course handicap: 18 × 120 ÷ 113 + (70.1 − 72) = 17.22",
        "Allowance: 95 % × 17.22 = 16.35",
        "16.35 to the nearest whole number, a half upwards.",
        "One shot on stroke index 1 to 16.",
        "As it would be taken today.",
    ):
        assert sentence in words, sentence


def test_a_list_fetches_the_part_alone(member: Client) -> None:
    fixture = saturday()
    entry = entered(fixture)
    response = member.get(address(fixture, entry), headers=PART)
    assert response.content.decode().lstrip().startswith('<div class="working"')
    assert "HX-Request" in response.headers["Vary"]


def test_a_plus_player_gives_shots_back(member: Client) -> None:
    fixture = saturday()
    # -1.2 x 120 / 113 - 1.9 = -3.174; 95 per cent of it -3.016
    words = read(member, fixture, entered(fixture, index="-1.2"))
    assert "Course handicap: −1.2 × 120 ÷ 113 + (70.1 − 72) = +3.17" in words
    assert "Gives one shot back on stroke index 16 to 18." in words


def test_a_course_handicap_needs_no_rating(member: Client) -> None:
    fixture = saturday(tee=rated_tee(rating=None), handicap_kind="course")
    entry = entered(fixture, index=None)
    handicap(entry.player, "14", kind="course", source="society")
    words = read(member, fixture, entry)
    assert "Course handicap, from the society" in words
    assert "Taken as it stands: no rating or slope is used." in words
    assert "÷ 113" not in words


def test_an_index_on_an_unrated_tee_is_said_to_be_lacking_a_rating(member: Client) -> None:
    fixture = saturday(tee=rated_tee(rating=None))
    words = read(member, fixture, entered(fixture))
    assert "Not to be worked out yet. The" in words
    assert "has no rating for men, so an index cannot be converted there" in words


def test_nine_holes_begin_with_half_the_index(member: Client) -> None:
    tee = rated_tee()
    tee.ratings.create(
        category="men", holes="second 9", valid_from="2020-01-01", course_rating="35.3",
        slope_rating=121,
    )  # fmt: skip
    fixture = saturday(tee=tee)
    Round.objects.filter(fixture=fixture).update(holes="second 9")
    words = read(member, fixture, entered(fixture, index="8.7"))
    # 8.7 / 2 = 4.35, to a tenth 4.4
    assert "Half the index: 8.7 ÷ 2 = 4.4" in words
    assert "4.4 × 121 ÷ 113 + (35.3 − " in words


def test_whoever_is_not_in_the_field_is_not_there(member: Client) -> None:
    fixture = saturday()
    gone = entered(fixture, step="withdrawn")
    assert member.get(address(fixture, gone)).status_code == 404


def test_two_categories_are_worked_out_each_from_their_own_rating(member: Client) -> None:
    tee = rated_tee()
    add_category(tee, category="women", rating="74.0", slope=130)
    fixture = saturday(tee=tee)
    fixture.rounds.get().tees.create(category="women", tee=tee)
    entry = entered(fixture, index="18.0", category="women")
    assert "18 × 130 ÷ 113 + (74 − 72)" in read(member, fixture, entry)


def test_statements_do_not_depend_on_the_field(member: Client) -> None:
    fixture = saturday()
    entry = entered(fixture)
    first = statements(member, address(fixture, entry))
    for _ in range(12):
        entered(fixture)
    assert statements(member, address(fixture, entry)) == first


def test_paper_and_lesson_call_a_figure_of_the_society_a_handicap(
    secretary: Client, machine: Who, at: datetime, society: object
) -> None:
    fixture = saturday(state="closed")
    played_off(fixture, '{"basis":"with cuts","maximum":{"men":20}}')
    cut(entered(fixture, index="12.0", name="Ida Cut").player, date(2026, 1, 2), ("-2.0", None))
    entered(fixture, index="18.0", name="Bo Plain")
    take_handicaps(fixture=fixture, by=machine, at=at)
    cards = scorecards(fixture, lambda entry: True)
    assert {card.name: (card.blank.brought, card.index) for card in cards} == {
        "Ida Cut": ("Handicap", "10.0"),
        "Bo Plain": ("Index", "18.0"),
    }
    html = printed_cards(fixture, cards, site="", at=at).html
    assert '<p class="k c2">Handicap</p>' in html
    assert '<p class="k c2">Index</p>' in html
    told = "Played off: the association’s index, with the society’s cuts on top"
    assert html.count(f"{told}; at most 20 for men.") == 2  # on each blank
    called = {one.name: (one.chain.called, one.chain.heading) for one in fixture_lessons(fixture)}
    assert called["Ida Cut"] == ("society handicap", "Handicap")
    assert called["Bo Plain"] == ("handicap index", "Index")
    page = secretary.get(reverse("desk:how_scored", args=[fixture.public_id])).content.decode()
    assert told in page


def played_off(fixture: Fixture, rules: str) -> None:
    """Set what the season of a fixture is played off."""
    SeasonHandicaps.objects.create(
        season=fixture.season, number=1, valid_from=date(2026, 1, 1), rules=rules, at=THEN, by=BY
    )


def statements(client: Client, url: str) -> int:
    with CaptureQueriesContext(connection) as caught:
        client.get(url)
    return len(caught)


def test_a_figure_of_the_society_is_not_called_an_index(member: Client, secretary: Client) -> None:
    """Only an association issues an index; what is worked out from cards, or capped, is ours."""
    fixture = saturday()
    played_off(fixture, '{"basis":"cards","maximum":{"men":20}}')
    plain = entered(fixture, index=None)
    handicap(plain.player, "14.0", source="cards")
    capped = entered(fixture, index=None)
    handicap(capped.player, "24.0", source="cards")
    words = read(member, fixture, plain)
    assert "Society handicap, from the cards, valid from Thu 1 Jan 2026" in words
    assert "Handicap index," not in words
    assert "The figure taken" in read(member, fixture, capped)
    html = secretary.get(reverse("desk:handicaps", args=[fixture.public_id])).content.decode()
    listed = " ".join(re.sub(r"<[^>]+>", "", re.sub(EXPLAINED, "", html)).split())
    assert "society handicap 14.0, cards from Thu 1 Jan 2026" in listed
    assert "society handicap 20.0, cards 24.0 of Thu 1 Jan 2026, at most 20" in listed


def test_an_index_with_cuts_or_a_maximum_says_so_on_the_list(secretary: Client) -> None:
    fixture = saturday()
    played_off(fixture, '{"basis":"with cuts","maximum":{"men":20}}')
    cut(entered(fixture, index="12.0").player, date(2026, 1, 2), ("-2.0", None))
    entered(fixture, index="28.4")
    html = secretary.get(reverse("desk:handicaps", args=[fixture.public_id])).content.decode()
    listed = " ".join(re.sub(r"<[^>]+>", "", re.sub(EXPLAINED, "", html)).split())
    assert "society handicap 10.0, association 12.0 of Thu 1 Jan 2026, with society cuts " in listed
    assert "society handicap 20.0, association 28.4 of Thu 1 Jan 2026, at most 20 " in listed
