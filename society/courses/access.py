"""Which courses a person may see or change."""

from society.courses.models import Course
from society.web.refusals import Missing, NotYours
from society.web.who import KEEPERS, Who


def course_to_read(who: Who, public_id: str) -> Course:
    """A course for anyone who is signed in. Raises Missing."""
    found = (
        Course.objects.filter(public_id=public_id)
        .prefetch_related("tees__holes", "tees__ratings")
        .first()
    )
    if found is None or not who.signed_in:
        raise Missing("There is no such course.")
    return found


def course_to_run(who: Who, public_id: str) -> Course:
    """A course to change: the secretary's. Raises Missing, NotYours."""
    found = course_to_read(who, public_id)
    if not who.may(KEEPERS):
        raise NotYours("Courses are in the secretary's keeping.")
    return found
