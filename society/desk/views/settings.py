"""The society's settings: the secretary's page."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from society.desk.forms.settings import SettingsForm
from society.members.actions.society import change_settings
from society.members.queries import the_society
from society.web import clock
from society.web.access import access
from society.web.forms import say_refused
from society.web.pages import show
from society.web.refusals import Missing, NotYours, Refusal
from society.web.request import Request
from society.web.who import KEEPERS


@access(KEEPERS, "GET", "POST")
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: Request) -> HttpResponse:
    """Every setting with a sentence of what it changes; one press keeps them all."""
    society = the_society()
    if society is None:
        raise Missing("There is no society in this database yet.")
    sent = request.POST if request.method == "POST" else None
    form = SettingsForm(sent, initial=SettingsForm.initial_of(society))
    status = 200 if sent is None else 422
    if form.is_valid():
        try:
            changed = change_settings(**form.cleaned_data, by=request.who, at=clock.now())
        except NotYours:
            raise
        except Refusal as refused:
            say_refused(form, refused)
            status = refused.status
        else:
            messages.success(request, _said(form, changed))
            return redirect("desk:settings")
    return show(request, "desk/settings.html", {"form": form}, status=status)


def _said(form: SettingsForm, changed: dict[str, object]) -> str:
    """What is different now."""
    if not changed:
        return "Nothing was changed."
    labels = [str(form.fields[name].label) for name in changed]
    words = f"Changed: {'; '.join(labels)}."
    if "time_zone" in changed:
        words += (
            f" Times are shown for {changed['time_zone']} from now on: a deadline keeps its "
            "moment, so its hour may read differently. Tee times stay as written."
        )
    return words
