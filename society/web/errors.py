"""The error pages: the same look, a sentence that says what and where, and the way back."""

from django.http import HttpRequest, HttpResponse, HttpResponseServerError
from django.shortcuts import render
from django.template.loader import render_to_string

_WORDS = {
    400: "The request could not be read. Nothing was changed.",
    403: "You may not do that here. Nothing was changed.",
    404: "There is no such page, or it is not for you to see.",
    405: "That address does not take what was sent to it. Nothing was changed.",
    409: "That cannot be done now. Nothing was changed.",
}


def page(request: HttpRequest, status: int, words: str = "") -> HttpResponse:
    """One error page: `words` stands in place of the usual sentence."""
    sentence = words or _WORDS.get(status, _WORDS[400])
    return render(
        request, f"errors/{status}.html", {"words": sentence, "status": status}, status=status
    )


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return page(request, 400)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return page(request, 403, str(exception or ""))


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    words = exception.args[0] if exception and exception.args else ""
    return page(request, 404, words if isinstance(words, str) else "")


def server_error(request: HttpRequest) -> HttpResponse:
    """Rendered without the request, hence without the frame: the database may be what failed."""
    return HttpResponseServerError(render_to_string("errors/500.html"))


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form that did not come from our own page, or whose page was left open too long."""
    return page(
        request,
        403,
        "This form was opened too long ago, or did not come from our own page. "
        "Go back, load the page again and send it once more. Nothing was changed.",
    )
