"""Which handicap a season is played off: a page for the handicap secretary and the organisers."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from society.desk.forms.cuts import CutRulesForm, begin_with
from society.desk.forms.season_handicaps import SeasonHandicapsForm
from society.desk.queries.mine import day_of
from society.desk.queries.season_handicaps import season_handicaps_page
from society.fixtures.access import season_to_read
from society.fixtures.actions.seasons import set_season_handicaps
from society.handicaps.rules.cuts.reading import read_cuts
from society.web import clock
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.who import HANDICAPPERS, ORGANISERS


@access(HANDICAPPERS | ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def season_handicaps(request: Request, public_id: str) -> HttpResponse:
    """The rules in plain words and as a form; `?cuts=` fills in a set of cuts to begin with."""
    season = season_to_read(request.who, public_id)
    page = season_handicaps_page(season, day_of(clock.now()))
    sent = request.POST if request.method == "POST" else None
    cuts_now = None if page.rules.cuts is None else read_cuts(page.rules.cuts)
    form = SeasonHandicapsForm(sent, initial=SeasonHandicapsForm.initial_of(page.rules, page.day))
    cuts = CutRulesForm(sent, initial=begin_with(request.GET.get("cuts", "")) or cuts_now)
    status = 200 if sent is None else 422
    if sent is not None and form.is_valid() and cuts.is_valid():
        try:
            set_season_handicaps(
                season=season,
                rules=form.rules(cuts.rules()),
                valid_from=form.cleaned_data["valid_from"],
                words=form.cleaned_data["words"],
                by=request.who,
                at=clock.now(),
            )
        except (Missing, NotYours):
            raise
        except Refusal as refused:
            say_refused(form, refused)
            status = refused.status
        else:
            messages.success(request, "The rules are set. Handicaps taken before stay as they are.")
            return redirect("desk:season_handicaps", public_id)
    context = {"season": season, "page": page, "form": form, "cuts": cuts}
    context["wrong"] = form if form.errors or not cuts.errors else cuts
    return show(request, "desk/season_handicaps.html", context, status=status)
