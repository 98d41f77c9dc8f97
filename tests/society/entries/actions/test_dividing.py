"""Divisions: written when handicaps are taken, for a late entry too, put right with a figure."""

from datetime import datetime
from decimal import Decimal
from fractions import Fraction

import pytest

from scoring.results.bridge import event_document
from scoring.results.queries.standings import provisional
from scoring.rules.divisions import DivideBy, Scheme, scheme_of
from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.entries.actions.dividing import set_divisions
from society.entries.actions.entering import enter
from society.entries.actions.freezing import correct_frozen, take_handicaps
from society.entries.models import Entry, Start
from society.fixtures.models import Fixture
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.cards import FIVES
from tests.factories.entries import entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory
from tests.factories.results import OFFICER, competition_of, paper

pytestmark = pytest.mark.django_db

BANDS = Scheme(DivideBy.BROUGHT, ("Division 1", "Division 2"), (Fraction("12.4"),))
HALVES = Scheme(DivideBy.BROUGHT, ("Division 1", "Division 2"), equal=True)


def division(entry: Entry) -> list[str]:
    entry.refresh_from_db()
    found = read_json(entry.divisions)
    assert isinstance(found, list)
    return found


def divided(scheme: Scheme, *indexes: str, at: datetime) -> tuple[Fixture, list[Entry]]:
    fixture = saturday()
    entries = [entered(fixture, index=index) for index in indexes]
    set_divisions(fixture=fixture, scheme=scheme, by=OFFICER, at=at)
    fixture.refresh_from_db()
    take_handicaps(fixture=fixture, by=OFFICER, at=at)
    return fixture, entries


def test_taking_handicaps_writes_everyones_division_on_the_entry(at: datetime) -> None:
    fixture, (low, edge, high) = divided(BANDS, "-1.2", "12.4", "12.5", at=at)
    assert [division(low), division(edge)] == [["Division 1"]] * 2
    assert division(high) == ["Division 2"]
    players = event_document(competition_of(fixture))["players"]
    assert players[high.key]["divisions"] == ["Division 2"]


def test_nobody_stands_in_a_division_before_handicaps_are_taken(at: datetime) -> None:
    fixture = saturday()
    entry = entered(fixture)
    set_divisions(fixture=fixture, scheme=BANDS, by=OFFICER, at=at)
    assert division(entry) == []


def test_a_late_entry_goes_by_the_figures_cut_from_the_field(at: datetime) -> None:
    fixture, entries = divided(HALVES, "8.0", "10.0", "20.0", "24.0", at=at)
    assert [division(entry)[0][-1] for entry in entries] == list("1122")
    late = PlayerFactory()
    handicap(late, "10.1")
    entry = enter(fixture=fixture, player=late, by=OFFICER, at=at)
    assert division(entry) == ["Division 2"]
    assert [division(entry)[0][-1] for entry in entries] == list("1122")


def test_a_corrected_handicap_moves_the_player_and_the_record_says_so(at: datetime) -> None:
    _, (entry, _) = divided(BANDS, "12.4", "20.0", at=at)
    correct_frozen(
        start=Start.objects.get(entry=entry),
        value=Decimal("13.0"),
        reason_class="wrong handicap",
        words="The card said 13.0",
        by=OFFICER,
        at=at,
    )
    assert division(entry) == ["Division 2"]
    line = AuditLine.objects.order_by("-number").values_list("changes", flat=True)[0]
    assert '"divisions":["Division 2"]' in line


def test_each_division_has_its_own_standing_and_places(at: datetime) -> None:
    fixture, _ = divided(BANDS, "8.0", "20.0", "24.0", at=at)
    for start in Start.objects.filter(round__fixture=fixture):
        paper(start, FIVES)
    found = provisional(competition_of(fixture)).answer["divisions"]
    assert {name: len(lists["standings"]) for name, lists in found.items()} == {
        "Division 1": 1,
        "Division 2": 2,
    }
    assert all(lists["standings"][0]["place"] == 1 for lists in found.values())


def test_categories_may_stand_beside_handicaps(at: datetime) -> None:
    scheme = Scheme(DivideBy.BROUGHT, BANDS.names, BANDS.tops, categories=True)
    _, (entry,) = divided(scheme, "8.0", at=at)
    assert division(entry) == ["Division 1", "Men"]


def test_playing_handicaps_divide_too(at: datetime) -> None:
    """Index 12.3, slope 120, rating 70.1, par 72 (our tee), 95 %: plays off 11."""
    scheme = Scheme(DivideBy.PLAYING, BANDS.names, (Fraction(10),))
    _, (entry,) = divided(scheme, "12.3", at=at)
    assert division(entry) == ["Division 2"]


def test_a_change_after_taking_needs_a_reason_and_moves_people(at: datetime) -> None:
    fixture, entries = divided(BANDS, "8.0", "20.0", "24.0", at=at)
    with pytest.raises(BadInput, match="Say why"):
        set_divisions(fixture=fixture, scheme=HALVES, by=OFFICER, at=at)
    moved = set_divisions(
        fixture=fixture, scheme=HALVES, words="Too few in division 1", by=OFFICER, at=at
    )
    assert moved == 1
    assert [division(entry)[0][-1] for entry in entries] == list("112")
    fixture.refresh_from_db()
    assert scheme_of(fixture.divisions).tops == (20,)
    set_divisions(fixture=fixture, scheme=None, words="Not worth it", by=OFFICER, at=at)
    assert [division(entry) for entry in entries] == [[]] * 3


def test_only_organisers_divide_and_only_before_the_end(at: datetime) -> None:
    fixture = saturday()
    with pytest.raises(NotYours):
        set_divisions(fixture=fixture, scheme=BANDS, by=Who(), at=at)
    ended = saturday(state="final")
    with pytest.raises(WrongState):
        set_divisions(fixture=ended, scheme=BANDS, by=OFFICER, at=at)
    broken = Scheme(DivideBy.BROUGHT, ("A", "B"))
    with pytest.raises(BadInput):
        set_divisions(fixture=fixture, scheme=broken, by=OFFICER, at=at)
