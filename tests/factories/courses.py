"""A course with one rated tee: par 72, as in the practice study's story course."""

from datetime import date
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from society.courses.models import Course, Rating, Tee, TeeHole

PARS = [4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 3, 4, 5, 4, 4, 3, 4, 5]
INDEXES = [7, 3, 15, 11, 1, 9, 17, 5, 13, 8, 16, 2, 12, 6, 10, 18, 4, 14]


class CourseFactory(DjangoModelFactory):
    class Meta:
        model = Course

    name = factory.Sequence(lambda n: f"Course {n}")


class TeeFactory(DjangoModelFactory):
    class Meta:
        model = Tee

    course = factory.SubFactory(CourseFactory)
    name = factory.Sequence(lambda n: f"tee {n}")


def rated_tee(
    *, category: str = "men", rating: str | None = "70.1", slope: int = 120, **values: object
) -> Tee:
    """A tee with eighteen holes and, unless `rating` is None, a rating for eighteen."""
    tee = TeeFactory(**values)
    add_category(tee, category=category, rating=rating, slope=slope)
    return tee


def add_category(
    tee: Tee, *, category: str = "women", rating: str | None = "72.0", slope: int = 125
) -> None:
    """The holes (and rating) of one more category on a tee."""
    TeeHole.objects.bulk_create(
        TeeHole(tee=tee, category=category, number=n, par=par, stroke_index=si, yards=300)
        for n, (par, si) in enumerate(zip(PARS, INDEXES, strict=True), 1)
    )
    if rating:
        Rating.objects.create(
            tee=tee,
            category=category,
            holes="18",
            valid_from=date(2020, 1, 1),
            course_rating=Decimal(rating),
            slope_rating=slope,
        )
