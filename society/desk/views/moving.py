"""The page that moves a fixture to another day."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from society.desk.actions.moving import move_fixture
from society.desk.forms.moving import MoveForm
from society.desk.queries.fixture import move_facts
from society.fixtures.access import fixture_to_run
from society.web import clock
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import BadInput, WrongState
from society.web.request import Request
from society.web.templatetags.look import day_long
from society.web.who import ORGANISERS


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def fixture_move(request: Request, public_id: str) -> HttpResponse:
    """Move a fixture; entries stay, and everyone who is in or waits is told."""
    found = fixture_to_run(request.who, public_id)
    facts = move_facts(found)
    form = MoveForm(
        request.POST or None,
        published=facts.published,
        told=found.state != "planned",
        initial={"day": found.starts_on, "edited": found.edited},
    )
    refusal, status = "", 200
    if request.method == "POST" and form.is_valid():
        try:
            move_fixture(fixture=found, **form.cleaned_data, by=request.who, at=clock.now())
        except BadInput as wrong:
            say_refused(form, wrong)
        except WrongState as wrong:
            refusal, status = wrong.words, 409
        else:
            day = day_long(form.cleaned_data["day"], "year")
            messages.success(request, f"{found.name} moves to {day}. Entries stay.")
            return redirect("desk:steps", public_id)
    if form.is_bound and form.errors:
        status = 422
    context = {"fixture": found, "form": form, "facts": facts, "refusal": refusal}
    return show(request, "desk/fixture_move.html", context, status=status)
