"""The deeds of courses: kept from a form or a file, retired, taken back into use."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from society.audit.actions import Deed, deed
from society.courses.bridge import data_of, holes_of
from society.courses.models import Course, Rating, Tee
from society.courses.queries import preview
from society.courses.rules import (
    COLUMNS,
    NEEDED,
    CardData,
    CourseData,
    TeeData,
    changes,
    find_tee,
)
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.rules import Outcome, SheetLine, clean_text
from society.web.sheets import read_sheet
from society.web.who import KEEPERS, Who


class OutOfDate(WrongState):
    """Since the preview was made something changed: what would happen now is not what it said."""


def keep_course(*, data: CourseData, course: Course | None = None, by: Who, at: datetime) -> Course:
    """Keep a new course, or what is new of one. Tees, cards and ratings not named stay.

    A rating from a day that has one is corrected; from another day it is added. Handicaps taken
    before keep their own copy of the card. Nothing new writes nothing. Raises NotYours, BadInput.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary keeps courses.")
    with transaction.atomic():
        if course is not None:
            course = Course.objects.select_for_update().get(pk=course.pk)
        return _keep(data, course or Course(holes=data.holes), by, at)


def _keep(data: CourseData, course: Course, by: Who, at: datetime) -> Course:
    """`course` may be new and not saved yet."""
    kept = data_of(course) if course.pk else None
    _check_course(data, course)
    _check_tees(data)
    new = changes(kept, data)
    if kept and not new:
        return course
    about = f"course:{course.public_id}"
    with deed(by=by, at=at, what="kept a course", about=about) as d:
        course.name, course.place = data.name, data.place
        course.save()
        for tee in data.tees:
            _keep_tee(course, kept, tee, d)
        d.change(about, {"changes": new, "name": data.name, "place": data.place})
    return course


def _check_course(data: CourseData, course: Course) -> None:
    try:
        name = clean_text(data.name, what="The name of the course")
        clean_text(data.place, what="The place")
    except ValueError as wrong:
        raise BadInput(str(wrong), field="name") from wrong
    if not name:
        raise BadInput("A course needs a name.", field="name")
    if Course.objects.filter(name__iexact=name).exclude(public_id=course.public_id).exists():
        raise BadInput(f"There is a course {name} already.", field="name")
    if data.holes not in (9, 18):
        raise BadInput("A course has eighteen or nine holes.", field="holes")
    if data.holes != course.holes:
        raise BadInput("The number of holes of a course stays as it is.", field="holes")


def _check_tees(data: CourseData) -> None:
    if not any(tee.cards for tee in data.tees):
        raise BadInput("A course needs a tee with its card.", field="tees")
    names = [tee.name.casefold() for tee in data.tees]
    if len(set(names)) != len(names):
        raise BadInput("Two tees have the same name.", field="tees")


def _keep_tee(course: Course, kept: CourseData | None, wanted: TeeData, d: Deed) -> None:
    same = find_tee(kept.tees, wanted) if kept else None
    if wanted.key and same is None:
        raise BadInput("That tee is not of this course.", field="tees")
    if same is None:
        tee = Tee.objects.create(course=course, name=wanted.name)
    else:
        tee = course.tees.get(public_id=same.key)
        if wanted.key and tee.name != wanted.name:
            tee.name = wanted.name
            tee.save(update_fields=["name"])
    for card in wanted.cards:
        old = next((c for c in same.cards if c.category is card.category), None) if same else None
        _keep_holes(tee, old, card, d)
        _keep_ratings(tee, card, d)


def _keep_holes(tee: Tee, old: CardData | None, card: CardData, d: Deed) -> None:
    yards = card.yards or (old.yards if old else ())
    wanted = CardData(card.category, card.par, card.stroke_index, yards)
    figures = ("par", "stroke_index", "yards")
    if old and all(getattr(old, name) == getattr(wanted, name) for name in figures):
        return
    tee.holes.filter(category=card.category.value).delete()
    tee.holes.bulk_create(holes_of(tee, wanted))
    d.change(
        f"course:{tee.course.public_id}",
        {"category": card.category.value, "tee": tee.public_id}
        | {name: list(getattr(wanted, name)) for name in figures},
        {name: list(getattr(old, name)) for name in figures} if old else None,
    )


def _keep_ratings(tee: Tee, card: CardData, d: Deed) -> None:
    for rating in card.ratings:
        figures = {"course_rating": rating.course_rating, "slope_rating": rating.slope_rating}
        key: dict[str, Any] = {
            "category": card.category.value,
            "holes": rating.holes.value,
            "valid_from": rating.valid_from,
        }
        row = Rating.objects.filter(tee=tee, **key).first()
        old = {name: getattr(row, name) for name in figures} if row else None
        if old == figures:
            continue
        Rating.objects.update_or_create(tee=tee, **key, defaults=figures)
        told = key | {"valid_from": rating.valid_from.isoformat(), "tee": tee.public_id}
        d.change(f"course:{tee.course.public_id}", told | figures, old)


def set_retired(*, course: Course, retired: bool, by: Who, at: datetime) -> None:
    """Take a course out of use for new fixtures, or back. What was played there stays."""
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary keeps courses.")
    about = f"course:{course.public_id}"
    what = "retired a course" if retired else "took a course back into use"
    with deed(by=by, at=at, what=what, about=about) as d:
        course = Course.objects.select_for_update().get(pk=course.pk)
        if course.retired == retired:
            raise WrongState(f"{course.name} is {'retired' if retired else 'in use'} already.")
        course.retired = retired
        course.save(update_fields=["retired"])
        d.change(about, {"retired": retired}, {"retired": not retired})


def import_courses(
    *, lines: Sequence[SheetLine], digest: str, by: Who, at: datetime
) -> list[Course]:
    """Do what a preview promised for a file, if it is still what would happen.

    Refused courses are left out. Returns those that are new or changed. Raises OutOfDate,
    NotYours.
    """
    if not by.may(KEEPERS):
        raise NotYours("Only the secretary keeps courses.")
    with transaction.atomic():
        now = preview(lines, timezone.localdate(at))
        if now.digest != digest:
            raise OutOfDate(
                "Something changed since this was shown: a course, or the day. "
                "Here is what would happen now. Nothing was saved."
            )
        wanted = [*now.of(Outcome.NEW), *now.of(Outcome.CHANGED)]
        if not wanted:
            return []
        names = {promise.name for promise in wanted}
        known = {course.name: course for course in Course.objects.filter(name__in=names)}
        meant = [
            (promise.data, known.get(promise.name) or Course(holes=promise.data.holes))
            for promise in wanted
            if promise.data is not None
        ]
        about = f"course:{meant[0][1].public_id}"
        with deed(by=by, at=at, what="imported courses", about=about):
            return [_keep(data, course, by, at) for data, course in meant]


def import_text(*, text: str, by: Who, at: datetime) -> list[Course]:
    """Import the text of a CSV file that is known to be good, without showing it first.

    Raises BadInput for a course that is refused, naming it.
    """
    lines = read_sheet(text, COLUMNS, NEEDED).lines
    shown = preview(lines, timezone.localdate(at))
    for promise in shown.of(Outcome.REFUSED):
        raise BadInput(f"{promise.name}: {' '.join(promise.words)}")
    return import_courses(lines=lines, digest=shown.digest, by=by, at=at)
