"""The rules of a season table for officers: set them, or try others without keeping anything."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from society.merit.access import season_to_run, table_to_run
from society.merit.actions import set_rules, start_table
from society.merit.bridge import Fixture, results_of
from society.merit.forms.deeds import ReasonForm
from society.merit.forms.setting import RulesForm, initial_of
from society.merit.queries import standing_by, version_of
from society.merit.rules.reading import rules_from_json
from society.merit.rules.values import MeritRules
from society.merit.rules.words import sentences_of
from society.merit.tables.trial import trial_of
from society.web import clock
from society.web.access import access
from society.web.pages import show as show_page
from society.web.refusals import BadInput
from society.web.request import Request
from society.web.who import ORGANISERS


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: Request, public_id: str) -> HttpResponse:
    """The rules of a table, to be read as sentences and changed as a form."""
    table = table_to_run(request.who, public_id)
    now = rules_from_json(table.rules)
    fixtures = results_of(table.season).fixtures
    form = RulesForm(request.POST or None, initial=initial_of(table.name, now), fixtures=fixtures)
    sealed = version_of(table)
    reason = ReasonForm(request.POST or None, needed=sealed is not None)
    if request.method == "POST" and form.is_valid() and reason.is_valid():
        try:
            set_rules(
                table=table,
                name=form.cleaned_data["name"],
                rules=form.rules(),
                words=reason.cleaned_data["words"],
                by=request.who,
                at=clock.now(),
            )
        except BadInput as refused:
            (reason if refused.field == "words" else form).add_error(refused.field, refused.words)
        else:
            messages.success(request, "The rules are set; the table goes by them from now on.")
            return redirect(reverse("merit:show", args=[public_id]))
    context = {
        "form": form,
        "reason": reason,
        "sentences": _sentences(now, fixtures),
        "title": table.name,
        "table": table,
        "sealed": sealed,
    }
    return show_page(request, "merit/rules.html", context, status=422 if form.is_bound else 200)


@access(ORGANISERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: Request, season: str) -> HttpResponse:
    """A table for a season."""
    found = season_to_run(request.who, season)
    fixtures = results_of(found).fixtures
    initial = initial_of("Order of merit", MeritRules())
    form = RulesForm(request.POST or None, initial=initial, fixtures=fixtures)
    if request.method == "POST" and form.is_valid():
        try:
            table = start_table(
                season=found,
                name=form.cleaned_data["name"],
                rules=form.rules(),
                by=request.who,
                at=clock.now(),
            )
        except BadInput as refused:
            form.add_error(refused.field, refused.words)
        else:
            messages.success(request, f"{table.name} is set up.")
            return redirect(reverse("merit:show", args=[table.public_id]))
    context = {"form": form, "sentences": [], "title": f"New table, {found.name}"}
    return show_page(request, "merit/rules.html", context, status=422 if form.is_bound else 200)


@access(ORGANISERS, "GET")
@require_safe
def trial(request: Request, public_id: str) -> HttpResponse:
    """Other rules on a copy that is in the address alone: who would move, and why."""
    table = table_to_run(request.who, public_id)
    now = rules_from_json(table.rules)
    results = results_of(table.season, contests=True)
    initial = initial_of(table.name, now)
    form = RulesForm(request.GET or None, initial=initial, fixtures=results.fixtures)
    found, sentences = None, []
    if form.is_bound and form.is_valid():
        other = form.rules()
        found = trial_of(standing_by(table, now, results), standing_by(table, other, results))
        sentences = _sentences(other, results.fixtures)
    sealed = version_of(table)
    context = {
        "form": form,
        "reason": ReasonForm(needed=sealed is not None),
        "table": table,
        "sentences": sentences,
        "as_they_stand": _sentences(now, results.fixtures),
        "trial": found,
        "sealed": sealed,
        "kept": [(name, value) for name, values in request.GET.lists() for value in values],
    }
    wrong = form.is_bound and found is None
    return show_page(request, "merit/try.html", context, status=422 if wrong else 200)


def _sentences(rules: MeritRules, fixtures: Sequence[Fixture]) -> list[str]:
    return sentences_of(
        rules, sum(f.off for f in fixtures), {fixture.key: fixture.name for fixture in fixtures}
    )
