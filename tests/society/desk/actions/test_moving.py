"""Moving a fixture: entries stay, deadlines move along if wanted, everyone is told why."""

import json
from datetime import UTC, date, datetime, time, timedelta

import pytest

from society.audit.models import AuditLine
from society.desk.actions.changing import change_fixture
from society.desk.actions.moving import move_fixture
from society.entries.actions.drawing import make_draw, publish_draw
from society.entries.actions.freezing import take_handicaps
from society.entries.models import Start
from society.entries.rules.draw import DrawMethod
from society.fixtures.actions.planning import Stale
from society.fixtures.bridge import moved_plan, plan_of
from society.fixtures.models import Fixture, Round
from society.members.models import Letter
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.cards import FOURS
from tests.factories.entries import entered
from tests.factories.fixtures import SeasonFactory, saturday
from tests.factories.results import paper

pytestmark = pytest.mark.usefixtures("society")
OLD, NEW = date(2026, 10, 10), date(2026, 10, 17)
CLOSES = datetime(2026, 10, 4, 17, 0, tzinfo=UTC)  # 18:00 where the society is


@pytest.fixture
def fixture(db) -> Fixture:
    made = saturday(season=SeasonFactory(name="2026"), name="Lantern Plate", starts_on=OLD,
                    places=2, entries_close_at=CLOSES)  # fmt: skip
    for name in ("Ivo Marrable", "Hester Quill"):
        entered(made, name=name, email=f"{name[:3].lower()}@example.org")
    entered(made, name="Wilma Waits", step="waiting", email="wil@example.org")
    return made


def move(fixture: Fixture, by: Who, at: datetime, **values: object) -> Fixture:
    fixture.refresh_from_db()
    said = {"day": NEW, "words": "The greens are under water.", "edited": fixture.edited}
    move_fixture(fixture=fixture, **said | values, by=by, at=at)
    fixture.refresh_from_db()
    return fixture


def drawn(fixture: Fixture, by: Who, at: datetime) -> None:
    Fixture.objects.filter(pk=fixture.pk).update(state="closed")
    fixture.refresh_from_db()
    take_handicaps(fixture=fixture, by=by, at=at)
    make_draw(fixture=fixture, method=DrawMethod.RANDOM, by=by, at=at)
    publish_draw(fixture=fixture, by=by, at=at)


def test_entries_stay_and_everything_moves_in_one_deed(fixture, machine, at):
    due = datetime(2026, 10, 10, 16, 0, tzinfo=UTC)
    Round.objects.update(cards_due_at=due, play_by=OLD)
    before = [(e.pk, e.place_at, e.steps.count()) for e in fixture.entries.order_by("pk")]
    move(fixture, machine, at)
    round_ = fixture.rounds.get()
    assert (fixture.starts_on, fixture.ends_on, round_.day, round_.play_by) == (NEW,) * 4
    assert fixture.entries_close_at == CLOSES + timedelta(days=7)
    assert round_.cards_due_at == due + timedelta(days=7)
    assert [(e.pk, e.place_at, e.steps.count()) for e in fixture.entries.order_by("pk")] == before
    line = AuditLine.objects.get()
    assert (line.deed, line.about) == ("fixture moved", f"fixture:{fixture.public_id}")
    assert line.reason == "The greens are under water."


def test_deadlines_stay_if_they_are_not_to_move(fixture, machine, at):
    assert move(fixture, machine, at, deadlines=False).entries_close_at == CLOSES


def test_over_a_change_of_summer_time_the_hour_of_the_clock_stays(fixture, machine, at):
    """31 October 2026 lies after the clocks go back in London."""
    moved = move(fixture, machine, at, day=date(2026, 10, 31))
    assert moved.entries_close_at == datetime(2026, 10, 25, 18, 0, tzinfo=UTC)


def test_everyone_who_is_in_or_waits_gets_a_letter(fixture, machine, at):
    move(fixture, machine, at, first_time=time(10, 0))
    letters = {letter.address: letter for letter in Letter.objects.all()}
    assert set(letters) == {"ivo@example.org", "hes@example.org", "wil@example.org"}
    told = letters["ivo@example.org"]
    assert (told.kind, told.about) == ("moved", f"fixture:{fixture.public_id}")
    assert "now on Saturday 17 October" in told.subject
    for words in ("no longer on Saturday 10 October", "first tee time now 10:00",
                  "The greens are under water.", "Your place stays"):  # fmt: skip
        assert words in told.text
    assert "Your place in line stays" in letters["wil@example.org"].text


def test_a_planned_day_moves_without_a_reason_and_without_letters(fixture, machine, at):
    Fixture.objects.update(state="planned")
    assert move(fixture, machine, at, words="").starts_on == NEW
    assert not Letter.objects.exists()


def test_the_form_that_changes_everything_tells_of_a_new_day_too(fixture, machine, at):
    plan = moved_plan(plan_of(fixture), NEW)
    change_fixture(fixture=fixture, plan=plan, edited=0, words="Storm.", by=machine, at=at)
    assert Letter.objects.filter(kind="moved").count() == 3


def test_other_changes_are_no_letter(fixture, machine, at):
    plan = plan_of(fixture)
    change_fixture(fixture=fixture, plan=plan, edited=0, words="", by=machine, at=at)
    assert not Letter.objects.filter(kind="moved").exists()


class TestDraw:
    def test_a_published_draw_needs_a_word_of_its_own(self, fixture, machine, at):
        drawn(fixture, machine, at)
        with pytest.raises(BadInput, match="The draw is published") as refusal:
            move(fixture, machine, at)
        assert refusal.value.field == "draw"
        assert Fixture.objects.get().starts_on == OLD

    def test_it_may_stand(self, fixture, machine, at):
        drawn(fixture, machine, at)
        groups = list(Start.objects.values_list("entry", "group", "time").order_by("pk"))
        assert move(fixture, machine, at, draw="stands").state == "drawn"
        assert list(Start.objects.values_list("entry", "group", "time").order_by("pk")) == groups

    def test_it_may_be_withdrawn_with_the_same_reason(self, fixture, machine, at):
        drawn(fixture, machine, at)
        assert move(fixture, machine, at, draw="withdrawn").state == "closed"
        assert not Start.objects.filter(group__isnull=False).exists()
        lines = AuditLine.objects.order_by("-number")
        deeds = [c.get("deed") for c in json.loads(lines[0].changes)]
        assert "draw withdrawn" in deeds
        assert lines[0].deed == "fixture moved"

    def test_its_tee_times_stand_with_it(self, fixture, machine, at):
        drawn(fixture, machine, at)
        with pytest.raises(BadInput, match="its tee times"):
            move(fixture, machine, at, draw="stands", first_time=time(11, 0))
        move(fixture, machine, at, draw="withdrawn", first_time=time(11, 0))
        assert fixture.rounds.get().first_time == time(11, 0)


class TestRefusals:
    @pytest.mark.parametrize(
        ("values", "field", "words"),
        [
            ({"day": OLD}, "day", "on that day already"),
            ({"day": date(2027, 1, 2)}, "day", "outside the season"),
            ({"words": " "}, "words", "Say why"),
            ({"day": date(2026, 10, 3), "deadlines": False}, "deadlines", "after the new day"),
        ],
    )
    def test_what_is_wrong_is_said_beside_its_field(
        self, fixture, machine, at, values, field, words
    ):
        with pytest.raises(BadInput, match=words) as refusal:
            move(fixture, machine, at, **values)
        assert refusal.value.field == field
        assert Fixture.objects.get().starts_on == OLD
        assert not AuditLine.objects.exists()

    def test_once_cards_are_written_the_day_stands(self, fixture, machine, at):
        Fixture.objects.update(state="closed")
        fixture.refresh_from_db()
        take_handicaps(fixture=fixture, by=machine, at=at)
        paper(Start.objects.first(), FOURS)
        with pytest.raises(WrongState, match="Cards are written"):
            move(fixture, machine, at)

    @pytest.mark.parametrize("state", ["reviewing", "final", "cancelled", "void"])
    def test_what_is_over_stands(self, fixture, machine, at, state):
        Fixture.objects.update(state=state)
        with pytest.raises(WrongState):
            move(fixture, machine, at)

    def test_somebody_else_changed_it_meanwhile(self, fixture, machine, at):
        with pytest.raises(Stale):
            move(fixture, machine, at, edited=7)

    def test_not_for_members_or_scorers(self, fixture, at):
        for who in (Who(account="a"), Who(account="s", roles=frozenset({"scorer"}))):
            with pytest.raises(NotYours):
                move(fixture, who, at)
