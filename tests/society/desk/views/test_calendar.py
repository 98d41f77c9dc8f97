"""The calendar's pages: paste, see every line, keep exactly that; copy a year or one fixture."""

import html
import re
from datetime import date

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction

from society.entries.actions.competing import Contest, add_competition
from society.fixtures.models import Fixture, Season
from society.members.models import Society
from tests.factories.courses import rated_tee
from tests.factories.fixtures import SeasonFactory, saturday

pytestmark = pytest.mark.django_db
YEAR = "date,name,course\n14 March,First Card,Kettlemoor\nSat 10 Oct,<Plate>,Kettlemoor\n"


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


@pytest.fixture
def season(society) -> Season:
    rated_tee(course__name="Kettlemoor", name="White")
    return SeasonFactory(name="2026")


@pytest.fixture
def page(season) -> str:
    return f"/season/{season.public_id}/calendar/"


def text(response) -> str:
    return " ".join(response.content.decode().split())


def form_to(response, address: str) -> dict[str, str]:
    """The hidden fields of the form that is sent to an address, as a browser would send them."""
    for part in response.content.decode().split("<form ")[1:]:
        body = part.split("</form>")[0]
        if f'action="{address}"' in body and 'name="lines"' in body:
            pairs = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', body)
            return {name: html.unescape(value) for name, value in pairs}
    raise AssertionError(f"no form to {address}")


class TestPasting:
    def test_the_page_names_the_columns(self, secretary, page):
        said = text(secretary.get(page))
        assert "first tee time" in said
        assert "<textarea" in said

    def test_the_preview_saves_nothing(self, secretary, page):
        response = secretary.post(page, {"text": YEAR})
        assert response.status_code == 200
        said = text(response)
        assert "&lt;Plate&gt;" in said
        assert "Saturday 10 October 2026, Kettlemoor." in said
        assert not Fixture.objects.exists()

    def test_confirming_saves_exactly_that(self, secretary, page, season):
        sent = form_to(secretary.post(page, {"text": YEAR}), f"{page}keep/")
        answer = secretary.post(f"{page}keep/", sent, follow=True)
        assert answer.redirect_chain == [(f"/season/{season.public_id}/", 302)]
        assert "2 new, 0 changed, 0 unchanged, 0 left out." in text(answer)
        assert set(Fixture.objects.values_list("name", flat=True)) == {"First Card", "<Plate>"}
        again = text(secretary.post(page, {"text": YEAR}))
        assert "Nothing to save." in again
        assert "Save exactly this" not in again

    def test_a_file_does_as_well(self, secretary, page):
        file = SimpleUploadedFile("year.csv", YEAR.encode(), "text/csv")
        assert "What will happen" in text(secretary.post(page, {"file": file}))

    @pytest.mark.parametrize("kind", ["xlsx", "csv"])
    def test_the_list_that_goes_out_comes_back_without_a_change(
        self, secretary, page, season, kind
    ):
        full = (
            "date,name,course,first tee time,places,entries close,fee,start,about\n"
            "10 Oct,Lantern Plate,Kettlemoor,9:30,28,6 days before 18:00,Golf 36,shotgun,Soup\n"
            "11 Oct,+1 Cup,Kettlemoor,,no limit,,,,\n"
        )
        sent = form_to(secretary.post(page, {"text": full}), f"{page}keep/")
        secretary.post(f"{page}keep/", sent)
        out = secretary.get(f"/season/{season.public_id}/calendar.{kind}")
        assert out.status_code == 200
        file = SimpleUploadedFile(f"calendar.{kind}", out.content)
        back = " ".join(text(secretary.post(page, {"file": file})).split())
        assert "Nothing to save." in back
        assert "<dt>unchanged</dt><dd>2</dd>" in back

    def test_a_workbook_that_is_none_is_refused_beside_its_box(self, secretary, page):
        file = SimpleUploadedFile("year.xlsx", b"PK\x03\x04 and nothing more")
        answer = secretary.post(page, {"file": file})
        assert answer.status_code == 422
        assert Fixture.objects.count() == 0

    def test_what_changed_since_gives_409_with_the_new_preview(self, secretary, page, season):
        sent = form_to(secretary.post(page, {"text": YEAR}), f"{page}keep/")
        saturday(season=season, name="First Card", starts_on=date(2026, 3, 14), state="planned")
        answer = secretary.post(f"{page}keep/", sent)
        assert answer.status_code == 409
        assert "Something changed since this was shown" in text(answer)
        assert Fixture.objects.count() == 1
        assert secretary.post(f"{page}keep/", form_to(answer, f"{page}keep/")).status_code == 302

    @pytest.mark.parametrize(
        ("style", "told", "other", "first", "second"),
        [
            ("day first", "with the day first", "month", (2026, 10, 4), (2026, 4, 10)),
            ("month first", "with the month first", "day", (2026, 4, 10), (2026, 10, 4)),
        ],
    )
    def test_figures_are_read_as_the_society_writes_dates_and_it_says_so(
        self, secretary, page, style, told, other, first, second
    ):
        Society.objects.update(date_style=style)
        response = secretary.post(page, {"text": "date,name,course\n4/10/2026,P,Kettlemoor\n"})
        assert f"Days in figures are read {told}" in text(response)
        turned = secretary.post(page, {"lines": form_to(response, page)["lines"], "order": other})
        assert "Days in figures" not in text(turned)
        for answer, day in ((response, first), (turned, second)):
            kept = form_to(answer, f"{page}keep/")
            assert kept["order"] in ("day", "month")
            with transaction.atomic():
                secretary.post(f"{page}keep/", kept)
                assert Fixture.objects.get().starts_on == date(*day)
                transaction.set_rollback(True)

    def test_where_the_year_comes_first_such_a_day_is_asked_about(self, secretary, page):
        Society.objects.update(date_style="year first")
        response = secretary.post(page, {"text": "date,name,course\n4/10/2026,P,Kettlemoor\n"})
        said = text(response)
        assert "A day can be read two ways" in said
        assert "Save exactly this" not in said
        sent = form_to(response, page)
        Society.objects.update(date_style="day first")
        read = secretary.post(page, {"lines": sent["lines"], "order": "day"})
        assert "Sunday 4 October 2026" in text(read)
        kept = form_to(read, f"{page}keep/")
        assert kept["order"] == "day"
        secretary.post(f"{page}keep/", kept)
        assert Fixture.objects.get().starts_on == date(2026, 10, 4)

    def test_the_list_can_be_changed_after_it_was_shown(self, secretary, page):
        shown = secretary.post(page, {"text": YEAR})
        sent = form_to(shown, page)
        back = secretary.post(page, {"lines": sent["lines"], "order": "", "change": "1"})
        area = back.content.decode().split("<textarea")[1].split("</textarea>")[0]
        again = secretary.post(page, {"text": html.unescape(area.split(">", 1)[1].lstrip())})
        assert form_to(again, f"{page}keep/")["lines"] == form_to(shown, f"{page}keep/")["lines"]

    @pytest.mark.parametrize(
        ("sent", "said"),
        [
            ({}, "Paste the year or choose a file."),
            ({"text": "name\nA\n"}, "is not among them"),
            ({"text": "date,name\n"}, "headings and no lines"),
            ({"text": "x" * 200_001}, "too much text"),
            ({"text": "date,name\n" + "1 May,A\n" * 201}, "At most 200"),
        ],
        ids=["nothing", "no date", "no lines", "too long", "too many"],
    )
    def test_what_cannot_be_read_is_said_beside_the_box(self, secretary, page, sent, said):
        answer = secretary.post(page, sent)
        assert answer.status_code == 422
        assert said in text(answer)

    @pytest.mark.parametrize(
        "sent",
        [
            {},
            {"lines": "[]"},
            {"lines": "nonsense"},
            {"lines": '[[2,{"day":"1"}]]', "order": "year"},
        ],
    )
    def test_lines_that_did_not_arrive_whole(self, secretary, page, sent):
        assert secretary.post(f"{page}keep/", sent).status_code == 409

    def test_not_for_members(self, member, page):
        assert member.get(page).status_code == 403
        assert member.post(page, {"text": YEAR}).status_code == 403


class TestCopyingAYear:
    @pytest.fixture
    def last(self, season) -> Season:
        old = SeasonFactory(name="2025", starts_on=date(2025, 1, 1), ends_on=date(2025, 12, 31))
        for name, day, state in (
            ("First Card", date(2025, 3, 15), "final"),
            ("Washed Out", date(2025, 4, 12), "cancelled"),
            ("Plate", date(2025, 10, 11), "final"),
        ):
            saturday(season=old, name=name, starts_on=day, state=state, places=24)
        return old

    def test_days_are_52_weeks_on_and_what_was_cancelled_is_not_ticked(self, secretary, page, last):
        said = text(secretary.get(f"{page}copy/"))
        assert 'value="2026-03-14"' in said
        assert 'value="2026-10-10"' in said
        assert said.count(" checked") == 2

    def test_the_same_preview_and_then_the_same_deed(self, secretary, page, season, last):
        sent = {
            "take-1": "on",
            "day-1": "2026-03-14",
            "day-2": "2026-04-11",
            "take-3": "on",
            "day-3": "2026-10-17",
        }
        shown = secretary.post(f"{page}copy/?from={last.public_id}", sent)
        assert "Copied from Plate of Saturday 11 October 2025." in text(shown)
        assert season.fixtures.count() == 0
        secretary.post(f"{page}keep/", form_to(shown, f"{page}keep/"))
        made = season.fixtures.order_by("starts_on")
        assert [(one.name, one.starts_on, one.places) for one in made] == [
            ("First Card", date(2026, 3, 14), 24),
            ("Plate", date(2026, 10, 17), 24),
        ]

    def test_nothing_ticked_or_no_day(self, secretary, page, last):
        days = {"day-1": "2026-03-14", "day-2": "2026-04-11", "day-3": "2026-10-17"}
        assert secretary.post(f"{page}copy/", days).status_code == 422
        assert secretary.post(f"{page}copy/", {"take-1": "on"}).status_code == 422

    def test_a_day_at_the_end_of_time_is_refused_beside_its_box(self, secretary, page, last):
        sent = {"take-1": "on", "day-1": "0001-01-01", "day-2": "2026-04-11", "day-3": "9999-12-31"}
        answer = secretary.post(f"{page}copy/", sent)
        assert answer.status_code == 422
        assert text(answer).count("Write the whole year, from 1900 to 2199.") >= 2

    def test_without_another_season(self, secretary, page):
        assert "No other season has fixtures" in text(secretary.get(f"{page}copy/"))


class TestCopyingOne:
    def test_the_day_is_52_weeks_on_in_the_season_it_falls_in(self, secretary, season):
        old = SeasonFactory(name="2025", starts_on=date(2025, 1, 1), ends_on=date(2025, 12, 31))
        fixture = saturday(season=old, name="Plate", starts_on=date(2025, 10, 11), state="final")
        address = f"/fixtures/{fixture.public_id}/copy/"
        said = text(secretary.get(address))
        assert 'value="2026-10-10"' in said
        assert f'value="{season.public_id}" selected' in said
        sent = {"season": season.public_id, "name": "Plate", "day": "2026-10-10"}
        answer = secretary.post(address, sent)
        made = season.fixtures.get()
        assert answer.url == f"/fixtures/{made.public_id}/steps/"
        assert (made.name, made.starts_on) == ("Plate", date(2026, 10, 10))
        again = secretary.post(address, sent)
        assert again.status_code == 422
        assert "on that day already" in text(again)

    def test_a_day_outside_the_season(self, secretary, season):
        fixture = saturday(season=season)
        sent = {"season": season.public_id, "name": "Plate", "day": "2028-10-10"}
        answer = secretary.post(f"/fixtures/{fixture.public_id}/copy/", sent)
        assert answer.status_code == 422
        assert "outside the season" in text(answer)


def test_a_copy_says_what_else_it_is_played_for(secretary, page, season, machine, at):
    old = saturday(season=season, name="Lantern Plate")
    contest = Contest(
        name="Guest prize", terms={"format": "medal", "allowance": 95}, takes_part="guests"
    )
    add_competition(fixture=old, contest=contest, by=machine, at=at)
    said = text(secretary.post(page, {"text": "date,name,as\n10 Oct 2026,Autumn,Lantern Plate\n"}))
    assert "Also Guest prize, for guests: " in said
    assert "Medal" in said.split("Also Guest prize", 1)[1]
    assert "95" in said.split("Also Guest prize", 1)[1]
