"""The document of a competition says what stands, in a constant number of statements."""

import json
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring.results.actions.ruling import rule
from scoring.results.bridge import event_document, sealed_document
from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.strict_json import canonical, read_json, write_document
from society.entries.models import EntryStep
from society.fixtures.models import Fixture
from tests.factories.cards import FIVES, FOURS
from tests.factories.courses import rated_tee
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, competition_of, played

pytestmark = pytest.mark.django_db


def keys(fixture: Fixture) -> list[str]:
    return [entry.key for entry in fixture.entries.order_by("pk")]


def test_the_document_of_two_cards() -> None:
    fixture = played([FOURS, None], indexes=["12.3", "-1.2"], name="April medal")
    one, two = keys(fixture)
    document = event_document(competition_of(fixture))
    tee = fixture.rounds.get().course_cards.get().key
    assert document["event"] == {"name": "April medal", "date": "2026-04-18"}
    assert document["terms"] == {"format": "stableford", "allowance": 95}
    assert document["players"] == {
        one: {"name": "Player A000", "tee": tee, "handicap_index": Decimal("12.3")},
        two: {"name": "Player B001", "tee": tee, "handicap_index": Decimal("-1.2")},
    }
    assert document["tees"][tee]["course_rating"] == Decimal("70.1")
    assert document["tees"][tee]["slope_rating"] == 120
    assert sum(document["tees"][tee]["par"]) == 72
    assert document["cards"] == {one: FOURS}
    assert "rulings" not in document


def test_without_names_each_player_goes_by_the_key() -> None:
    fixture = played([FOURS])
    document = event_document(competition_of(fixture), names=False)
    assert [(key, player["name"]) for key, player in document["players"].items()] == [
        (keys(fixture)[0], keys(fixture)[0])
    ]


def test_the_engine_takes_what_is_written_to_a_file() -> None:
    fixture = played([FOURS, FIVES, None], indexes=["12.3", "20.0", "5.0"])
    document = event_document(competition_of(fixture))
    again = read_json(write_document(document))
    assert score(read_event(again)) == score(read_event(document))
    assert write_document(again) == write_document(document)


def test_a_seals_inputs_are_read_back_whole() -> None:
    terms = '{"allowance":92.5,"format":"stableford"}'
    fixture = played([FOURS, FIVES], indexes=["12.3", "-0.4"], terms=terms)
    document = event_document(competition_of(fixture), names=False)
    kept = canonical(document)
    assert '"handicap_index":"12.3"' in kept
    assert sealed_document(kept) == document


@pytest.mark.parametrize("broken", ["[]", "{}", '{"terms":[],"tees":{},"players":{}}'])
def test_other_text_is_no_document(broken: str) -> None:
    with pytest.raises(ValueError, match="no event document"):
        sealed_document(broken)


@pytest.mark.parametrize("step", ["withdrawn", "absent", "waiting"])
def test_who_holds_no_place_is_not_in_the_field(step: str) -> None:
    fixture = played([FOURS, FIVES])
    gone = fixture.entries.order_by("pk").last()
    EntryStep.objects.create(entry=gone, kind=step, at=AT, by=OFFICER.as_json())
    document = event_document(competition_of(fixture))
    assert list(document["players"]) == list(document["cards"]) == keys(fixture)[:1]


@pytest.mark.parametrize(("takes_part", "kept"), [("members", [0]), ("guests", [1])])
def test_whom_the_competition_is_for(takes_part: str, kept: list[int]) -> None:
    fixture = played([FOURS, FIVES])
    fixture.entries.filter(key=keys(fixture)[1]).update(as_member=False)
    competition = competition_of(fixture)
    competition.takes_part = takes_part
    assert list(event_document(competition)["players"]) == [keys(fixture)[at] for at in kept]


@pytest.mark.parametrize(("holes", "first"), [("first 9", 1), ("second 9", 10)])
def test_nine_holes_are_the_nine_in_play(holes: str, first: int) -> None:
    fixture = saturday()
    fixture.rounds.update(holes=holes)
    played([FOURS[:9]], fixture=fixture)
    start = fixture.rounds.get().starts.get()
    start.first_hole = first + 4
    start.save()
    rule_on_hole = first + 2
    rule(
        competition=competition_of(fixture), kind="penalty", entry=start.entry, hole=rule_on_hole,
        strokes=2, words="moved the ball", by=OFFICER, at=AT,
    )  # fmt: skip
    document = event_document(competition_of(fixture))
    (tee,) = document["tees"].values()
    pars = [4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 3, 4, 5, 4, 4, 3, 4, 5]
    assert tee["par"] == pars[first - 1 : first + 8]
    assert document["players"][keys(fixture)[0]]["first_hole"] == 5
    assert document["rulings"][0]["hole"] == 3
    read_event(document)


def test_gross_on_an_unrated_tee_needs_no_handicap() -> None:
    tee = rated_tee(rating=None)
    fixture = played([FOURS], tee=tee, terms='{"basis":"gross","format":"medal"}')
    document = event_document(competition_of(fixture))
    assert "handicap_index" not in document["players"][keys(fixture)[0]]
    assert score(read_event(document))["standings"][0]["total"] == 72


def test_a_course_and_a_playing_handicap_keep_their_kind() -> None:
    fixture = played([FOURS, FOURS], indexes=[None, None])
    start = fixture.rounds.get().starts.order_by("pk").last()
    first = start.frozen.get()
    start.frozen.create(
        number=2, kind="course", value=Decimal("14.5"), tee=first.tee, category=first.category,
        course_card=first.course_card, at=AT, by=OFFICER.as_json(),
    )  # fmt: skip
    one, two = event_document(competition_of(fixture))["players"].values()
    assert one["playing_handicap"] == 18
    assert type(one["playing_handicap"]) is int
    assert two["course_handicap"] == Decimal("14.5")


def test_a_corrected_card_of_the_course_counts_for_all() -> None:
    fixture = played([FOURS, FIVES])
    old = fixture.rounds.get().course_cards.get()
    card = json.loads(old.card) | {"slope_rating": 113}
    new = fixture.rounds.get().course_cards.create(
        tee=old.tee, category=old.category, number=2, card=canonical(card), at=AT,
        by=OFFICER.as_json(),
    )  # fmt: skip
    document = event_document(competition_of(fixture))
    assert list(document["tees"]) == [new.key]
    assert document["tees"][new.key]["slope_rating"] == 113


def statements(count: int) -> int:
    fixture = played([FIVES] * count)
    competition = competition_of(fixture)
    with CaptureQueriesContext(connection) as said:
        assert len(event_document(competition)["cards"]) == count
    return len(said)


def test_the_number_of_statements_does_not_depend_on_the_field() -> None:
    assert statements(1) == statements(3) == statements(30) <= 10
