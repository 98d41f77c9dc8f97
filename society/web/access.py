"""What each view declares about who may come in, and the middleware's answer to it.

A view without a declaration is closed. The declarations make the menu, the printed table of
who may do what, the system check and the permission tests.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse

from society.web.refusals import Missing, NotYours
from society.web.who import OFFICERS, Who

PUBLIC = "public"
SIGNED_IN = "signed in"
OR_BY_LINK = "signed in, or a guest by the link of a card"
# Signed in, and the public too while the society has switched that page on.
SEASON_WHEN_PUBLIC = "signed in, or anybody while the season page is public"
RESULTS_WHEN_PUBLIC = "signed in, or anybody while final results are public"
WHEN_PUBLIC = frozenset({SEASON_WHEN_PUBLIC, RESULTS_WHEN_PUBLIC})

View = Callable[..., HttpResponse]


class Switched:
    """Which of WHEN_PUBLIC the society has switched on."""

    on = staticmethod(lambda: frozenset[str]())  # members puts its own reading here at start


@dataclass(frozen=True, slots=True)
class Access:
    """`allowed`: PUBLIC, SIGNED_IN, OR_BY_LINK, one of WHEN_PUBLIC, or roles; one is enough.

    `methods`: those the view answers; GET brings HEAD with it. `json`: a signed-out caller
    gets 401 in place of the way to the sign-in page.
    """

    allowed: str | frozenset[str]
    methods: tuple[str, ...]
    json: bool = False

    def lets_in(self, who: Who) -> bool:
        """Whether this person may come in at all; the object is a question for the view."""
        if self.allowed == PUBLIC:
            return True
        if not self.knows(who):
            return False
        open_to_all = isinstance(self.allowed, str)
        return open_to_all or who.may(self.allowed)

    def knows(self, who: Who) -> bool:
        """Whether nobody has to sign in first: the public, an account, a guest with a link."""
        if who.signed_in or self.allowed == PUBLIC:
            return True
        if self.allowed == OR_BY_LINK:
            return who.is_guest
        return self.allowed in WHEN_PUBLIC and self.allowed in Switched.on()


def access(
    allowed: str | frozenset[str], *methods: str, json: bool = False
) -> Callable[[View], View]:
    """Declare who may use a view and by which methods: `@access(ORGANISERS, "POST")`.

    The access functions' Missing and NotYours become 404 and 403 here.
    """
    if not methods:
        raise ValueError("access: say which methods the view answers.")
    answers = (*methods, "HEAD") if "GET" in methods else methods

    def declare(view: View) -> View:
        @wraps(view)
        def wrapper(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            try:
                return view(request, *args, **kwargs)
            except Missing as refusal:
                raise Http404(refusal.words) from refusal
            except NotYours as refusal:
                raise PermissionDenied(refusal.words) from refusal

        wrapper.access = Access(allowed, answers, json)  # type: ignore[attr-defined]
        return wrapper

    return declare


def declared(view: object) -> Access | None:
    """The declaration of a view, or None if it has none."""
    found = getattr(view, "access", None)
    return found if isinstance(found, Access) else None


__all__ = [
    "OFFICERS",
    "OR_BY_LINK",
    "PUBLIC",
    "RESULTS_WHEN_PUBLIC",
    "SEASON_WHEN_PUBLIC",
    "SIGNED_IN",
    "Switched",
    "WHEN_PUBLIC",
    "Access",
    "access",
    "declared",
]
