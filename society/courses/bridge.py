"""Courses from rows into plain values and back."""

from collections.abc import Iterable

from scoring.rules.values import Category
from society.courses.models import Course, Rating, Tee, TeeHole
from society.courses.rules import CardData, CourseData, RatedHoles, RatingData, TeeData


def data_of(course: Course) -> CourseData:
    """Everything kept of a course, as plain values, ratings in the order of their days.

    Three queries, or none where tees, holes and ratings are prefetched.
    """
    return CourseData(
        name=course.name,
        holes=course.holes,
        tees=tuple(_tee(tee) for tee in sorted(course.tees.all(), key=lambda tee: tee.pk)),
        place=course.place,
    )


def _tee(tee: Tee) -> TeeData:
    holes, ratings = list(tee.holes.all()), list(tee.ratings.all())
    cards = tuple(
        _card(
            category,
            [hole for hole in holes if hole.category == category.value],
            [rating for rating in ratings if rating.category == category.value],
        )
        for category in Category
        if any(hole.category == category.value for hole in holes)
    )
    return TeeData(tee.name, cards, tee.public_id)


def _card(category: Category, rows: list[TeeHole], ratings: Iterable[Rating]) -> CardData:
    rows = sorted(rows, key=lambda hole: hole.number)
    yards = [hole.yards for hole in rows if hole.yards is not None]
    return CardData(
        category=category,
        par=tuple(hole.par for hole in rows),
        stroke_index=tuple(hole.stroke_index for hole in rows),
        yards=tuple(yards) if len(yards) == len(rows) else (),
        ratings=tuple(
            RatingData(
                RatedHoles(rating.holes),
                rating.course_rating,
                rating.slope_rating,
                rating.valid_from,
            )
            for rating in sorted(ratings, key=lambda r: (r.valid_from, r.holes))
        ),
    )


def holes_of(tee: Tee, card: CardData) -> list[TeeHole]:
    """The rows of a card, not saved."""
    return [
        TeeHole(
            tee=tee,
            category=card.category.value,
            number=number,
            par=par,
            stroke_index=index,
            yards=card.yards[number - 1] if card.yards else None,
        )
        for number, (par, index) in enumerate(zip(card.par, card.stroke_index, strict=True), 1)
    ]
