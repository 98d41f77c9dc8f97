"""How a view answers: a page or its part, and a deed done or refused."""

from collections.abc import Callable, Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import patch_vary_headers

from society.web import clock, errors
from society.web.refusals import Missing, NotYours, Refusal


def show(
    request: HttpRequest,
    template: str,
    context: Mapping[str, object] | None = None,
    *,
    part: str | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page, or only its part for an htmx request that is no history restore.

    `part` is the template of the part; it must be one that the page includes.
    """
    htmx = getattr(request, "htmx", None)
    chosen = part if part and htmx and not htmx.history_restore_request else template
    response = render(request, chosen, dict(context or {}), status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response


def unlisted(response: HttpResponse) -> HttpResponse:
    """A page that anybody may read, but no search engine keeps."""
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    return response


def done(
    request: HttpRequest,
    action: Callable[..., object],
    *,
    to: str,
    said: str | Callable[[object], str] = "",
    **values: object,
) -> HttpResponse:
    """Do one deed with `by` and `at` filled in, then go on to the address `to`.

    A refusal becomes the error page with its own sentence (the form pages catch theirs
    themselves to show it beside the field).
    """
    try:
        outcome = action(by=request.who, at=clock.now(), **values)  # type: ignore[attr-defined]
    except (Missing, NotYours):
        raise
    except Refusal as refusal:
        return errors.page(request, 409 if refusal.status == 422 else refusal.status, refusal.words)
    words = said(outcome) if callable(said) else said
    if words:
        messages.success(request, words)
    return redirect(to)
