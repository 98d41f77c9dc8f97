"""A fixture moved to another day: entries stay, deadlines move along, everyone is told."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time

from django.utils import timezone

from scoring.cards.models import CardRevision
from society.audit.actions import deed
from society.desk.actions.changing import Changed, change_fixture
from society.desk.actions.drawing import withdraw_draw
from society.entries.bridge.draws import the_draw
from society.fixtures.bridge import Plan, moved_plan, plan_of
from society.fixtures.models import Fixture
from society.fixtures.queries import the_round
from society.fixtures.rules import FixtureState
from society.members.queries import society_zone
from society.web.refusals import BadInput, WrongState
from society.web.who import Who

DRAW_STANDS, DRAW_WITHDRAWN = "stands", "withdrawn"


def move_fixture(
    *,
    fixture: Fixture,
    day: date,
    edited: int,
    words: str,
    deadlines: bool = True,
    first_time: time | None = None,
    draw: str = "",
    by: Who,
    at: datetime,
) -> Changed:
    """Put a fixture on another day, with everything that hangs on the day, in one deed.

    Entries, waiting list and handicaps taken stay. `deadlines`: opening and closing keep their
    distance to the day. `first_time`: another first tee time, None for the same. `draw`: what
    becomes of a published draw, which must be said. Raises BadInput with the field that is
    wrong, WrongState once cards are written, and what `change_fixture` raises.
    """
    about = f"fixture:{fixture.public_id}"
    with deed(by=by, at=at, what="fixture moved", about=about), timezone.override(society_zone()):
        old = plan_of(fixture)
        plan = moved_plan(old, day, deadlines=deadlines)
        if first_time is not None:
            plan = replace(plan, first_time=first_time)
        _check(fixture, old, plan)
        published = _published(fixture)
        if published and draw not in (DRAW_STANDS, DRAW_WITHDRAWN):
            raise BadInput(
                "The draw is published. Say whether it stands on the new day or is withdrawn.",
                field="draw",
            )
        if published and draw == DRAW_WITHDRAWN:
            withdraw_draw(fixture=fixture, words=words, by=by, at=at)
        elif published and plan.first_time != old.first_time:
            raise BadInput(
                "The published draw has its tee times. Keep the first tee time, "
                "or withdraw the draw.",
                field="first_time",
            )
        return change_fixture(fixture=fixture, plan=plan, edited=edited, words=words, by=by, at=at)


def _check(fixture: Fixture, old: Plan, plan: Plan) -> None:
    if plan.day == old.day:
        raise BadInput("It stands on that day already. Choose another one.", field="day")
    if FixtureState(fixture.state) is FixtureState.REVIEWING:
        raise WrongState("The result is being checked, so the day stands.")
    if CardRevision.objects.filter(card__round__fixture=fixture).exists():
        raise WrongState(
            "Cards are written for this day, so it cannot be moved. Declare it void, "
            "and copy it to the new day."
        )
    for moment in _after_the_day(plan):
        raise BadInput(
            f"Entries would still be open on {timezone.localtime(moment):%-d %B}, "
            "after the new day. Let opening and closing move along.",
            field="deadlines",
        )


def _after_the_day(plan: Plan) -> Sequence[datetime]:
    moments = (plan.entries_open_at, plan.entries_close_at)
    return [one for one in moments if one and timezone.localtime(one).date() > plan.day]


def _published(fixture: Fixture) -> bool:
    draw = the_draw(the_round(fixture))
    return draw is not None and draw.is_published
