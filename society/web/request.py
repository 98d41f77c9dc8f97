"""The request as a view gets it: with who acts on it."""

from __future__ import annotations

from django.http import HttpRequest

from society.web.who import Who


class Request(HttpRequest):
    """What the middleware of members has seen. Only for annotations; Django makes the request."""

    who: Who
