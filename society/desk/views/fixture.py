"""One fixture: the page everyone reads, and the officer's form that changes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from society.courses.rules import RatedHoles
from society.desk.actions.changing import Changed, change_fixture
from society.desk.queries.fixture import fixture_page, handicap_words
from society.desk.queries.played_for import also_played_for
from society.fixtures.access import fixture_to_read, fixture_to_run
from society.fixtures.actions.planning import Stale
from society.fixtures.bridge import Plan, full_terms, plan_of, write_terms
from society.fixtures.forms.conflict import data_of, differences, taken_over
from society.fixtures.forms.fixture import FixtureChangeForm, plan_initial
from society.fixtures.forms.terms import terms_initial
from society.fixtures.queries import course_by_id, courses_in_use, tees_of
from society.members.queries import the_society
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.refusals import BadInput, WrongState
from society.web.request import Request
from society.web.templatetags.look import names
from society.web.who import ORGANISERS, SCORERS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from django.http import QueryDict

    from society.fixtures.models import Fixture


@access(SIGNED_IN, "GET")
@require_safe
def fixture(request: Request, public_id: str) -> HttpResponse:
    """The day, the terms, the dates, who is in; entering and withdrawing."""
    found = fixture_to_read(request.who, public_id)
    context = {
        "page": fixture_page(found, request.who, clock.now()),
        "fixture": found,
        "handicap_words": handicap_words(found),
        "also": also_played_for(found),
        "runs": request.who.may(SCORERS),
    }
    return show(request, "desk/fixture.html", context)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def fixture_change(request: Request, public_id: str) -> HttpResponse:
    """Change a fixture; a form opened before somebody else's change is answered 409."""
    found = fixture_to_run(request.who, public_id)
    plan, course = plan_of(found), request.GET.get("course", "")
    if request.method != "POST":
        return _form_page(request, found, _form(plan, found.edited, course))
    now = data_of(_form(plan, found.edited, course))
    form = _form(plan, found.edited, course, taken_over(request.POST, now))
    if not form.is_valid():
        return _form_page(request, found, form, status=422)
    try:
        changed = change_fixture(
            fixture=found,
            plan=form.plan(),
            edited=form.cleaned_data["edited"],
            words=form.cleaned_data["words"],
            by=request.who,
            at=clock.now(),
        )
    except Stale as stale:
        return _conflict(request, found, form, stale.now)
    except BadInput as refusal:
        form.refuse(refusal)
        return _form_page(request, found, form, status=422)
    except WrongState as refusal:
        return _form_page(request, found, form, refusal=refusal.words, status=409)
    _say(request, changed)
    return redirect("desk:steps", public_id)


def _form(
    plan: Plan, edited: int, course_id: str, data: QueryDict | Mapping[str, str] | None = None
) -> FixtureChangeForm:
    """The form as a plan fills it; on another course when the address names one."""
    society = the_society()
    currency = society.currency if society else "GBP"
    course = (course_by_id(course_id) if course_id else None) or plan.course
    holes = RatedHoles(plan.holes)
    return FixtureChangeForm(
        data,
        course=course,
        tees=tees_of(course),
        currency=currency,
        kept=dict(plan.terms),
        initial=plan_initial(plan, currency)
        | terms_initial(full_terms(write_terms(plan.terms, holes), holes))
        | {"edited": edited},
    )


def _form_page(
    request: Request,
    found: Fixture,
    form: FixtureChangeForm,
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "form": form,
        "fixture": found,
        "refusal": refusal,
        "courses": courses_in_use(),
    }
    return show(request, "desk/fixture_change.html", context, status=status)


def _conflict(request: Request, found: Fixture, form: FixtureChangeForm, now: Plan) -> HttpResponse:
    """Both versions side by side with a choice for each line; nothing typed is lost."""
    found.refresh_from_db()
    course = form.course.public_id
    theirs = _form(now, found.edited, course, data_of(_form(now, found.edited, course)))
    theirs.is_valid()
    mine = dict(form.data.items())
    mine["edited"] = str(found.edited)
    context = {
        "fixture": found,
        "differences": differences(form, theirs),
        "hidden": [(key, value) for key, value in mine.items() if key in form.fields],
    }
    return show(request, "desk/fixture_conflict.html", context, status=409)


def _say(request: Request, changed: Changed) -> None:
    messages.success(request, f"{changed.fixture.name} is changed.")
    if changed.placed:
        placed = names([entry.player.name for entry in changed.placed])
        messages.success(request, f"From the waiting list now in: {placed}.")
    if changed.moved:
        figures = ", ".join(f"{one.name} {one.old} → {one.new}" for one in changed.moved)
        messages.success(request, f"Whose figures move: {figures}.")
