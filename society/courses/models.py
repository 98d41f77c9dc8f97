"""Courses, their tees, and what is rated and measured from each."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from scoring.rules.values import Category
from society.courses.rules import RatedHoles
from society.web.ids import public_id

CATEGORIES = [(category.value, category.value.capitalize()) for category in Category]


class Course(models.Model):
    """A golf course of eighteen or nine holes."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    name = models.CharField(max_length=100, unique=True)
    place = models.CharField(max_length=100, blank=True)
    holes = models.PositiveSmallIntegerField(default=18)
    retired = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(holes__in=(9, 18)), name="course_nine_or_eighteen")
        ]

    def __str__(self) -> str:
        return self.name


class Tee(models.Model):
    """One set of tees of a course."""

    public_id = models.CharField(max_length=40, unique=True, default=public_id, editable=False)
    course = models.ForeignKey(Course, on_delete=models.PROTECT, related_name="tees")
    name = models.CharField(max_length=40)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["course", "name"], name="tee_name_once_a_course")
        ]

    def __str__(self) -> str:
        return self.name


class TeeHole(models.Model):
    """Par, stroke index and length of a hole, by tee and category."""

    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="holes")
    category = models.CharField(max_length=10, choices=CATEGORIES)
    number = models.PositiveSmallIntegerField()
    par = models.PositiveSmallIntegerField(validators=[MinValueValidator(3), MaxValueValidator(6)])
    stroke_index = models.PositiveSmallIntegerField()
    yards = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["tee", "category", "number"], name="one_of_each_hole"),
            models.UniqueConstraint(
                fields=["tee", "category", "stroke_index"], name="stroke_index_once"
            ),
            models.CheckConstraint(condition=Q(par__gte=3, par__lte=6), name="par_3_to_6"),
            models.CheckConstraint(condition=Q(number__gte=1, number__lte=18), name="hole_1_to_18"),
            models.CheckConstraint(
                condition=Q(stroke_index__gte=1, stroke_index__lte=18), name="index_1_to_18"
            ),
        ]

    def __str__(self) -> str:
        return f"hole {self.number}"


class Rating(models.Model):
    """Course Rating and Slope Rating of a tee, for a category and the holes played, from a day."""

    tee = models.ForeignKey(Tee, on_delete=models.PROTECT, related_name="ratings")
    category = models.CharField(max_length=10, choices=CATEGORIES)
    holes = models.CharField(max_length=10, choices=[(h.value, h.value) for h in RatedHoles])
    valid_from = models.DateField()
    course_rating = models.DecimalField(max_digits=4, decimal_places=1)
    slope_rating = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["tee", "category", "holes", "valid_from"], name="rating_once_a_day"
            ),
            models.CheckConstraint(
                condition=Q(slope_rating__gte=55, slope_rating__lte=155), name="slope_55_to_155"
            ),
            models.CheckConstraint(
                condition=Q(course_rating__gte=10, course_rating__lte=100),
                name="course_rating_10_to_100",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.course_rating} / {self.slope_rating}"
