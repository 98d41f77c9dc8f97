"""A card of the course that was wrong is taken over again: for everybody, with a reason."""

from collections.abc import Sequence
from datetime import datetime, timedelta

import pytest
from django.test import Client

from scoring.results.models import ResultVersion
from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.courses.models import Rating, TeeHole
from society.desk.actions.final import make_final
from society.desk.actions.reopening import ask_to_reopen, seal_again
from society.entries.actions.course_cards import correct_course_cards
from society.entries.bridge.tees import differing_cards
from society.entries.models import CourseCard, Frozen
from society.fixtures.models import Fixture
from society.members.models import Society
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import NOBODY, Who
from tests.factories.courses import PARS
from tests.factories.entries import BY, entered
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, played

pytestmark = pytest.mark.django_db

WHY = "holes 5 and 12 had each other's stroke index"


def off(fixture: Fixture, playing: int) -> None:
    """Everyone plays off this many strokes."""
    for start in fixture.rounds.get().starts.order_by("pk"):
        Frozen.objects.create(
            start=start, number=2, kind="playing", value=playing, tee=start.tee, at=AT, by=BY,
            category=start.entry.category, course_card=start.frozen.get().course_card,
        )  # fmt: skip


def swap_indexes(fixture: Fixture, one: int, other: int) -> None:
    """Put the course right: two holes change their stroke index."""
    holes = TeeHole.objects.filter(tee__course=fixture.rounds.get().course)
    first, second = holes.get(number=one), holes.get(number=other)
    first.stroke_index, second.stroke_index = second.stroke_index, first.stroke_index
    holes.filter(number__in=(one, other)).delete()
    TeeHole.objects.bulk_create([first, second])


def points(version: ResultVersion) -> int:
    answer = read_json(version.outputs)
    assert isinstance(answer, dict)
    return answer["standings"][0]["total"]


def all_pars(but: int) -> Sequence[int | None]:
    """Par on every hole, and no score on one."""
    return [None if hole == but else par for hole, par in enumerate(PARS, 1)]


def test_a_wrong_stroke_index_found_after_the_seal(society: Society) -> None:
    """One stroke falls on stroke index 1. Pars earn 2 points each, 3 with a stroke (Rule 21.1b).

    On hole 5, where there is no score, the stroke is lost: 17 × 2 = 34. On hole 12 it counts: 35.
    """
    day = played([all_pars(but=5)])
    off(day, 1)
    (first,) = make_final(fixture=day, by=OFFICER, at=AT)
    assert points(first) == 34
    swap_indexes(day, 5, 12)
    later = AT + timedelta(days=2)
    with pytest.raises(WrongState, match="final"):
        correct_course_cards(fixture=day, words=WHY, by=OFFICER, at=later)
    ask_to_reopen(fixture=day, reason_class="error in our working", words=WHY, by=OFFICER, at=later)
    (found,) = differing_cards(day.rounds.get())
    assert found.words == (
        "hole 5: stroke index 2, was 1", "hole 12: stroke index 1, was 2",
    )  # fmt: skip
    (card,) = correct_course_cards(fixture=day, words=WHY, by=OFFICER, at=later)
    assert (card.number, card.reason) == (2, WHY)
    (second,) = seal_again(fixture=day, by=OFFICER, at=later)
    assert (points(first), points(second)) == (34, 35)


def test_a_rating_put_right_moves_what_everybody_plays_off(
    society: Society, machine: Who, at: datetime
) -> None:
    day = played([PARS])
    Rating.objects.update(slope_rating=130)
    (card,) = correct_course_cards(
        fixture=day, words="the slope was last year's", by=machine, at=at
    )
    assert read_json(card.card)["slope_rating"] == 130
    assert differing_cards(day.rounds.get()) == []
    line = AuditLine.objects.get(deed="course card corrected")
    assert "slope 130, was 120" in line.changes


def test_refusals(society: Society, machine: Who, at: datetime) -> None:
    day = played([PARS])
    cards = CourseCard.objects.count()
    with pytest.raises(WrongState, match="the same as the course has them"):
        correct_course_cards(fixture=day, words="why not", by=machine, at=at)
    swap_indexes(day, 5, 12)
    with pytest.raises(BadInput, match="Say why"):
        correct_course_cards(fixture=day, words=" ", by=machine, at=at)
    with pytest.raises(NotYours):
        correct_course_cards(fixture=day, words=WHY, by=NOBODY, at=at)
    Rating.objects.all().delete()
    with pytest.raises(BadInput, match="no rating there"):
        correct_course_cards(fixture=day, words=WHY, by=machine, at=at)
    untaken = saturday()
    entered(untaken)
    with pytest.raises(WrongState, match="the same"):
        correct_course_cards(fixture=untaken, words=WHY, by=machine, at=at)
    assert CourseCard.objects.count() == cards


def test_the_handicaps_page_shows_what_differs_and_takes_it_over(secretary: Client) -> None:
    day = played([PARS])
    address = f"/fixtures/{day.public_id}/handicaps/"
    assert "another card now" not in secretary.get(address).content.decode()
    swap_indexes(day, 5, 12)
    assert "Hole 5: stroke index 2, was 1" in secretary.get(address).content.decode()
    refused = secretary.post(f"{address}course-cards/", {"words": ""})
    assert refused.status_code == 422
    assert "Say why, in a few words." in refused.content.decode()
    assert secretary.post(f"{address}course-cards/", {"words": WHY}).status_code == 302
    page = secretary.get(address).content.decode()
    assert "of the course taken over again" in page
    assert "another card now" not in page
