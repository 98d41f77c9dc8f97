"""The last step of a fixture: what is still open gets its ruling, and the result is sealed."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from scoring.results.queries.standings import final_version, provisional
from scoring.results.queries.versions import agreed_by, reopened
from scoring.results.tables.board import board_of
from society.desk.actions.final import make_final as make_it_final
from society.desk.forms.final import FinalForm
from society.desk.queries.final import readiness_of
from society.desk.queries.nav import fixture_links
from society.desk.queries.scores import scores_to_tell
from society.fixtures.access import fixture_to_run
from society.fixtures.queries import competitions_of, the_competition, the_round
from society.members.queries import officers_to_seal, society_day
from society.web import clock
from society.web.access import access
from society.web.pages import show
from society.web.refusals import Refusal
from society.web.request import Request
from society.web.who import ORGANISERS


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def make_final(request: Request, public_id: str) -> HttpResponse:
    """What is open, a choice for each list, and the seal."""
    fixture = fixture_to_run(request.who, public_id)
    competition = the_competition(fixture)
    if final_version(competition):
        to = "desk:reopen" if reopened(fixture) else "results:show"
        return redirect(reverse(to, args=[public_id]))
    ready = readiness_of(fixture, request.who, clock.now())
    form = FinalForm(request.POST if request.method == "POST" else None, ready=ready)
    refusal, status = "", 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                versions = make_it_final(
                    fixture=fixture, **form.as_rulings(), by=request.who, at=clock.now()
                )
            except Refusal as refused:
                refusal, status = refused.words, refused.status
            else:
                messages.success(request, _said([version.fingerprint for version in versions]))
                to = "results:show" if versions else "desk:make_final"
                return redirect(reverse(to, args=[public_id]))
    taken = competition.frozen_at is not None
    standings = [provisional(each) for each in competitions_of(fixture)]
    context = {
        "fixture": fixture,
        "competition": competition,
        "round": the_round(fixture),
        "ready": ready,
        "form": form,
        "refusal": refusal,
        "boards": [(now.competition, board_of(now)) for now in standings],
        "two": officers_to_seal() > 1,
        "agreed": agreed_by(fixture) if officers_to_seal() > 1 and taken else [],
        "left_out": [words for now in standings for words in now.left_out],
        "links": fixture_links(fixture, request.who, "desk:make_final"),
        "taken": taken,
        "records": scores_to_tell(fixture) if taken else None,
        "early": the_round(fixture).day > society_day(clock.now()),
    }
    return show(request, "desk/final.html", context, status=status)


def _said(fingerprints: list[str]) -> str:
    if not fingerprints:
        return "Your agreement is kept. It is final once another officer has agreed to the same."
    if len(fingerprints) == 1:
        return f"The result is final: version 1, fingerprint {fingerprints[0]}."
    return f"The results are final: version 1 of each, fingerprints {', '.join(fingerprints)}."
