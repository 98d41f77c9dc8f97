"""A wrong handicap found after play: the points follow, the old figure stays on record.

PRACTICE section 12, story 12, on its own course: the card says 20, the right figure is 18; gross 92
gives 36 points off 20 and 34 off 18, holes 5 and 12 lose one each.
"""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from scoring.results.queries.standings import standing
from society.courses.models import TeeHole
from society.entries.actions.freezing import correct_frozen
from society.entries.models import Frozen, Start
from tests.factories.cards import ready
from tests.factories.courses import rated_tee
from tests.factories.entries import entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.results import competition_of, paper

pytestmark = pytest.mark.django_db
PAR = (4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 3, 4, 5, 4, 4, 3, 4, 5)
INDEX = (7, 3, 15, 11, 1, 9, 17, 5, 13, 8, 16, 2, 12, 6, 10, 18, 4, 14)
GROSS = (5, 6, 4, 6, 5, 5, 4, 5, 6, 5, 4, 6, 6, 5, 6, 3, 5, 6)


def story_tee() -> object:
    tee = rated_tee(rating=None)
    TeeHole.objects.filter(tee=tee).delete()
    TeeHole.objects.bulk_create(
        TeeHole(tee=tee, category="men", number=n, par=par, stroke_index=index)
        for n, (par, index) in enumerate(zip(PAR, INDEX, strict=True), start=1)
    )
    return tee


def test_a_handicap_put_right_after_play(at, machine, secretary: Client) -> None:
    fixture = saturday(tee=story_tee(), handicap_kind="playing")
    figures = {"Wrong Latimer": "20", "Other Marlpit": "18"}
    for name, value in figures.items():
        entry = entered(fixture, index=None, name=name)
        handicap(entry.player, value, kind="playing", source="society")
    for start in ready(fixture):
        # the other has one stroke more on the first: 33 points off 18
        strokes = GROSS if start.entry.player.name == "Wrong Latimer" else (6, *GROSS[1:])
        paper(start, strokes)
    wrong = Start.objects.get(entry__player__name="Wrong Latimer")

    def row() -> dict[str, object]:
        answer = standing(competition_of(fixture)).answer
        return next(one for one in answer["standings"] if one["player"] == wrong.entry.key)

    def values() -> list[int]:
        url = reverse("results:card", args=[competition_of(fixture).public_id, wrong.entry.key])
        working = secretary.get(url).context["card"].working
        return [hole.value for hole in working.holes]

    before = values()
    assert (sum(GROSS), row()["total"], sum(before)) == (92, 36, 36)
    correct_frozen(
        start=wrong,
        value=Decimal(18),
        reason_class="wrong handicap",
        words="The card said 20, the record 18.",
        by=machine,
        at=at,
    )
    after = values()
    assert (row()["total"], sum(after)) == (34, 34)
    assert [n for n in range(1, 19) if before[n - 1] != after[n - 1]] == [5, 12]
    rows = Frozen.objects.filter(start=wrong).order_by("number")
    assert [(one.number, int(one.value)) for one in rows] == [(1, 20), (2, 18)]
    shown = secretary.get(reverse("desk:handicaps", args=[fixture.public_id])).content.decode()
    assert "20 became 18: The card said 20, the record 18." in shown
