"""Taking handicaps: who is taken, who is listed, what is frozen, how it is corrected."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.courses.models import Rating, TeeHole
from society.entries.actions import drawing, freezing
from society.entries.bridge.draws import groups_of
from society.entries.bridge.handicaps import handicap_lines
from society.entries.bridge.tees import card_text, tee_of
from society.entries.models import CourseCard, Entry, Frozen, Start
from society.entries.queries import (
    current_course_cards,
    handicaps_taken,
    missing_handicaps,
    standing_frozen,
)
from society.entries.rules.draw import DrawMethod
from society.fixtures.models import Competition, Fixture, RoundTee
from society.fixtures.queries import terms_of, the_competition, the_round
from society.handicaps.models import HandicapEntry
from society.members.queries import who_for
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import NOBODY
from tests.factories.courses import rated_tee
from tests.factories.entries import entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, OfficeFactory

pytestmark = pytest.mark.django_db
MEDAL = '{"allowance":95,"format":"medal"}'


def lower_par(tee, *, category: str = "men", by: int = 2) -> None:
    """Make fours threes, so that the tee's par falls by so many."""
    rows = TeeHole.objects.filter(tee=tee, category=category, par=4)[:by]
    TeeHole.objects.filter(pk__in=[row.pk for row in rows]).update(par=3)


def two_tees(fixture: Fixture) -> None:
    """A second tee of the same course, for women, two strokes lower in par."""
    round_ = the_round(fixture)
    tee = rated_tee(category="women", course=round_.course, rating="69.0", slope=118)
    lower_par(tee, category="women")
    RoundTee.objects.create(round=round_, category="women", tee=tee)


def figures(fixture: Fixture) -> dict[str, int]:
    return {line.entry.key: line.plays.playing for line in handicap_lines(fixture) if line.plays}


def test_everyone_is_taken_and_whoever_lacks_a_handicap_is_listed(at, machine):
    fixture = saturday()
    has = [entered(fixture, index=value) for value in ("12.3", "-1.2")]
    without = entered(fixture, index=None, name="Bare Latimer")
    entered(fixture, step="waiting")
    taken = freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert [entry.pk for entry in taken.taken] == [entry.pk for entry in has]
    (lacking,) = taken.lacking
    assert lacking.entry.pk == without.pk
    assert "No index" in lacking.words
    assert handicaps_taken(fixture)
    assert missing_handicaps(fixture) == [without]
    frozen = standing_frozen(the_round(fixture))
    assert {row.value for row in frozen.values()} == {Decimal("12.3"), Decimal("-1.2")}
    assert {row.number for row in frozen.values()} == {1}
    assert all(row.source_entry.player_id == row.start.entry.player_id for row in frozen.values())
    assert Start.objects.count() == 2
    card = CourseCard.objects.get()
    assert {row.course_card_id for row in frozen.values()} == {card.pk}
    kept = read_json(card.card)
    assert (kept["course_rating"], kept["slope_rating"], sum(kept["par"])) == ("70.1", 120, 72)
    assert the_competition(fixture).frozen_at == at
    assert AuditLine.objects.get().deed == "handicaps taken"


def test_playing_handicaps_are_the_engines(at, machine):
    # Rules of Handicapping 2024, Rules 6.1a and 6.2a: index x 120 / 113 + (70.1 - 72), then 95 %:
    # 12.3 -> 11.1619... -> 10.60 -> 11; 36.0 -> 36.3301 -> 34.51 -> 35; +1.2 -> -3.1743 -> -3.02
    fixture = saturday()
    for index in ("12.3", "36.0", "-1.2"):
        entered(fixture, index=index)
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert sorted(figures(fixture).values()) == [-3, 11, 35]


def test_the_line_in_force_on_the_day_by_kind_and_source_is_taken(at, machine):
    fixture = saturday()
    entry = entered(fixture, index="18.0")
    handicap(entry.player, "9.0", source="society")
    HandicapEntry.objects.create(
        player=entry.player,
        kind="index",
        value=Decimal("17.1"),
        source="association",
        valid_from=date(2026, 4, 18),
        at=at,
        by="{}",
    )
    HandicapEntry.objects.create(
        player=entry.player,
        kind="index",
        value=Decimal("16.0"),
        source="association",
        valid_from=date(2026, 4, 19),
        at=at,
        by="{}",
    )
    fixture.season.handicap_source = "association"
    fixture.season.save()
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert Frozen.objects.get().value == Decimal("17.1")


def test_the_fixture_may_ask_for_another_kind_than_the_season(at, machine):
    fixture = saturday(handicap_kind="playing", handicap_source="society")
    entry = entered(fixture, index="18.0")
    handicap(entry.player, "14.0", kind="playing", source="society")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    frozen = Frozen.objects.get()
    assert (frozen.kind, frozen.value) == ("playing", Decimal("14.0"))
    assert figures(fixture) == {entry.key: 14}


def test_taken_again_only_those_who_were_missing(at, machine):
    fixture = saturday()
    entered(fixture)
    bare = entered(fixture, index=None)
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    before = list(Frozen.objects.values())
    handicap(bare.player, "20.0")
    taken = freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert taken.taken == (bare,)
    assert taken.lacking == ()
    assert list(Frozen.objects.exclude(start__entry=bare).values()) == before
    assert CourseCard.objects.count() == 1
    with pytest.raises(WrongState, match="taken already"):
        freezing.take_handicaps(fixture=fixture, by=machine, at=at)


def test_an_index_on_an_unrated_tee_is_listed_with_a_sentence(at, machine):
    fixture = saturday(tee=rated_tee(rating=None))
    entered(fixture)
    with pytest.raises(WrongState, match="no rating for men, so an index cannot be converted"):
        freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert not handicaps_taken(fixture)
    assert CourseCard.objects.count() == 0


def test_a_rating_and_a_figure_valid_only_after_the_day_are_said(at, machine):
    fixture = saturday()
    entered(fixture, name="Ada")
    late = entered(fixture, index=None, name="Bea")
    handicap(late.player, "12.0", valid_from=date(2026, 5, 1))
    ada, bea = handicap_lines(fixture)
    assert ada.lacks == ""
    assert bea.lacks == "No index in force on the day. The first is valid from 1 May 2026."
    Rating.objects.update(valid_from=date(2026, 4, 20))
    ada, bea = handicap_lines(fixture)
    assert "tee is rated for men from 20 April 2026 on, after the day of play" in ada.lacks
    with pytest.raises(WrongState, match="Nobody's handicap can be taken yet"):
        freezing.take_handicaps(fixture=fixture, by=machine, at=at)


def test_a_course_handicap_needs_no_rating(at, machine):
    fixture = saturday(tee=rated_tee(rating=None), handicap_kind="course")
    entry = entered(fixture, index=None)
    handicap(entry.player, "20.0", kind="course")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert figures(fixture) == {entry.key: 19}  # 95 % of 20


def test_whoever_has_no_tee_is_listed(at, machine):
    fixture = saturday()
    entered(fixture)
    entered(fixture, category="women")
    (lacking,) = freezing.take_handicaps(fixture=fixture, by=machine, at=at).lacking
    assert lacking.words == "No tee is set for women."


def test_gross_play_asks_for_no_handicap(at, machine):
    fixture = saturday(terms='{"basis":"gross","format":"medal"}', tee=rated_tee(rating=None))
    entered(fixture, index=None)
    entered(fixture, index="7.0")
    taken = freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert len(taken.taken) == 2
    assert {(row.kind, row.value, row.reason_class) for row in Frozen.objects.all()} == {
        ("playing", Decimal(0), "none needed")
    }


@pytest.mark.parametrize(
    ("terms", "expected"),
    [
        (MEDAL, 70),
        ('{"format":"maximum_score"}', 70),
        ('{"basis":"gross","format":"medal"}', 70),
        ('{"format":"stableford"}', None),
        ('{"format":"par"}', None),
        ('{"different_par":false,"format":"medal"}', None),
    ],
)
def test_the_reference_par_is_set_where_the_document_allows_it(terms, expected, at, machine):
    # event document, terms.reference_par; Rules of Handicapping, Rule 6.2b
    fixture = saturday(terms=terms)
    two_tees(fixture)
    entered(fixture)
    entered(fixture, category="women")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert terms_of(the_competition(fixture)).get("reference_par") == expected


def test_whoever_is_still_missing_counts_for_the_reference_par(at, machine):
    fixture = saturday(terms=MEDAL)
    two_tees(fixture)
    entered(fixture)
    late = entered(fixture, index=None, category="women")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert terms_of(the_competition(fixture))["reference_par"] == 70
    handicap(late.player, "20.0")
    assert freezing.take_handicaps(fixture=fixture, by=machine, at=at).taken == (late,)


def test_the_strokes_of_rule_6_2b_are_in_the_figures(at, machine):
    fixture = saturday(terms=MEDAL)
    two_tees(fixture)
    man = entered(fixture, index="12.3")
    entered(fixture, index="18.0", category="women")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert figures(fixture)[man.key] == 11 + 2  # par 72 less reference par 70


def test_a_late_entry_is_taken_as_it_enters(at, machine):
    fixture = saturday()
    entered(fixture)
    late = entered(fixture)
    freezing.take_handicaps(fixture=fixture, only=[Entry.objects.first()], by=machine, at=at)
    frozen = freezing.freeze_entry(entry=late, by=machine, at=at)
    assert (frozen.number, frozen.reason_class) == (1, "late entry")
    assert freezing.freeze_entry(entry=late, by=machine, at=at) == frozen


def test_before_handicaps_are_taken_an_entry_freezes_nothing(at, machine):
    fixture = saturday()
    assert freezing.freeze_entry(entry=entered(fixture), by=machine, at=at) is None
    assert Frozen.objects.count() == 0


def test_a_late_entry_on_a_tee_of_lower_par_is_refused_with_both_figures(at, machine):
    fixture = saturday(terms=MEDAL)
    man = entered(fixture, index="12.3")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert figures(fixture)[man.key] == 11
    two_tees(fixture)
    late = entered(fixture, category="women", name="Late Latimer")
    with pytest.raises(WrongState, match="has par 70, below the reference par 72"):
        freezing.freeze_entry(entry=late, by=machine, at=at)
    assert freezing.freeze_entry(entry=late, refuse=False, by=machine, at=at) is None
    with pytest.raises(BadInput):
        freezing.set_reference_par(fixture=fixture, par=70, words="", by=machine, at=at)
    with pytest.raises(BadInput, match="lowest par in use is 72"):
        freezing.set_reference_par(fixture=fixture, par=73, words="Late", by=machine, at=at)
    moved = freezing.set_reference_par(
        fixture=fixture, par=70, words="Late entry from the red tee.", by=machine, at=at
    )
    assert moved == 1
    assert freezing.freeze_entry(entry=late, by=machine, at=at).number == 1
    assert figures(fixture)[man.key] == 13
    line = AuditLine.objects.get(deed="reference par set")
    assert line.reason == "Late entry from the red tee."


def test_an_officer_types_the_figure_of_somebody_missing(at, machine):
    fixture = saturday(handicap_source="association")
    entered(fixture)
    bare = entered(fixture, index=None)
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    frozen = freezing.give_handicap(
        entry=bare, value=Decimal("21.4"), source="committee", by=machine, at=at
    )
    assert (frozen.value, frozen.source_entry.source) == (Decimal("21.4"), "committee")
    assert frozen.source_entry.valid_from == fixture.starts_on
    assert missing_handicaps(fixture) == []


def test_a_typed_figure_counts_for_its_own_entry_only(at, machine):
    fixture = saturday(handicap_source="association")
    bare = entered(fixture, index=None)
    handicap(bare.player, "9.9", source="committee")  # an old line, not typed for this day
    assert handicap_lines(fixture)[0].lacks
    given = {"entry": bare, "value": Decimal("21.4"), "source": "committee"}
    with pytest.raises(BadInput, match=r"Say why 9\.9 becomes 21\.4"):
        freezing.give_handicap(**given, by=machine, at=at)
    freezing.give_handicap(**given, words="three cards seen", by=machine, at=at)
    assert handicap_lines(fixture)[0].value == Decimal("21.4")


def test_a_guest_plays_off_the_figure_stated(at, machine):
    fixture = saturday(handicap_source="association")
    guest = entered(fixture, index=None, kind="guest")
    handicap(guest.player, "24.0", source="stated")
    member = entered(fixture, index=None)
    handicap(member.player, "24.0", source="stated")
    lines = {line.entry.pk: line for line in handicap_lines(fixture)}
    assert lines[guest.pk].value == Decimal("24.0")
    assert lines[member.pk].lacks == "No index from the association in force on the day."


@pytest.mark.parametrize(
    ("value", "source"), [("54.1", "stated"), ("-10.1", "stated"), ("12.0", "association")]
)
def test_an_impossible_typed_figure_is_refused(value, source, at, machine):
    fixture = saturday()
    bare = entered(fixture, index=None)
    with pytest.raises(BadInput):
        freezing.give_handicap(entry=bare, value=Decimal(value), source=source, by=machine, at=at)
    assert HandicapEntry.objects.count() == 0


def test_a_correction_is_number_two_with_a_reason(at, machine):
    fixture = saturday()
    entry = entered(fixture, index="18.0")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    start = Start.objects.get(entry=entry)
    frozen = freezing.correct_frozen(
        start=start,
        value=Decimal("16.8"),
        reason_class="wrong handicap",
        words="The record was a week old.",
        by=machine,
        at=at,
    )
    assert (frozen.number, frozen.value, frozen.source_entry) == (2, Decimal("16.8"), None)
    assert frozen.reason == "The record was a week old."
    assert Frozen.objects.count() == 2
    assert standing_frozen(the_round(fixture))[entry.pk] == frozen
    changes = AuditLine.objects.get(deed="handicap corrected").changes
    assert '"16.8"' in changes
    assert '"18.0"' in changes


def test_another_tee_is_a_correction_too(at, machine):
    fixture = saturday()
    entry = entered(fixture, index="18.0")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    yellow = rated_tee(course=the_round(fixture).course, rating="68.0", slope=110)
    frozen = freezing.correct_frozen(
        start=Start.objects.get(entry=entry),
        tee=yellow,
        reason_class="wrong tee",
        words="Played the yellow tee.",
        by=machine,
        at=at,
    )
    assert frozen.tee == yellow
    assert frozen.source_entry is not None
    assert Start.objects.get(entry=entry).tee == yellow
    assert len(current_course_cards(the_round(fixture))) == 2


@pytest.mark.parametrize(
    "wrong",
    [
        {"words": " "},
        {"reason_class": "because"},
        {"value": Decimal("18.0")},  # what is frozen already
        {"value": Decimal("60")},
    ],
)
def test_a_correction_without_reason_or_sense_is_refused(wrong, at, machine):
    fixture = saturday()
    entered(fixture, index="18.0")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    told = {"value": Decimal("16.0"), "reason_class": "wrong handicap", "words": "Why."} | wrong
    with pytest.raises(BadInput):
        freezing.correct_frozen(start=Start.objects.get(), by=machine, at=at, **told)
    assert Frozen.objects.count() == 1


def test_the_own_handicap_is_put_right_by_another_officer_or_before_a_witness(society, at):
    """A frozen figure moves the own result as much as a ruling does."""
    fixture = saturday()
    entry = entered(fixture, index="18.0")
    account = AccountFactory(players=[entry.player])
    OfficeFactory(account=account, role="captain")
    by = who_for(account, at)
    freezing.take_handicaps(fixture=fixture, by=by, at=at)
    told = {
        "start": Start.objects.get(),
        "value": Decimal("28.0"),
        "reason_class": "wrong handicap",
        "words": "An old record.",
        "by": by,
        "at": at,
    }
    with pytest.raises(BadInput, match="witness"):
        freezing.correct_frozen(**told)
    alone = freezing.correct_frozen(**told, witness="Ida Penhallow")
    assert alone.reason == "An old record. (own handicap, done alone; witness: Ida Penhallow)"
    OfficeFactory(role="secretary")
    with pytest.raises(NotYours, match="another officer"):
        freezing.correct_frozen(**told | {"value": Decimal("38.0")}, witness="Ida Penhallow")
    assert Frozen.objects.count() == 2


def test_an_organiser_may_pick_another_tee_before(at, machine):
    fixture = saturday()
    entry = entered(fixture)
    yellow = rated_tee(course=the_round(fixture).course, rating="68.0", slope=110)
    freezing.choose_tee(entry=entry, tee=yellow, by=machine, at=at)
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert Frozen.objects.get().tee == yellow
    with pytest.raises(WrongState, match="correct it"):
        freezing.choose_tee(entry=entry, tee=yellow, by=machine, at=at)
    with pytest.raises(BadInput):
        freezing.choose_tee(entry=entered(fixture), tee=rated_tee(), by=machine, at=at)


def test_a_corrected_card_of_the_course_counts_for_all(at, machine):
    fixture = saturday()
    entry = entered(fixture, index="12.3")
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    first = CourseCard.objects.get()
    card = read_json(first.card) | {"course_rating": "72.1"}
    CourseCard.objects.create(
        round=first.round,
        tee=first.tee,
        category="men",
        number=2,
        card=card_text(card),
        at=at,
        by="{}",
    )
    tee = tee_of(current_course_cards(first.round)[first.tee_id, "men"])
    assert tee.course_rating == Fraction("72.1")
    assert figures(fixture)[entry.key] == 13  # (13.0619 + 0.1) x 0.95 = 12.50 -> 13


@pytest.mark.parametrize("state", ["final", "cancelled", "void"])
def test_not_once_the_fixture_has_ended(state, at, machine):
    fixture = saturday(state=state)
    entered(fixture)
    with pytest.raises(WrongState):
        freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    assert Frozen.objects.count() == 0


@pytest.mark.parametrize("state", ["planned", "open", "closed", "drawn", "reviewing"])
def test_any_time_from_planned_to_before_final(state, at, machine):
    fixture = saturday(state=state)
    entered(fixture)
    assert freezing.take_handicaps(fixture=fixture, by=machine, at=at).taken
    fixture.refresh_from_db()
    assert fixture.state == state


def test_only_organisers(at):
    fixture = saturday()
    entered(fixture)
    with pytest.raises(NotYours):
        freezing.take_handicaps(fixture=fixture, by=NOBODY, at=at)
    assert Competition.objects.get().frozen_at is None


def test_a_draw_by_handicap_goes_by_what_each_plays_off(at, machine):
    fixture = saturday(state="closed")
    entries = {entered(fixture, index=f"{n}.0").key: n for n in (30, 4, 18, 12, 26, 9, 22, 15)}
    bare = entered(fixture, index=None)
    freezing.take_handicaps(fixture=fixture, by=machine, at=at)
    run = drawing.make_draw(fixture=fixture, method=DrawMethod.HANDICAP, by=machine, at=at)
    queue = [key for group in groups_of(run) for key in group]
    assert queue[-1] == bare.key
    assert [entries[key] for key in queue[:-1]] == sorted(entries.values())


def test_queries_do_not_grow_with_the_field(at, machine):
    counts = []
    for players in (2, 12):
        fixture = saturday()
        for _ in range(players):
            entered(fixture)
        freezing.take_handicaps(fixture=fixture, by=machine, at=at)
        with CaptureQueriesContext(connection) as seen:
            handicap_lines(Fixture.objects.select_related("season").get(pk=fixture.pk))
        counts.append(len(seen))
    assert counts[0] == counts[1]
