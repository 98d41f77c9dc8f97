"""Paper as an answer to a request."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from society.web import clock, errors, press
from society.web.refusals import WrongState
from society.web.stamp import Sheets, stamped
from society.web.writer import NO_PANGO, NoPaper, pdf_available, pdf_bytes

__all__ = ["NO_PANGO", "NoPaper", "pdf_available", "pdf_bytes", "pdf_response"]


def pdf_response(
    request: HttpRequest, html: str, filename: str, sheets: Sheets | None = None
) -> HttpResponse:
    """The way to the PDF; where PAPERS_APART is off, the PDF itself, opened in the browser.

    All values are in `html` and `sheets` by now: nothing here reads the database.
    """
    if settings.PAPERS_APART:
        owner = request.who.account or ""  # type: ignore[attr-defined]
        try:
            job = press.ask(html, filename, sheets, owner=owner, at=clock.now())
        except WrongState as refused:
            return errors.page(request, 503, refused.words)
        to = redirect("desk:paper", job)
        to.status_code = 303
        return to
    try:
        made = pdf_bytes(html) if sheets is None else stamped(html, sheets)
    except NoPaper as missing:
        return errors.page(request, 503, str(missing))
    response = HttpResponse(made, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{filename}"'
    return response
