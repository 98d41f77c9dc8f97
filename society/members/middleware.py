"""Fills `request.who`: the plain value of who acts, once for a request."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from society.members.queries import who_for
from society.web import clock
from society.web.who import NOBODY, Who


class Acting:
    """`request.who` is worked out when first asked for; signed out it is NOBODY."""

    def __init__(self, answer: Callable[[HttpRequest], HttpResponse]) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.who = SimpleLazyObject(lambda: _who(request))  # type: ignore[attr-defined]
        return self.answer(request)


def _who(request: HttpRequest) -> Who:
    account = request.user
    return who_for(account, clock.now()) if account.is_authenticated else NOBODY
