"""Two competitions of one fixture over the same cards: terms, fields, results, seals, merit."""

from dataclasses import replace
from datetime import datetime

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.actions.ruling import rule
from scoring.results.bridge import event_document
from scoring.results.models import ResultVersion
from scoring.results.queries.standings import provisional
from scoring.results.queries.versions import verify_seals
from society.desk.actions.final import make_final
from society.desk.queries.export import competition_to_export
from society.desk.queries.final import readiness_of
from society.desk.queries.results import results_of_player
from society.entries.actions.competing import (
    Contest,
    add_competition,
    change_competition,
    remove_competition,
)
from society.entries.models import Entry
from society.fixtures.actions.planning import change_fixture
from society.fixtures.bridge import plan_of
from society.fixtures.models import Competition, Fixture
from society.fixtures.queries import terms_of
from society.members.models import Letter
from society.merit.queries import results_of
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.cards import FIVES, FOURS, ready
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.results import OFFICER, competition_of, paper, played

pytestmark = pytest.mark.django_db

MEDAL = {"format": "medal", "allowance": 100}


def second(fixture: Fixture, at: datetime, **values: object) -> Competition:
    contest = Contest(**({"name": "Medal", "terms": MEDAL} | values))
    return add_competition(fixture=fixture, contest=contest, by=OFFICER, at=at)


def with_a_guest(at: datetime) -> tuple[Fixture, Competition]:
    """Two members and a guest, all cards in; the medal is for members only."""
    fixture = saturday()
    for name, kind in (("Ann", "member"), ("Ben", "member"), ("Guy", "guest")):
        entered(fixture, name=name, kind=kind)
    for start, card in zip(ready(fixture), (FIVES, [4] * 17 + [6], FOURS), strict=True):
        paper(start, card)
    medal = second(fixture, at, takes_part="members")
    return fixture, medal


def test_each_has_its_own_allowance_over_the_same_cards_and_handicaps(at: datetime) -> None:
    """Index 18.0, slope 120, rating 70.1, par 72: course handicap 17.22; 95 % 16, 100 % 17."""
    fixture, medal = with_a_guest(at)
    first = provisional(competition_of(fixture))
    other = provisional(medal)
    assert {row["playing_handicap"] for row in first.answer["standings"]} == {16}
    assert {row["playing_handicap"] for row in other.answer["standings"]} == {17}
    assert first.document["cards"].items() >= other.document["cards"].items()


def test_the_guest_wins_one_and_is_not_in_the_other(at: datetime) -> None:
    fixture, medal = with_a_guest(at)
    first = provisional(competition_of(fixture))
    other = provisional(medal)
    assert first.name_of(first.answer["standings"][0]["player"]) == "Guy"
    names = [other.name_of(row["player"]) for row in other.answer["standings"]]
    assert names == ["Ben", "Ann"]


def test_both_have_a_page_that_leads_to_the_other(secretary: Client, at: datetime) -> None:
    fixture, medal = with_a_guest(at)
    for address in (fixture.public_id, medal.public_id):
        html = secretary.get(reverse("results:show", args=[address])).content.decode()
        assert reverse("results:show", args=[fixture.public_id]) in html
        assert reverse("results:show", args=[medal.public_id]) in html
    html = secretary.get(reverse("results:show", args=[medal.public_id])).content.decode()
    assert "Guy" not in html
    assert reverse("results:pdf", args=[medal.public_id]) in html
    assert b"Ben" in secretary.get(reverse("results:csv", args=[medal.public_id])).content


def test_the_last_step_seals_both_and_both_seals_hold(at: datetime) -> None:
    fixture, medal = with_a_guest(at)
    versions = make_final(fixture=fixture, by=OFFICER, at=at)
    assert [version.competition for version in versions] == [competition_of(fixture), medal]
    assert len({version.digest for version in versions}) == 2
    assert list(verify_seals()) == []


def test_a_card_that_is_out_is_asked_for_once_and_ruled_on_in_both(at: datetime) -> None:
    fixture = saturday()
    for name, kind in (("Ann", "member"), ("Ben", "member"), ("Guy", "guest")):
        entered(fixture, name=name, kind=kind)
    paper(ready(fixture)[0], FIVES)
    guests = second(fixture, at, name="Guests", takes_part="guests")
    found = readiness_of(fixture, OFFICER, at)
    assert [card.name for card in found.out] == ["Ben", "Guy"]
    assert (found.cards_in, found.field_size) == (1, 3)
    make_final(fixture=fixture, no_return=[card.entry for card in found.out], by=OFFICER, at=at)
    assert competition_of(fixture).rulings.count() == 2
    assert guests.rulings.count() == 1


def test_a_competition_that_nobody_is_in_stands_in_no_ones_way(at: datetime) -> None:
    fixture = played([FIVES, FOURS])
    second(fixture, at, name="Guests", takes_part="guests")
    assert len(make_final(fixture=fixture, by=OFFICER, at=at)) == 1


def test_after_handicaps_are_taken_the_terms_are_frozen_with_the_reference_par(
    at: datetime,
) -> None:
    fixture = played([FIVES])
    medal = second(fixture, at)
    assert medal.frozen_at == at
    assert terms_of(medal)["reference_par"] == 72
    changed = Contest("Medal", MEDAL, "members")
    with pytest.raises(BadInput, match="Say why"):
        change_competition(competition=medal, contest=changed, by=OFFICER, at=at)
    row = change_competition(
        competition=medal, contest=changed, words="Members asked for it", by=OFFICER, at=at
    )
    assert (row.takes_part, terms_of(row)["reference_par"]) == ("members", 72)
    with pytest.raises(WrongState):
        remove_competition(competition=medal, by=OFFICER, at=at)


def test_the_first_keeps_name_and_terms_and_may_be_for_members_only(at: datetime) -> None:
    fixture = saturday()
    first = competition_of(fixture)
    row = change_competition(
        competition=first, contest=Contest("Other", MEDAL, "members", True), by=OFFICER, at=at
    )
    assert (row.name, row.terms, row.takes_part) == (first.name, first.terms, "members")
    with pytest.raises(WrongState):
        remove_competition(competition=row, by=OFFICER, at=at)


def test_before_that_it_may_be_taken_out_again(at: datetime) -> None:
    fixture = saturday()
    remove_competition(competition=second(fixture, at), by=OFFICER, at=at)
    assert fixture.competitions.count() == 1


def test_gross_beside_net_but_no_net_beside_gross_once_handicaps_are_taken(at: datetime) -> None:
    fixture = played([FIVES])
    gross = second(fixture, at, terms={"format": "medal", "basis": "gross"})
    assert event_document(gross)["terms"]["basis"] == "gross"
    scratch = played([FIVES], terms='{"basis":"gross","format":"medal"}', indexes=[None])
    with pytest.raises(WrongState, match="has to be there before"):
        second(scratch, at)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"name": " "}, "name"),
        ({"takes_part": "nobody"}, "takes_part"),
        ({"terms": {"format": "medal", "allowance": 101}}, "terms"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    values: dict[str, object], field: str, at: datetime
) -> None:
    with pytest.raises(BadInput) as refused:
        second(saturday(), at, **values)
    assert refused.value.field == field


def test_only_organisers_and_only_before_the_end(at: datetime) -> None:
    fixture = saturday()
    with pytest.raises(NotYours):
        add_competition(fixture=fixture, contest=Contest("Medal", MEDAL), by=Who(), at=at)
    with pytest.raises(WrongState):
        second(saturday(state="final"), at)


def test_a_ruling_stands_in_the_competition_it_was_made_for(at: datetime) -> None:
    fixture, medal = with_a_guest(at)
    entry = Entry.objects.get(fixture=fixture, player__name="Ann")
    rule(competition=medal, kind="disqualified", entry=entry, words="no", by=OFFICER, at=at)
    assert len(provisional(medal).answer["unplaced"]) == 1
    assert provisional(competition_of(fixture)).answer["unplaced"] == []
    assert ResultVersion.objects.count() == 0


def test_each_is_exported_by_number_or_name(at: datetime) -> None:
    fixture, medal = with_a_guest(at)
    for named in ("2", "medal"):
        assert competition_to_export(fixture.public_id, named) == medal
    assert competition_to_export(fixture.public_id) == competition_of(fixture)
    assert competition_to_export(fixture.public_id, "cup") is None


def test_a_players_page_tells_both_results(at: datetime) -> None:
    fixture, _ = with_a_guest(at)
    make_final(fixture=fixture, by=OFFICER, at=at)
    fixture.refresh_from_db()
    ann = Entry.objects.get(fixture=fixture, player__name="Ann").player
    assert results_of_player(ann.public_id, [fixture])[fixture.pk] == (
        "3rd, 34 points; Medal: 2nd, 73 net"
    )


def test_merit_counts_the_competitions_that_say_so(at: datetime) -> None:
    fixture, medal = with_a_guest(at)
    change_competition(
        competition=medal, contest=Contest("Medal", MEDAL, "members", True), words="It counts",
        by=OFFICER, at=at,
    )  # fmt: skip
    make_final(fixture=fixture, by=OFFICER, at=at)
    events = results_of(fixture.season).events
    assert [len(event.finishes) for event in events] == [3, 2]
    assert len({event.key for event in events}) == 2


def test_members_and_officers_read_what_the_cards_count_for(
    secretary: Client, at: datetime
) -> None:
    fixture, _ = with_a_guest(at)
    day = secretary.get(reverse("desk:fixture", args=[fixture.public_id])).content.decode()
    assert "Over the same cards, members only" in day
    cards = secretary.get(reverse("cards:in_out", args=[fixture.public_id])).content.decode()
    assert "and Medal." in cards


def test_the_holes_in_play_must_fit_every_competition(at: datetime) -> None:
    fixture = saturday()
    second(fixture, at, terms=MEDAL | {"countback": ["10-18"]})
    plan = replace(plan_of(fixture), holes="first 9", terms={"format": "stableford"})
    with pytest.raises(BadInput, match="The terms of Medal do not fit"):
        change_fixture(fixture=fixture, plan=plan, edited=fixture.edited, by=OFFICER, at=at)
    assert plan_of(fixture).holes == "18"


def test_the_letter_tells_a_reader_every_competition_played_in(at: datetime) -> None:
    fixture, medal = with_a_guest(at)
    make_final(fixture=fixture, by=OFFICER, at=at)
    told = {row.player.name: row.text for row in Letter.objects.filter(kind="result")}
    first = competition_of(fixture)
    assert f"{first.name}: You are " in told["Ann"]
    assert f"{medal.name}: You are 2nd" in told["Ann"]
    assert "of 2 with a place" in told["Ann"]
    assert f"{first.name}: You are 1st" in told["Guy"]
    assert f"{medal.name}:" not in told["Guy"]
