"""What a final result tells the handicap records: the scores of its cards, and what is left out."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from scoring.results.actions.ruling import rule
from scoring.rules.strict_json import read_json
from society.audit.models import AuditLine
from society.desk.actions.final import Fate, make_final
from society.desk.actions.reopening import ask_to_reopen, seal_again
from society.desk.queries.scores import scores_to_tell
from society.desk.queries.soundness import unsound
from society.entries.actions.freezing import correct_frozen
from society.fixtures.models import Fixture
from society.handicaps.models import HandicapEntry, Score
from society.handicaps.queries.scores import differing_figures, own_of
from society.members.models import Player
from tests.factories.cards import FIVES, FOURS
from tests.factories.courses import INDEXES, PARS, rated_tee
from tests.factories.fixtures import saturday
from tests.factories.results import AT, OFFICER, competition_of, paper, played, sealed_season

pytestmark = pytest.mark.usefixtures("society")


def final(fixture: Fixture, **values: object) -> None:
    make_final(fixture=fixture, by=OFFICER, at=AT, **values)  # type: ignore[arg-type]


def audit_words() -> str:
    return AuditLine.objects.order_by("-number")[0].reason


def test_every_card_becomes_a_score_with_the_ratings_it_was_played_on() -> None:
    fixture = played([FOURS, [*FIVES[:17], None]])
    final(fixture)
    first, second = Score.objects.order_by("pk")
    assert read_json(first.said) == {
        "hole_scores": FOURS,
        "par": PARS,
        "stroke_index": INDEXES,
        "course_rating": "70.1",
        "slope_rating": 120,
    }
    assert read_json(second.said)["hole_scores"][17] is None
    assert (first.played, first.holes, first.number) == (fixture.rounds.get().day, 18, 1)
    assert read_json(first.cause) == {
        "kind": "fixture", "id": fixture.public_id, "words": fixture.name,
    }  # fmt: skip
    # without a figure a hole counts at most par + 5 (Rule 3.1a): 5 × 17 and 10 on the last par 5
    (row,) = own_of(second.player).found.rows
    assert row.adjusted_gross == 95
    # 113 / 120 × (95 − 70.1) = 23.4475 (Rule 5.1a)
    assert row.differential == Decimal("23.4")


def test_three_final_results_make_a_figure_from_the_day_after() -> None:
    sealed_season({"Ann": [36, 30, 33], "Ben": [36, None, 33], "Guy": [40, 40, 40]}, guests=["Guy"])
    ann, ben, guy = Player.objects.order_by("pk")
    lines = HandicapEntry.objects.filter(player=ann)
    (line,) = lines
    # 36, 30 and 33 points off scratch are 72, 78 and 75 strokes; the lowest differential is
    # 113 / 120 × (72 − 70.1) = 1.79 → 1.8, and three scores take off 2.0 (Rule 5.2a)
    assert (line.value, line.source, line.valid_from) == (
        Decimal("-0.2"),
        "cards",
        date(2026, 3, 19),
    )
    assert read_json(line.cause)["words"] == "Fixture 3"
    assert ben.scores.count() == 2
    assert not HandicapEntry.objects.filter(player=ben).exists()
    assert not guy.scores.exists()
    assert list(differing_figures()) == []


def test_what_makes_no_score_is_said_without_names() -> None:
    short = [4] * 9 + [None] * 9
    fixture = played([FOURS, FIVES, None, short, FIVES])
    ids = list(fixture.entries.order_by("pk").values_list("public_id", flat=True))
    entry = fixture.entries.order_by("pk")[1]
    rule(
        competition=competition_of(fixture), kind="disqualified", entry=entry,
        rule="1.3b", words="agreed to waive the Rules", by=OFFICER, at=AT,
    )  # fmt: skip
    guest = fixture.entries.order_by("pk")[4]
    guest.as_member = False
    guest.save()
    final(fixture, otherwise={ids[2]: Fate.NO_RETURN})
    assert [score.player_id for score in Score.objects.all()] == [
        fixture.entries.order_by("pk")[0].player_id
    ]
    assert audit_words().splitlines()[-1] == (
        "No score for the handicap records from: 1\u00a0guest, 1\u00a0card not returned, "
        "1\u00a0player disqualified, 1\u00a0card with too few holes."
    )


def test_a_tee_without_ratings_makes_no_scores_and_says_so() -> None:
    fixture = played(
        [FOURS, FIVES], indexes=[None, None], fixture=saturday(tee=rated_tee(rating=None))
    )
    final(fixture)
    assert not Score.objects.exists()
    assert "2\u00a0cards from a tee without Course Rating and Slope Rating" in audit_words()


def test_a_penalty_ruled_on_a_hole_is_in_its_strokes() -> None:
    fixture = played([FOURS])
    entry = fixture.entries.get()
    rule(
        competition=competition_of(fixture), kind="penalty", entry=entry, hole=3, strokes=2,
        rule="14.7a", words="wrong place", by=OFFICER, at=AT,
    )  # fmt: skip
    final(fixture)
    assert read_json(Score.objects.get().said)["hole_scores"] == [4, 4, 6, *FOURS[3:]]


def test_nine_holes_are_a_score_that_waits() -> None:
    fixture = saturday(tee=rated_tee(rating="35.1"))
    fixture.rounds.update(holes="first 9")
    played([FOURS[:9]], fixture=fixture)
    final(fixture)
    (score,) = Score.objects.all()
    assert score.holes == 9
    own = own_of(score.player)
    assert own.waiting is not None
    assert own.waiting.id == score.public_id


def test_ratings_that_no_record_takes_hold_up_no_result() -> None:
    fixture = saturday()  # rated 70.1, which nine holes cannot be
    fixture.rounds.update(holes="first 9")
    played([FOURS[:9]], fixture=fixture)
    final(fixture)
    assert not Score.objects.exists()
    assert "1\u00a0card with ratings or strokes that no record takes" in audit_words()


def test_a_result_opened_again_corrects_its_scores_and_nothing_else() -> None:
    fixture = played([FOURS, FIVES])
    final(fixture)
    later = AT + timedelta(days=1)
    reopening = {
        "reason_class": "missed card", "words": "hole 4 was an 8", "by": OFFICER, "at": later,
    }  # fmt: skip
    ask_to_reopen(fixture=fixture, **reopening)
    start = fixture.rounds.get().starts.order_by("pk")[0]
    paper(start, [*FOURS[:3], 8, *FOURS[4:]])
    seal_again(fixture=fixture, by=OFFICER, at=later)
    numbers = Score.objects.order_by("pk").values_list("player__name", "number")
    assert list(numbers) == [("Player A000", 1), ("Player B001", 1), ("Player A000", 2)]
    ask_to_reopen(fixture=fixture, **reopening)
    rule(
        competition=competition_of(fixture), kind="disqualified", entry=start.entry,
        rule="1.3b", words="owned up", by=OFFICER, at=later,
    )  # fmt: skip
    seal_again(fixture=fixture, by=OFFICER, at=later)
    last = Score.objects.order_by("-pk")[0]
    assert (last.player.name, last.number, last.said) == ("Player A000", 3, "{}")
    assert own_of(last.player).kept == ()


@pytest.mark.parametrize("size", [2, 12])
def test_telling_costs_the_same_reads_for_any_field(size: int) -> None:
    fixture = played([FOURS] * size)
    final(fixture)
    with CaptureQueriesContext(connection) as seen:
        assert len(scores_to_tell(fixture).told) == size
    assert len(seen) <= 12


def test_the_page_says_before_what_goes_into_the_records(secretary: Client) -> None:
    fixture = played(
        [FOURS, FIVES], indexes=[None, None], fixture=saturday(tee=rated_tee(rating=None))
    )
    page = secretary.get(f"/fixtures/{fixture.public_id}/final/").content.decode()
    assert 'go <span class="num">0\N{NO-BREAK SPACE}scores</span>, as the cards are now.' in page
    assert "2\u00a0cards from a tee without Course Rating and Slope Rating." in page


def test_the_page_that_takes_a_score_off_names_where_it_was_played(secretary: Client) -> None:
    fixture = played([FOURS])
    final(fixture)
    score = Score.objects.get()
    address = f"/players/{score.player.public_id}/scores/{score.public_id}/off/"
    page = " ".join(secretary.get(address).content.decode().split())
    assert f"{fixture.name}</a> </p><p>Card of 18 holes. It stays to be read" in page


def test_verify_works_every_figure_out_again() -> None:
    sealed_season({"Ann": [36, 30, 33]})
    assert list(unsound()) == []
    ann = Player.objects.get()
    HandicapEntry.objects.create(
        player=ann, kind="index", value=Decimal("9.9"), source="cards",
        valid_from=date(2026, 5, 1), at=AT, by=OFFICER.as_json(),
    )  # fmt: skip
    assert list(unsound()) == [
        f"Player {ann.public_id}: from 2026-05-01 the cards make plus 0.2, "
        "and the record says otherwise."
    ]


def test_a_wrong_tee_put_right_puts_the_score_right() -> None:
    """Story 12: what follows from a tee follows in the record, and the old score stays there."""
    tee = rated_tee()
    fixture = played([FOURS], fixture=saturday(tee=tee))
    final(fixture)
    other = rated_tee(course=tee.course, rating="68.4", slope=113)
    later = AT + timedelta(days=1)
    ask_to_reopen(
        fixture=fixture, reason_class="missed card", words="played from the front", by=OFFICER,
        at=later,
    )  # fmt: skip
    correct_frozen(
        start=fixture.rounds.get().starts.get(), tee=other, reason_class="wrong tee",
        words="played from the front", by=OFFICER, at=later,
    )  # fmt: skip
    seal_again(fixture=fixture, by=OFFICER, at=later)
    ratings = [read_json(row.said)["course_rating"] for row in Score.objects.order_by("number")]
    assert ratings == ["70.1", "68.4"]
