"""A year's calendar kept in one deed, and last year's fixtures copied."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from django.utils import timezone

from society.audit.actions import deed
from society.desk.actions.changing import change_fixture
from society.desk.actions.importing import OutOfDate, Tally
from society.desk.queries.calendar import Promise, preview
from society.desk.rules.calendar import DayOrder
from society.fixtures.actions.planning import copy_fixture, plan_fixture
from society.fixtures.bridge import moved_plan, plan_of
from society.fixtures.models import Fixture, Season
from society.members.queries import society_day, society_zone
from society.web.refusals import BadInput, NotYours
from society.web.rules import Outcome, SheetLine
from society.web.who import ORGANISERS, Who

__all__ = ["OutOfDate", "Tally"]


def keep_calendar(
    *,
    season: Season,
    lines: Sequence[SheetLine],
    order: DayOrder,
    digest: str,
    by: Who,
    at: datetime,
) -> Tally:
    """Do what a preview of a calendar promised, all of it in one deed.

    Works everything out again and does it only if the fingerprint is still `digest`. Refused
    lines are left out. Raises OutOfDate, NotYours.
    """
    if not by.may(ORGANISERS):
        raise NotYours("Only the secretary or the captain keeps the calendar.")
    about = f"season:{season.public_id}"
    with deed(by=by, at=at, what="calendar kept", about=about):
        season = Season.objects.select_for_update().get(pk=season.pk)  # one calendar at a time
        now = preview(lines, season, society_day(at), order)
        if now.digest != digest:
            raise OutOfDate(
                "Something changed since this was shown: a fixture, a course or the day. "
                "Here is what would happen now. Nothing was saved."
            )
        with timezone.override(society_zone()):
            for promise in now.promises:
                _keep(promise, season, by, at)
    return Tally(
        new=len(now.of(Outcome.NEW)),
        changed=len(now.of(Outcome.CHANGED)),
        unchanged=len(now.of(Outcome.UNCHANGED)),
        left_out=len(now.of(Outcome.REFUSED)),
    )


def _keep(promise: Promise, season: Season, by: Who, at: datetime) -> None:
    plan = promise.plan
    if plan is None or promise.outcome not in (Outcome.NEW, Outcome.CHANGED):
        return
    if promise.like:
        source = Fixture.objects.get(public_id=promise.like)
        copy_fixture(source=source, season=season, plan=plan, by=by, at=at)
    elif promise.fixture:
        fixture = Fixture.objects.get(public_id=promise.fixture)
        change_fixture(fixture=fixture, plan=plan, edited=fixture.edited, by=by, at=at)
    else:
        plan_fixture(season=season, **plan.as_values(), by=by, at=at)


def copy_one(
    *, fixture: Fixture, season: Season, name: str, day: date, by: Who, at: datetime
) -> Fixture:
    """A new fixture like another one on another day; its moments keep their distance to the day.

    Raises BadInput with the field that is wrong, NotYours.
    """
    wanted = name.strip()
    if season.fixtures.filter(name__iexact=wanted, starts_on=day).exists():
        raise BadInput(f"{season.name} has {wanted} on that day already.", field="day")
    with timezone.override(society_zone()):
        plan = replace(moved_plan(plan_of(fixture), day), name=wanted)
        return copy_fixture(source=fixture, season=season, plan=plan, by=by, at=at)
