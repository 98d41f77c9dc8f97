"""A year's calendar: exactly what was shown, in one deed; the same again changes nothing."""

import json
from datetime import UTC, date, datetime, time

import pytest

from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.desk.actions.calendar import OutOfDate, Tally, copy_one, keep_calendar
from society.desk.queries.calendar import Preview, calendar_rows_from_text, preview
from society.desk.rules.calendar import DayOrder
from society.desk.sheets import calendar_text
from society.fixtures.models import FeeLine, Fixture, Season
from society.members.models import Society
from society.members.queries import society_day
from society.web.refusals import BadInput, NotYours
from society.web.rules import DateStyle, Outcome
from society.web.who import Who
from tests.factories.courses import add_category, rated_tee
from tests.factories.entries import entered
from tests.factories.fixtures import SeasonFactory, saturday

pytestmark = pytest.mark.usefixtures("society")
SCORER = Who(account="sco", roles=frozenset({"scorer"}))

YEAR = """Fee,Name,Date,Course,Format,Places,Entries close,First tee time,Counts
36,First Card,Sat 14 March,Upper Quince,Stableford,28,6 days before 18:00,9:30,yes
Golf 30; Soup 6,Maypole Cup,9 May 2026,Kettlemoor,Medal,no limit,,10.00,no
,Lantern Plate,10/10/2026,upper quince,"Stableford, at most 28",24,4 October 18:00,09:30,
"""


@pytest.fixture
def season() -> Season:
    return SeasonFactory(name="2026")


@pytest.fixture(autouse=True)
def courses(society) -> None:
    for name in ("Upper Quince", "Kettlemoor"):
        tee = rated_tee(course__name=name, name="White")
        add_category(tee)


def shown(text: str, season: Season, at: datetime, order=DayOrder.UNSAID) -> Preview:
    lines = calendar_rows_from_text(text).lines
    return preview(lines, season, society_day(at), order)


def run(text: str, season: Season, by: Who, at: datetime, order=DayOrder.UNSAID) -> Tally:
    now = shown(text, season, at, order)
    return keep_calendar(
        season=season, lines=now.lines, order=order, digest=now.digest, by=by, at=at
    )


def words(text: str, season: Season, at: datetime) -> str:
    """All that is said of the last line."""
    return " ".join(shown(text, season, at).promises[-1].words)


class TestKeeping:
    def test_a_year_is_planned_in_one_deed(self, season, machine, at):
        assert run(YEAR, season, machine, at) == Tally(3, 0, 0, 0)
        first, cup, plate = Fixture.objects.order_by("starts_on")
        assert (first.name, first.starts_on, first.places) == (
            "First Card", date(2026, 3, 14), 28,
        )  # fmt: skip
        assert first.entries_close_at == datetime(2026, 3, 8, 18, 0, tzinfo=UTC)
        assert plate.entries_close_at == datetime(2026, 10, 4, 17, 0, tzinfo=UTC)  # summer time
        assert first.rounds.get().first_time == time(9, 30)
        assert {row.category for row in first.rounds.get().tees.all()} == {"men", "women"}
        assert (cup.places, cup.competitions.get().counts_for_merit) == (None, False)
        assert list(cup.fees.values_list("name", "amount")) == [("Golf", 3000), ("Soup", 600)]
        terms = read_json(plate.competitions.get().terms)
        assert terms["maximum_playing_handicap"] == 28
        assert {fixture.state for fixture in (first, cup, plate)} == {"planned"}
        line = AuditLine.objects.get()
        assert (line.deed, line.about) == ("calendar kept", f"season:{season.public_id}")
        told = {change["about"] for change in json.loads(line.changes)}
        assert {f"fixture:{one.public_id}" for one in (first, cup, plate)} <= told

    def test_the_same_calendar_twice_changes_nothing(self, season, machine, at):
        run(YEAR, season, machine, at)
        before = list(Fixture.objects.values().order_by("pk"))
        assert run(YEAR, season, machine, at) == Tally(0, 0, 3, 0)
        assert list(Fixture.objects.values().order_by("pk")) == before

    def test_a_calendar_written_out_reads_back_without_a_change(self, season, machine, at):
        run(YEAR, season, machine, at)
        from_text = shown(YEAR, season, at)
        again = shown(calendar_text(from_text.lines), season, at)
        assert [one.outcome for one in again.promises] == [Outcome.UNCHANGED] * 3

    def test_only_filled_cells_change_what_stands(self, season, machine, at):
        run(YEAR, season, machine, at)
        fixture = Fixture.objects.get(name="First Card")
        text = "date\tname\tplaces\tfee\n14 March\tfirst card\t24\t\n"
        assert (
            words(text, season, at) == "Name: First Card becomes first card. Places: 28 becomes 24."
        )
        assert run(text, season, machine, at).changed == 1
        fixture.refresh_from_db()
        assert (fixture.places, fixture.edited) == (24, 1)
        assert fixture.fees.get().amount == 3600

    def test_the_name_of_a_format_is_content_with_any_terms_of_it(self, season, machine, at):
        run(YEAR, season, machine, at)
        plate = "date,name,format\n10 Oct,Lantern Plate,{}\n"
        assert words(plate.format("Stableford"), season, at) == ""
        said = words(plate.format('"Stableford, full handicap"'), season, at)
        assert said == "Terms: Stableford, at most 28 becomes Stableford, full handicap."

    def test_more_places_bring_in_those_who_wait(self, season, machine, at):
        run(YEAR, season, machine, at)
        fixture = Fixture.objects.get(name="First Card")
        Fixture.objects.filter(pk=fixture.pk).update(state="open", places=1)
        entered(fixture)
        waits = entered(fixture, step="waiting")
        run("date,name,places\n14 March,First Card,2\n", season, machine, at)
        assert waits.steps.order_by("pk").last().kind == "taken"

    def test_what_changed_since_is_refused_and_nothing_is_written(self, season, machine, at):
        now = shown(YEAR, season, at)
        saturday(season=season, name="Maypole Cup", starts_on=date(2026, 5, 9), state="planned")
        with pytest.raises(OutOfDate):
            keep_calendar(
                season=season, lines=now.lines, order=now.order, digest=now.digest,
                by=machine, at=at,
            )  # fmt: skip
        assert Fixture.objects.count() == 1
        assert not AuditLine.objects.exists()

    def test_another_order_or_season_is_another_promise(self, season, at):
        now = shown(YEAR, season, at)
        assert shown(YEAR, season, at, DayOrder.DAY_FIRST).digest != now.digest
        assert shown(YEAR, SeasonFactory(name="other"), at).digest != now.digest

    def test_not_for_scorers(self, season, at):
        with pytest.raises(NotYours):
            run(YEAR, season, SCORER, at)

    def test_refused_lines_are_left_out_and_the_rest_is_kept(self, season, machine, at):
        text = YEAR + ",Nowhere Day,1 June,Uper Quince,,,,,\n"
        assert run(text, season, machine, at) == Tally(3, 0, 0, 1)
        assert not Fixture.objects.filter(name="Nowhere Day").exists()


class TestWords:
    """What is said of a line, before anything is saved."""

    def test_a_new_one_is_told_whole(self, season, at):
        said = words(YEAR, season, at)
        for part in (
            "Saturday 10 October 2026, Upper Quince.",
            "Stableford, at most 28, eighteen holes, men White, women White.",
            "First tee time 09:30, every 8 minutes; 24 places; guests welcome.",
            "Entries close Sun 4 Oct, 18:00.",
        ):
            assert part in said
        assert "the past" not in said
        assert "The day lies in the past." in shown(YEAR, season, at).promises[0].words

    def test_what_is_taken_for_granted_is_said(self, season, at):
        text = "date,name,course\n10 Oct,Plate,Kettlemoor\n"
        assert "No format is named, so it is Stableford, 95 %." in words(text, season, at)
        fixture = saturday(season=season, starts_on=date(2026, 5, 1))
        text = f"date,name,course\n10 Oct,Plate,{fixture.rounds.get().course.name}\n"
        assert "those played there last: men tee" in words(text, season, at)

    @pytest.mark.parametrize(
        ("cells", "said"),
        [
            ("10 Oct,Plate,Ketlemoor,,", "There is no course “Ketlemoor”. Is it Kettlemoor?"),
            ("10 Oct,Plate,Elsewhere,,", "There are Kettlemoor and Upper Quince."),
            ("10 Oct,Plate,Kettlemoor,Stablefrod,", "Is it Stableford"),
            ("10 Oct,Plate,Kettlemoor,,Whyte", "has no tee “Whyte”. Is it White?"),
            ("10 Oct 2027,Plate,Kettlemoor,,", "The day lies outside the season “2026”."),
            ("10 Oct,Plate,,,", "The line names no course."),
            (",Plate,Kettlemoor,,", "The line names no day."),
            ("10 Oct,,Kettlemoor,,", "The line names no fixture."),
        ],
    )
    def test_refusals_say_why_and_what_it_may_be(self, season, at, cells, said):
        text = f"date,name,course,format,tees\n{cells}\n"
        now = shown(text, season, at)
        assert now.promises[0].outcome is Outcome.REFUSED
        assert said in " ".join(now.promises[0].words)

    def test_figures_are_a_question_where_the_society_writes_the_year_first(self, season, at):
        Society.objects.update(date_style=DateStyle.YEAR_FIRST)
        now = shown("date,name,course\n4/10/2026,Plate,Kettlemoor\n", season, at)
        assert now.promises[0].outcome is Outcome.REFUSED
        assert "10 April 2026 or 4 October 2026" in " ".join(now.promises[0].words)

    def test_a_course_no_longer_in_use(self, season, at):
        rated_tee(course__name="Old Links", course__retired=True)
        assert "no longer in use" in words("date,name,course\n10 Oct,P,old links\n", season, at)

    def test_several_tees_have_to_be_named(self, season, at):
        tee = rated_tee(course__name="Two Tees", name="White")
        rated_tee(course=tee.course, name="Red")
        text = "date,name,course,tees\n10 Oct,P,Two Tees,{}\n"
        assert "Name the tees of Two Tees: Red or White." in words(text.format(""), season, at)
        assert "men Red" in words(text.format("red"), season, at)

    def test_the_same_name_and_day_twice(self, season, at):
        text = "date,name,course\n10 Oct,P,Kettlemoor\n10 October,p,Upper Quince\n"
        now = shown(text, season, at)
        assert [one.outcome for one in now.promises] == [Outcome.NEW, Outcome.REFUSED]
        assert "line 2 already" in now.promises[1].words[0]

    def test_others_are_named_and_two_on_one_day_are_said(self, season, at):
        saturday(season=season, name="Shield", starts_on=date(2026, 10, 10))
        now = shown(YEAR, season, at)
        assert now.others == [("Shield", date(2026, 10, 10))]
        assert "On that day stands Shield too, which stays." in now.promises[-1].words

    def test_entries_that_close_before_they_open(self, season, at):
        text = "date,name,course,open,close\n10 Oct,P,Kettlemoor,1 Oct,30 Sep\n"
        assert words(text, season, at) == "Entries close before they open."

    def test_no_more_lines_than_a_year_has(self):
        with pytest.raises(BadInput, match="At most 200"):
            calendar_rows_from_text("date,name\n" + "1 May,A\n" * 201)
        with pytest.raises(BadInput, match="“date” is not among them"):
            calendar_rows_from_text("name\nA\n")


class TestMoving:
    """A day that changes in the list."""

    def test_a_planned_one_moves_and_its_deadlines_with_it(self, season, machine, at):
        run(YEAR, season, machine, at)
        text = "date,name\n17 Oct,Lantern Plate\n"
        said = words(text, season, at)
        assert "Day: Saturday 10 October 2026 becomes Saturday 17 October 2026." in said
        assert "Entries close: Sun 4 Oct, 18:00 becomes Sun 11 Oct, 18:00." in said
        run(text, season, machine, at)
        assert Fixture.objects.get(name="Lantern Plate").starts_on == date(2026, 10, 17)
        assert Fixture.objects.count() == 3

    def test_one_with_entries_is_moved_on_its_own_page(self, season, machine, at):
        run(YEAR, season, machine, at)
        Fixture.objects.filter(name="Lantern Plate").update(state="open")
        assert "with a reason" in words("date,name\n17 Oct,Lantern Plate\n", season, at)

    def test_a_name_that_stands_twice_is_another_fixture(self, season, machine, at):
        text = "date,name,course\n10 Oct,Monthly,Kettlemoor\n7 Nov,Monthly,Kettlemoor\n"
        run(text, season, machine, at)
        now = shown(text + "5 Dec,Monthly,Kettlemoor\n", season, at)
        assert [one.outcome.value for one in now.promises] == ["unchanged", "unchanged", "new"]

    def test_what_is_over_stands(self, season, machine, at):
        run(YEAR, season, machine, at)
        Fixture.objects.filter(name="First Card").update(state="final")
        text = "date,name,places\n14 March,First Card,{}\n"
        assert words(text.format(30), season, at) == "It is final and stands as it is."
        assert shown(text.format(28), season, at).of(Outcome.UNCHANGED)

    def test_what_handicaps_were_taken_for_stands(self, season, machine, at):
        run(YEAR, season, machine, at)
        plate = Fixture.objects.get(name="Lantern Plate")
        plate.competitions.update(frozen_at=at)
        text = "date,name,course\n10 Oct,Lantern Plate,Kettlemoor\n"
        assert "Handicaps are taken" in words(text, season, at)


class TestCopying:
    @pytest.fixture
    def last(self, courses) -> Fixture:
        old = SeasonFactory(name="2025", starts_on=date(2025, 1, 1), ends_on=date(2025, 12, 31))
        fixture = saturday(
            season=old, name="Autumn, late", starts_on=date(2025, 11, 1), state="final", places=20,
            terms='{"allowance":90,"format":"stableford"}',
            entries_close_at=datetime(2025, 10, 25, 17, 0, tzinfo=UTC),
        )  # fmt: skip
        FeeLine.objects.create(fixture=fixture, name="Soup", amount=600)
        return fixture

    def test_a_line_may_copy_an_earlier_fixture(self, season, machine, at, last):
        text = 'date,name,as,places\n31 Oct 2026,Leaves,"Autumn, late, 1 November 2025",\n'
        said = words(text, season, at)
        assert "Copied from Autumn, late of Saturday 1 November 2025." in said
        assert "20 places" in said
        run(text, season, machine, at)
        made = Fixture.objects.get(name="Leaves")
        assert read_json(made.competitions.get().terms)["allowance"] == 90
        assert made.fees.get().amount == 600
        assert made.entries_close_at == datetime(2026, 10, 24, 17, 0, tzinfo=UTC)
        assert run(text, season, machine, at) == Tally(0, 0, 1, 0)

    def test_the_cells_of_the_line_stand_above_the_copy(self, season, machine, at, last):
        text = "date\tname\tas\tplaces\tcourse\n31 Oct\tLeaves\tautumn, late\t12\tKettlemoor\n"
        run(text, season, machine, at)
        made = Fixture.objects.get(name="Leaves")
        assert (made.places, made.rounds.get().course.name) == (12, "Kettlemoor")

    def test_a_fixture_that_is_not_there(self, season, at, last):
        said = words("date\tname\tas\n31 Oct\tLeaves\tAutumn late\n", season, at)
        assert said == "As: there is no fixture “Autumn late”. Is it Autumn, late?"

    def test_one_copied_by_itself(self, season, machine, at, last):
        made = copy_one(
            fixture=last, season=season, name="Autumn", day=date(2026, 10, 31), by=machine, at=at
        )
        assert (made.name, made.state, made.places) == ("Autumn", "planned", 20)
        with pytest.raises(BadInput, match="on that day already"):
            copy_one(
                fixture=last, season=season, name="autumn", day=date(2026, 10, 31),
                by=machine, at=at,
            )  # fmt: skip
