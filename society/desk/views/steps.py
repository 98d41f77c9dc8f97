"""The officers' pages: the steps of one fixture, who did what, and the list of fixtures to run."""

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from scoring.results.queries.versions import reopened
from society.desk.queries.log import who_did_what
from society.desk.queries.nav import fixture_links
from society.desk.queries.organise import fixtures_over, fixtures_to_run
from society.desk.queries.steps import steps_of, steps_summary
from society.fixtures.access import fixture_to_score
from society.fixtures.queries import the_round
from society.fixtures.rules import ENDED, STATE_WORDS, FixtureState
from society.members.queries import outbox
from society.web import clock
from society.web.access import access
from society.web.pages import show
from society.web.request import Request
from society.web.who import ORGANISERS, SCORERS

SHOWN = 8


@access(SCORERS, "GET")
@require_safe
def steps(request: Request, public_id: str) -> HttpResponse:
    """The steps from set-up to published, with what is missing for each."""
    fixture = fixture_to_score(request.who, public_id)
    found = steps_of(fixture, request.who, clock.now())
    said = who_did_what(fixture, request.who)
    state = FixtureState(fixture.state)
    context = {
        "fixture": fixture,
        "round": the_round(fixture),
        "steps": found,
        "summary": steps_summary(found),
        "said": said[:SHOWN],
        "more": len(said) - SHOWN,
        "state": STATE_WORDS[state],
        "organises": request.who.may(ORGANISERS),
        "ended": state in ENDED,
        "again": reopened(fixture),
        "links": fixture_links(fixture, request.who, "desk:steps"),
    }
    return show(request, "desk/steps.html", context)


@access(SCORERS, "GET")
@require_safe
def log(request: Request, public_id: str) -> HttpResponse:
    """Everything that was done to a fixture, the latest first."""
    fixture = fixture_to_score(request.who, public_id)
    context = {"fixture": fixture, "said": who_did_what(fixture, request.who)}
    return show(request, "desk/log.html", context)


@access(SCORERS, "GET")
@require_safe
def organise(request: Request) -> HttpResponse:
    """The fixtures that are not over, each with what it needs next."""
    context = {
        "fixtures": fixtures_to_run(clock.now()),
        "over": fixtures_over(),
        "organises": request.who.may(ORGANISERS),
        "outbox": outbox(clock.now()),
    }
    return show(request, "desk/organise.html", context)
