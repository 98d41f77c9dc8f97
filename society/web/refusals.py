"""How an action says no: an exception with a sentence fit for the screen."""


class Refusal(Exception):  # noqa: N818 - a refusal is no error
    """An action that changes nothing, and why.

    `words`: one or more plain sentences. `field`: the form field it is about, if any.
    `status`: the HTTP status a page answers with.
    """

    status = 409

    def __init__(self, words: str, *, field: str | None = None) -> None:
        super().__init__(words)
        self.words = words
        self.field = field


class WrongState(Refusal):
    """The step cannot be taken now (409)."""


class BadInput(Refusal):
    """A figure or word that cannot be taken (422)."""

    status = 422


class NotYours(Refusal):
    """Visible, but not for this person to do (403)."""

    status = 403


class Missing(Refusal):
    """Not there, or not visible to this person (404)."""

    status = 404
