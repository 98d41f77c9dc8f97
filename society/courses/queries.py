"""Reads of courses: the card of a tee for a category, with the ratings in force on a day."""

from datetime import date

from society.courses.models import Rating, Tee, TeeHole
from society.courses.rules import RatedHoles
from society.web.refusals import BadInput


def course_card(tee: Tee, category: str, holes: RatedHoles, on: date) -> dict[str, object]:
    """The card of a tee: name, par, stroke_index, yards, course_rating, slope_rating.

    The lists follow the holes in play; ratings are None where the tee has none in force on the
    day. Raises BadInput if the tee has no such holes for the category.
    """
    rows = {
        row.number: row
        for row in TeeHole.objects.filter(tee=tee, category=category, number__in=holes.numbers)
    }
    if len(rows) != holes.count:
        raise BadInput(f"The {tee.name} tee has no card for {category}.")
    ordered = [rows[number] for number in holes.numbers]
    rating = (
        Rating.objects.filter(tee=tee, category=category, holes=holes.value, valid_from__lte=on)
        .order_by("-valid_from")
        .first()
    )
    return {
        "name": tee.name,
        "par": [row.par for row in ordered],
        "stroke_index": [row.stroke_index for row in ordered],
        "yards": [row.yards for row in ordered],
        "course_rating": rating.course_rating if rating else None,
        "slope_rating": rating.slope_rating if rating else None,
    }
