"""Security headers on every answer, what cannot be read, the society's clock, the closed door."""

from collections.abc import Callable, Iterator
from zoneinfo import ZoneInfo

from django.core.exceptions import PermissionDenied
from django.http import (
    HttpRequest,
    HttpResponse,
    HttpResponseNotAllowed,
    JsonResponse,
    QueryDict,
)
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from society.web.access import declared
from society.web.date_style import dates_written
from society.web.errors import page
from society.web.refusals import Refusal
from society.web.rules import DateStyle
from society.web.who import NOBODY

Answer = Callable[[HttpRequest], HttpResponse]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "object-src 'none'",
        "frame-ancestors 'none'",
    )
)


def security_headers(answer: Answer) -> Answer:
    """A strict policy on every answer, errors included; personal pages are not kept by caches."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = answer(request)
        response.headers["Content-Security-Policy"] = POLICY
        response.headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()"
        if not request.path.startswith("/static/"):
            response.headers.setdefault("Cache-Control", "no-store")
        return response

    return middleware


def readable(answer: Answer) -> Answer:
    """400 where the address or a cookie carries a NUL: PostgreSQL takes none, and nobody types one.

    What a form carries is looked at by `Closed`, once it is known to come from our own page.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        told = (request.path_info, *request.COOKIES.values(), *_values(request.GET))
        return page(request, 400) if any("\0" in text for text in told) else answer(request)

    return middleware


def _values(sent: QueryDict) -> Iterator[str]:
    for name, texts in sent.lists():
        yield name
        yield from (text for text in texts if isinstance(text, str))


class TimeZone:
    """Turns on the society's own time zone and order of dates for the length of a request."""

    # members puts its own reading here at start
    ways_of = staticmethod(lambda: ("UTC", DateStyle.DAY_FIRST))

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path.startswith("/static/"):
            return self.answer(request)
        zone, style = self.ways_of()
        with timezone.override(ZoneInfo(zone)), dates_written(style):
            return self.answer(request)


class Closed:
    """Closed by default: signed in, then method, then the office; objects are the view's part."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.answer(request)

    def process_view(
        self, request: HttpRequest, view: object, args: object, kwargs: object
    ) -> HttpResponse | None:
        """The answer that keeps someone out, or None to let the view speak."""
        told = declared(view)
        who = getattr(request, "who", NOBODY)
        if told is None:
            raise PermissionDenied("This page has no declared access.")
        if not told.knows(who):
            return sign_in_first(request, json=told.json)
        if request.method not in told.methods:
            response = page(request, 405)
            response.headers["Allow"] = HttpResponseNotAllowed(told.methods).headers["Allow"]
            return response
        if not told.lets_in(who):
            raise PermissionDenied("That page is for the society's officers.")
        if any("\0" in text for text in _values(request.POST)):
            return page(request, 400)
        return None

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """A refusal that the view did not show beside its field: its sentence on a page."""
        if not isinstance(exception, Refusal):
            return None
        status = exception.status if exception.status in (400, 403, 404) else 409
        return page(request, status, exception.words)


def sign_in_first(request: HttpRequest, *, json: bool = False) -> HttpResponse:
    """302 to the sign-in page; 401 for JSON; 401 with HX-Redirect for a part."""
    back = request.get_full_path() if request.method in ("GET", "HEAD") else "/"
    where = f"{reverse('members:sign_in')}?{urlencode({'next': back})}"
    if getattr(request, "htmx", False):
        response = HttpResponse("Sign in first.", status=401)
        response.headers["HX-Redirect"] = where
        return response
    if json or wants_json(request):
        return JsonResponse({"error": "Sign in first."}, status=401)
    return redirect(where)


def wants_json(request: HttpRequest) -> bool:
    """Whether the caller speaks JSON: what it sends or what it asks for."""
    return request.content_type == "application/json" or (
        request.headers.get("Accept", "").startswith("application/json")
    )
