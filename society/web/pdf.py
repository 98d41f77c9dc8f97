"""Paper as an answer to a request."""

from django.http import HttpRequest, HttpResponse

from society.web import errors
from society.web.stamp import Sheets, stamped
from society.web.writer import NO_PANGO, NoPaper, pdf_available, pdf_bytes

__all__ = ["NO_PANGO", "NoPaper", "pdf_available", "pdf_bytes", "pdf_response"]


def pdf_response(
    request: HttpRequest, html: str, filename: str, sheets: Sheets | None = None
) -> HttpResponse:
    """The PDF as an answer, opened in the browser; a page that says why where there is none."""
    try:
        made = pdf_bytes(html) if sheets is None else stamped(html, sheets)
    except NoPaper as missing:
        return errors.page(request, 503, str(missing))
    response = HttpResponse(made, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{filename}"'
    return response
