"""Reads of courses: the card of a tee for a category, with the ratings in force on a day."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date

from django.db.models import QuerySet
from django.db.models.functions import Lower

from society.courses.bridge import data_of
from society.courses.models import Course, Rating, Tee, TeeHole
from society.courses.rules import (
    HOLES_IN_WORDS,
    CardData,
    CourseData,
    CoursePromise,
    RatedHoles,
    RatingData,
    TeeData,
    promises,
)
from society.web.refusals import BadInput
from society.web.rules import Outcome, SheetLine, fingerprint


def courses() -> QuerySet[Course]:
    """All courses by name, those in use first, with everything that belongs to them."""
    return Course.objects.order_by("retired", Lower("name")).prefetch_related(
        "tees__holes", "tees__ratings"
    )


def courses_kept() -> dict[str, CourseData]:
    """All courses as plain values, by their names in small letters."""
    return {course.name.casefold(): data_of(course) for course in courses()}


@dataclass(frozen=True, slots=True)
class Preview:
    """The promises for the courses of a file, and the fingerprint of lines and promises."""

    lines: Sequence[SheetLine]
    promises: Sequence[CoursePromise]
    digest: str

    def of(self, outcome: Outcome) -> list[CoursePromise]:
        """The promises with one outcome, in the order of the file."""
        return [promise for promise in self.promises if promise.outcome is outcome]


def preview(lines: Sequence[SheetLine], today: date) -> Preview:
    """What would happen with each course as things stand now; nothing is written."""
    made = promises(lines, courses_kept(), today)
    return Preview(lines, made, fingerprint(lines, [asdict(promise) for promise in made]))


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


def rated_after(tee: Tee, category: str, holes: RatedHoles, on: date) -> date | None:
    """The day from which the first rating that comes after `on` is valid; None if there is none."""
    later = Rating.objects.filter(
        tee=tee, category=category, holes=holes.value, valid_from__gt=on
    ).order_by("valid_from")
    return later.values_list("valid_from", flat=True).first()


def listed_courses() -> list[dict[str, object]]:
    """The list of courses: each with its tees in words and whether anything on it is rated."""
    listed = []
    for course in courses():
        data = data_of(course)
        cards = [(tee.name, card) for tee in data.tees for card in tee.cards]
        listed.append(
            {
                "course": course,
                "tees": [f"{tee}, {card.category.value}: {card.in_words}" for tee, card in cards],
                "unrated": not any(card.ratings for _, card in cards),
            }
        )
    return listed


def card_tables(course: Course, on: date) -> list[dict[str, object]]:
    """Each card of a course as a table: holes, sums, ratings newest first with the one in force."""
    return [_card_table(tee, card, on) for tee in data_of(course).tees for card in tee.cards]


def _card_table(tee: TeeData, card: CardData, on: date) -> dict[str, object]:
    yards = card.yards or (None,) * len(card.par)
    holes = [
        {"number": number, "par": par, "index": index, "yards": length}
        for number, (par, index, length) in enumerate(
            zip(card.par, card.stroke_index, yards, strict=True), 1
        )
    ]
    halves = [("Out", slice(0, 9))] + ([("In", slice(9, 18))] if len(holes) == 18 else [])
    in_force: dict[RatedHoles, RatingData] = {}
    for rating in card.ratings:
        if rating.valid_from <= on:
            in_force[rating.holes] = rating
    return {
        "tee": tee.name,
        "key": f"{tee.key}.{card.category.value}",
        "category": card.category.value,
        "nines": [
            {
                "name": name,
                "holes": holes[part],
                "par": sum(card.par[part]),
                "yards": f"{sum(card.yards[part]):,}" if card.yards else None,
            }
            for name, part in halves
        ],
        "par": sum(card.par),
        "yards": f"{sum(card.yards):,}" if card.yards else None,
        "ratings": [
            {
                "rating": rating,
                "what": HOLES_IN_WORDS[rating.holes],
                "in_force": in_force.get(rating.holes) == rating,
                "to_come": rating.valid_from > on,
            }
            for rating in reversed(card.ratings)
        ],
    }
