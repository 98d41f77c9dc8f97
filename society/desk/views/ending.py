"""Ending a fixture without a result: cancelled before it was played, or void."""

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from society.desk.actions.changing import end_fixture
from society.fixtures.access import fixture_to_run
from society.fixtures.forms.season import EndForm
from society.fixtures.rules import FixtureState
from society.web.access import access
from society.web.pages import done, show
from society.web.request import Request
from society.web.who import ORGANISERS


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def fixture_end(request: Request, public_id: str) -> HttpResponse:
    """Cancel a fixture, or declare it void, with a reason."""
    fixture = fixture_to_run(request.who, public_id)
    form = EndForm(request.POST or None, initial={"how": FixtureState.CANCELLED.value})
    if request.method == "POST" and form.is_valid():
        void = form.cleaned_data["how"] == FixtureState.VOID.value
        return done(
            request,
            end_fixture,
            fixture=fixture,
            void=void,
            words=form.cleaned_data["words"],
            to=reverse("desk:fixture", args=[public_id]),
            said=f"{fixture.name} is {'void' if void else 'cancelled'}.",
        )
    status = 422 if form.is_bound and form.errors else 200
    return show(request, "fixtures/end.html", {"form": form, "fixture": fixture}, status=status)
