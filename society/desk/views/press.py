"""A paper on its way: how far it is, and the file."""

from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from society.web import clock, errors
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.press import Job, job_of
from society.web.refusals import Missing
from society.web.request import Request

GONE = "That file is no longer here: files are kept for an hour. Print it again."


@access(SIGNED_IN, "GET")
@require_safe
def paper(request: Request, job: str) -> HttpResponse:
    """Says that it is being made and looks again each second, scripts on or off."""
    found = _job(request, job)
    if found.state == "ready":
        return redirect("desk:paper_file", job, found.filename)
    if found.state == "failed":
        return errors.page(request, 503, found.words)
    seconds = max(0, round((clock.now() - found.asked_at).total_seconds()))
    response = show(request, "desk/paper.html", {"job": found, "seconds": seconds})
    response.headers["Refresh"] = "1"
    return response


@access(SIGNED_IN, "GET")
@require_safe
def paper_file(request: Request, job: str, filename: str) -> HttpResponse:
    """The file itself, for the account that asked for it."""
    found = _job(request, job)
    if found.state != "ready" or filename != found.filename:
        raise Missing(GONE)
    response = HttpResponse(found.file.read_bytes(), content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{found.filename}"'
    return response


def _job(request: Request, job: str) -> Job:
    found = job_of(job, owner=request.who.account or "", at=clock.now())
    if found is None:
        raise Missing(GONE)
    return found
