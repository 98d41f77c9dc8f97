"""The spread of scores: every card in one heap, whatever the format; counted by hand."""

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from scoring.results.queries.standings import provisional
from scoring.results.tables.spread import MOST_BARS, heaps_of, spread_of
from tests.factories.results import competition_of, played, scoring

GROSS = '{"basis":"gross","format":"stableford"}'


@given(st.lists(st.integers(-12, 140), min_size=2, max_size=120))
def test_every_card_is_in_one_heap(totals: list[int]) -> None:
    heaps = heaps_of(totals)
    assert sum(count for _, _, count in heaps) == len(totals)
    assert len(heaps) <= MOST_BARS
    for (_, last, _), (first, _, _) in zip(heaps, heaps[1:], strict=False):
        assert first == last + 1
    for first, last, count in heaps:
        assert count == len([total for total in totals if first <= total <= last])


@pytest.mark.django_db
def test_the_picture_says_from_where_to_where_and_its_table_adds_up() -> None:
    fixture = played([scoring(points) for points in (30, 31, 31, 34)], terms=GROSS)
    picture = spread_of(provisional(competition_of(fixture)))
    assert picture is not None
    assert picture.words == "4 cards, from 30 to 34; at least half of them have 31 or more."
    assert picture.rows == (("30", "1"), ("31", "2"), ("32", "0"), ("33", "0"), ("34", "1"))
    assert picture.head == ("Points", "Cards")


@pytest.mark.django_db
def test_in_a_medal_fewer_is_better() -> None:
    rounds = [[4] * 18, [5] * 18, [4] * 17 + [5]]
    fixture = played(rounds, terms='{"basis":"gross","format":"medal"}')
    picture = spread_of(provisional(competition_of(fixture)))
    assert picture is not None
    assert "from 72 to 90; at least half of them have 73 or fewer." in picture.words
    assert picture.head[0] == "Gross"


@pytest.mark.django_db
@pytest.mark.parametrize("cards", [0, 1])
def test_one_card_is_no_spread(cards: int, secretary: Client) -> None:
    fixture = played([scoring(30)] * cards + [None])
    assert spread_of(provisional(competition_of(fixture))) is None
    page = secretary.get(reverse("results:spread", args=[fixture.public_id])).content.decode()
    assert "Fewer than two cards have a total" in page


@pytest.mark.django_db
def test_it_is_a_page_and_a_part_and_knows_its_divisions(secretary: Client) -> None:
    fixture = played([scoring(30), scoring(34)])
    address = reverse("results:spread", args=[fixture.public_id])
    page = secretary.get(address).content.decode()
    assert "<html" in page
    assert 'role="img"' in page
    part = secretary.get(address, headers={"HX-Request": "true"}).content.decode()
    assert part.lstrip().startswith('<div id="spread"')
    assert secretary.get(address, {"division": "Nobody"}).status_code == 404
