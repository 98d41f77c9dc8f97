"""How the letters of a fixture stand, for the pages of those who run it."""

from society.desk.queries.draw import DrawPage
from society.fixtures.models import Fixture
from society.members.queries import Post, post_about
from society.members.rules import LetterKind
from society.web.who import ORGANISERS, Who


def draw_post(fixture: Fixture, page: DrawPage, who: Who) -> Post | None:
    """The letters with everyone's tee time, once the draw is published; for organisers."""
    if not who.may(ORGANISERS) or page.draw is None or not page.draw.is_published:
        return None
    return post_about(f"fixture:{fixture.public_id}", LetterKind.DRAW, latest=True)
