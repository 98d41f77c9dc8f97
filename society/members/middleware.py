"""Fills `request.who`: the plain value of who acts, once for a request."""

from collections.abc import Callable, Mapping
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.utils.functional import SimpleLazyObject

from society.members.queries import who_for
from society.web import clock
from society.web.who import NOBODY, Who


def _no_guest(session: Mapping[str, object], at: datetime) -> Who:
    return NOBODY


class Acting:
    """`request.who` is worked out when first asked for; signed out it is a guest or NOBODY."""

    # cards puts its own reading of a guest's link here at start
    guest_by = staticmethod(_no_guest)

    def __init__(self, answer: Callable[[HttpRequest], HttpResponse]) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.who = SimpleLazyObject(lambda: self._who(request))  # type: ignore[attr-defined]
        return self.answer(request)

    def _who(self, request: HttpRequest) -> Who:
        account = request.user
        if account.is_authenticated:
            return who_for(account, clock.now())
        return self.guest_by(request.session, clock.now())
