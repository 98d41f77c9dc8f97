"""Courses kept by form and by file: rows, audit line, refusals."""

import json
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal

import pytest

from scoring.rules.values import Category
from society.audit.models import AuditLine
from society.courses.actions import (
    OutOfDate,
    import_courses,
    import_text,
    keep_course,
    set_retired,
)
from society.courses.bridge import data_of
from society.courses.models import Course, Rating, Tee, TeeHole
from society.courses.queries import course_card, courses_kept, preview
from society.courses.rules import (
    COLUMNS,
    NEEDED,
    CardData,
    CourseData,
    RatedHoles,
    RatingData,
    TeeData,
)
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.sheets import read_sheet
from society.web.who import Who
from tests.factories.courses import INDEXES, PARS, add_category, rated_tee
from tests.society.courses.test_rules import sheet

pytestmark = pytest.mark.usefixtures("society")
RATED = RatingData(RatedHoles.EIGHTEEN, Decimal("70.1"), 120, date(2026, 4, 1))
CARD = CardData(Category.MEN, tuple(PARS), tuple(INDEXES), tuple(range(300, 318)), (RATED,))
FEN = CourseData("Fen", 18, (TeeData("Yellow", (CARD,)),), "by the mere")


def test_a_new_course_is_kept_as_it_was_given(machine: Who, at: datetime) -> None:
    course = keep_course(data=FEN, by=machine, at=at)
    key = course.tees.get().public_id
    assert data_of(Course.objects.get()) == replace(FEN, tees=(replace(FEN.tees[0], key=key),))
    assert TeeHole.objects.count() == 18
    audit = AuditLine.objects.get()
    assert (audit.deed, audit.about) == ("kept a course", f"course:{course.public_id}")
    told = [change["new"] for change in json.loads(audit.changes)]
    assert any(change.get("stroke_index") == INDEXES for change in told)
    assert any(change.get("course_rating") == "70.1" for change in told)


def test_the_same_again_writes_nothing(machine: Who, at: datetime) -> None:
    course = keep_course(data=FEN, by=machine, at=at)
    keep_course(data=FEN, course=course, by=machine, at=at)
    keep_course(data=data_of(course), course=course, by=machine, at=at)
    assert AuditLine.objects.count() == 1


def test_stroke_indexes_may_change_places(machine: Who, at: datetime) -> None:
    course = keep_course(data=FEN, by=machine, at=at)
    swapped = (INDEXES[1], INDEXES[0], *INDEXES[2:])
    card = replace(CARD, stroke_index=swapped, yards=())
    keep_course(
        data=replace(FEN, tees=(TeeData("Yellow", (card,)),)), course=course, by=machine, at=at
    )
    kept = data_of(Course.objects.get()).tees[0].cards[0]
    assert kept.stroke_index == swapped
    assert kept.yards == CARD.yards
    old = [change.get("old") for change in json.loads(AuditLine.objects.latest("number").changes)]
    assert any(was and was.get("stroke_index") == INDEXES for was in old)


def test_a_new_rating_is_added_and_one_of_the_same_day_corrected(
    machine: Who, at: datetime
) -> None:
    course = keep_course(data=FEN, by=machine, at=at)

    def rate(rating: str, day: date) -> None:
        card = replace(
            CARD, ratings=(replace(RATED, course_rating=Decimal(rating), valid_from=day),)
        )
        data = replace(FEN, tees=(TeeData("Yellow", (card,)),))
        keep_course(data=data, course=course, by=machine, at=at)

    rate("70.4", date(2026, 5, 1))
    rate("70.2", date(2026, 4, 1))
    assert list(Rating.objects.order_by("valid_from").values_list("course_rating", flat=True)) == [
        Decimal("70.2"),
        Decimal("70.4"),
    ]
    tee = course.tees.get()
    for day, rating in ((date(2026, 4, 30), "70.2"), (date(2026, 5, 1), "70.4")):
        card = course_card(tee, "men", RatedHoles.EIGHTEEN, day)
        assert card["course_rating"] == Decimal(rating)
    assert course_card(tee, "men", RatedHoles.EIGHTEEN, date(2026, 3, 31))["slope_rating"] is None


def test_tees_that_are_not_named_stay_and_one_may_be_renamed(machine: Who, at: datetime) -> None:
    course = keep_course(data=FEN, by=machine, at=at)
    white = replace(FEN, tees=(TeeData("White", (replace(CARD, ratings=()),)),))
    keep_course(data=white, course=course, by=machine, at=at)
    yellow = course.tees.get(name="Yellow")
    renamed = replace(FEN, tees=(TeeData("Gold", (CARD,), yellow.public_id),))
    keep_course(data=renamed, course=course, by=machine, at=at)
    assert sorted(course.tees.values_list("name", flat=True)) == ["Gold", "White"]
    assert Rating.objects.get().tee == yellow


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "x" * 101}, "name"),
        ({"name": "MOOR"}, "name"),
        ({"holes": 12}, "holes"),
        ({"tees": ()}, "tees"),
        ({"tees": (TeeData("Yellow", (CARD,)), TeeData("yellow", (CARD,)))}, "tees"),
        ({"tees": (TeeData("Yellow", (CARD,), "elsewhere"),)}, "tees"),
    ],
)
def test_keep_course_refuses(
    change: dict[str, object], field: str, machine: Who, at: datetime
) -> None:
    Course.objects.create(name="Moor")
    course = keep_course(data=FEN, by=machine, at=at) if "tees" in change else None
    count = AuditLine.objects.count()
    if change.get("tees") and change["tees"][0].key == "":
        course = None
        change = {"name": "Other"} | change
    with pytest.raises(BadInput) as refusal:
        keep_course(data=replace(FEN, **change), course=course, by=machine, at=at)
    assert refusal.value.field == field
    assert AuditLine.objects.count() == count


def test_the_number_of_holes_stays(machine: Who, at: datetime) -> None:
    course = keep_course(data=FEN, by=machine, at=at)
    with pytest.raises(BadInput):
        keep_course(data=replace(FEN, holes=9), course=course, by=machine, at=at)


@pytest.mark.parametrize("role", ["captain", "scorer"])
def test_courses_are_the_secretarys(role: str, at: datetime) -> None:
    who = Who(account="x", roles=frozenset({role}))
    with pytest.raises(NotYours):
        keep_course(data=FEN, by=who, at=at)
    with pytest.raises(NotYours):
        set_retired(course=Course.objects.create(name="M"), retired=True, by=who, at=at)
    with pytest.raises(NotYours):
        import_courses(lines=(), digest="", by=who, at=at)


def test_a_course_is_retired_and_taken_back(machine: Who, at: datetime) -> None:
    course = keep_course(data=FEN, by=machine, at=at)
    set_retired(course=course, retired=True, by=machine, at=at)
    with pytest.raises(WrongState):
        set_retired(course=course, retired=True, by=machine, at=at)
    assert Course.objects.get().retired
    assert AuditLine.objects.latest("number").deed == "retired a course"
    set_retired(course=course, retired=False, by=machine, at=at)
    assert not Course.objects.get().retired


def test_course_card_needs_the_holes(machine: Who, at: datetime) -> None:
    tee = rated_tee()
    assert course_card(tee, "men", RatedHoles.SECOND_NINE, at.date())["par"] == PARS[9:]
    with pytest.raises(BadInput):
        course_card(tee, "women", RatedHoles.EIGHTEEN, at.date())


# a file


def run(text: str, by: Who, at: datetime) -> list[Course]:
    lines = read_sheet(text, COLUMNS, NEEDED).lines
    return import_courses(lines=lines, digest=preview(lines, at.date()).digest, by=by, at=at)


def test_a_file_is_kept_in_one_deed_and_the_second_time_changes_nothing(
    machine: Who, at: datetime
) -> None:
    both = sheet() + "".join(f"{line}\n" for line in sheet("Moor").splitlines()[1:])
    assert [course.name for course in run(both, machine, at)] == ["Fen", "Moor"]
    assert AuditLine.objects.count() == 1
    assert run(both, machine, at) == []
    assert AuditLine.objects.count() == 1
    assert (Course.objects.count(), Rating.objects.count()) == (2, 2)


def test_a_file_out_of_date_saves_nothing(machine: Who, at: datetime) -> None:
    lines = read_sheet(sheet(), COLUMNS, NEEDED).lines
    digest = preview(lines, at.date()).digest
    Course.objects.create(name="FEN")
    with pytest.raises(OutOfDate):
        import_courses(lines=lines, digest=digest, by=machine, at=at)
    assert not Tee.objects.exists()


def test_a_refused_course_is_left_out_and_the_others_kept(machine: Who, at: datetime) -> None:
    bad = sheet("Moor").replace(",120,", ",20,")
    both = sheet() + "".join(f"{line}\n" for line in bad.splitlines()[1:])
    assert [course.name for course in run(both, machine, at)] == ["Fen"]
    with pytest.raises(BadInput, match="Moor: Yellow, men: slope rating 20"):
        import_text(text=bad, by=machine, at=at)


def test_import_text(machine: Who, at: datetime) -> None:
    assert [course.name for course in import_text(text=sheet(), by=machine, at=at)] == ["Fen"]


def test_what_is_kept_is_read_with_a_fixed_number_of_queries(
    django_assert_num_queries: object,
) -> None:
    for _ in range(3):
        add_category(rated_tee())
    with django_assert_num_queries(4):  # type: ignore[operator]
        assert len(courses_kept()) == 3
