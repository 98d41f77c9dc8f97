"""Scores in a record, and the society's own figure that follows from them."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from society.audit.actions import deed
from society.audit.models import AuditLine
from society.handicaps.actions.adjusting import adjust
from society.handicaps.actions.own import AGAIN
from society.handicaps.actions.scores import post_scores, type_score, withdraw_score
from society.handicaps.models import Adjustment, HandicapEntry, Score
from society.handicaps.queries import scores
from society.handicaps.queries.record import all_records, first_after, with_newest
from society.handicaps.queries.scores import differing_figures, own_of, preview
from society.handicaps.rules.own import Kept, Move, Own
from society.handicaps.rules.scores import Told
from society.members.models import Player
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.members import AccountFactory, OfficeFactory, PlayerFactory

pytestmark = pytest.mark.usefixtures("society")
KEEPER = Who(account="h", roles=frozenset({"handicap_secretary"}))
CUP = {"kind": "competition", "id": "cup", "words": "Autumn Cup"}
AT = datetime(2026, 9, 20, 10, 0, tzinfo=UTC)
# Rules of Handicapping 2024, Interpretation 5.2a/2: six differentials make an index of 37.4.
SIX = ("40.7", "42.4", "36.1", "45.9", "43.6", "45.0")


def ready(tens: str) -> dict[str, object]:
    return {"differential": Decimal(tens)}


def told(player: Player, day: int, said: Mapping[str, object], **values: object) -> Told:
    given: dict[str, object] = {
        "player": player.public_id,
        "origin": f"round{day}:{player.public_id}",
        "played": date(2026, 9, day),
        "holes": 18,
        "said": said,
        "cause": CUP | {"words": f"Cup of {day} September"},
    }
    return Told(**(given | values))  # type: ignore[arg-type]


def post(*scores: Told, within: str = "", at: datetime = AT) -> list[Player]:
    with deed(by=KEEPER, at=at, what="test", about="fixture:x") as d:
        return post_scores(d, told=scores, within=within)


def figures(player: Player) -> list[tuple[int, str | None]]:
    """Day in September and figure of every line worked out from cards, as written."""
    lines = HandicapEntry.objects.filter(player=player, source="cards", kind="index")
    return [
        (line.valid_from.day, None if line.ended else str(line.value))
        for line in lines.order_by("pk")
    ]


@pytest.fixture
def six() -> Player:
    player = PlayerFactory()
    post(*(told(player, day, ready(tens)) for day, tens in enumerate(SIX, start=1)))
    return player


def test_the_published_record_makes_the_published_figure(six: Player) -> None:
    """Interpretation 5.2a/2 of the Rules of Handicapping 2024; each valid from the day after."""
    # three scores: lowest − 2.0; four: lowest − 1.0; five: the lowest; six: lowest two − 1.0
    assert figures(six) == [(4, "34.1"), (5, "35.1"), (6, "36.1"), (7, "37.4")]
    causes = [json.loads(line.cause)["words"] for line in six.handicaps.order_by("pk")]
    assert causes == [f"Cup of {day} September" for day in (3, 4, 5, 6)]
    assert list(differing_figures()) == []


def test_what_is_told_again_writes_nothing(six: Player) -> None:
    rows, lines = Score.objects.count(), HandicapEntry.objects.count()
    again = [told(six, day, ready(tens)) for day, tens in enumerate(SIX, start=1)]
    assert post(*again) == []
    assert (Score.objects.count(), HandicapEntry.objects.count()) == (rows, lines)


def test_a_correction_is_the_next_number_and_every_figure_after_it_follows(six: Player) -> None:
    assert post(told(six, 3, ready("46.1"))) == [six]
    numbers = Score.objects.filter(player=six, origin__startswith="round3:")
    assert list(numbers.order_by("number").values_list("number", "said")) == [
        (1, '{"differential":"36.1"}'),
        (2, '{"differential":"46.1"}'),
    ]
    # the lowest is now 40.7: 38.7, 39.7, 40.7, and (40.7 + 42.4) / 2 = 41.55 → 41.6 − 1.0
    assert figures(six)[4:] == [(4, "38.7"), (5, "39.7"), (6, "40.7"), (7, "40.6")]
    reasons = [line.reason for line in six.handicaps.order_by("pk")]
    assert reasons == [""] * 4 + [AGAIN] * 4
    assert list(differing_figures()) == []


def test_a_score_that_is_not_told_any_more_counts_no_longer(six: Player) -> None:
    assert post(within="round6:") == [six]
    last = Score.objects.filter(origin__startswith="round6:").order_by("number").last()
    assert last is not None
    assert (last.number, last.said) == (2, "{}")
    # five scores again, whose figure of the 6th stands on
    assert figures(six)[-1] == (7, "36.1")
    assert post(within="round6:") == []
    assert list(differing_figures()) == []


def test_with_too_few_scores_left_the_figure_ends(six: Player) -> None:
    for day in (6, 5, 4, 3):
        post(within=f"round{day}:")
    assert figures(six)[-1][1] is None
    on = HandicapEntry.objects.filter(player=six).order_by("valid_from", "pk")
    assert {line.valid_from.day: line.ended for line in on} == {4: True, 5: True, 6: True, 7: True}
    assert list(differing_figures()) == []


def test_an_older_score_that_comes_late_moves_the_figures_after_it(six: Player) -> None:
    late = told(six, 2, ready("30.0"), origin="late")
    post(late)
    own = own_of(six)
    assert [str(figure) for _, figure in own.found.figures][-1] == str(own.figure)
    assert list(differing_figures()) == []
    assert figures(six)[4] == (3, "28.0")  # three scores by the 2nd: 30.0 − 2.0


def test_a_card_by_holes_is_judged_by_the_figure_in_force(six: Player) -> None:
    card = {
        "hole_scores": [None] * 18,
        "par": [4] * 18,
        "stroke_index": list(range(1, 19)),
        "course_rating": Decimal("72.0"),
        "slope_rating": 113,
    }
    post(told(six, 8, card))
    # off 37.4 the course handicap is 37: two strokes a hole, three on index 1. Net double bogey
    # is 8 on each, 9 on the first: 145 (Rules of Handicapping 2024, Rule 3.1b).
    assert own_of(six).found.rows[-1].adjusted_gross == 145


def nine(gross: int, rating: str, slope: int) -> dict[str, object]:
    return {"adjusted_gross": gross, "course_rating": Decimal(rating), "slope_rating": slope}


def test_nine_holes_wait_and_two_make_one_score() -> None:
    """Rule 5.1b, 2020 edition; the figures are those of `differentials.joined`."""
    player = PlayerFactory()
    post(told(player, 1, nine(44, "35.4", 121), holes=9))
    own = own_of(player)
    assert own.waiting is not None
    assert (own.waiting.played, own.found.rows) == (date(2026, 9, 1), ())
    post(told(player, 2, nine(46, "36.1", 118), holes=9))
    own = own_of(player)
    assert own.waiting is None
    (row,) = own.found.rows
    assert (row.differential, [one.played.day for one in own.made_of(row)]) == (
        Decimal("17.5"),
        [1, 2],
    )


# by hand -------------------------------------------------------------------------------------


def typed(player: Player, **values: object) -> Score:
    given: dict[str, object] = {
        "player": player, "played": date(2026, 9, 7), "holes": 18, "said": ready("30.0"),
        "words": "played at a friend's club", "by": KEEPER, "at": AT,
    }  # fmt: skip
    return type_score(**(given | values))  # type: ignore[arg-type]


def test_a_typed_score_has_its_reason_and_moves_the_figure(six: Player) -> None:
    row = typed(six)
    assert (row.number, row.reason) == (1, "played at a friend's club")
    assert row.origin == f"typed:{row.public_id}"
    # 37.4 − 30.0 = 7.4: exceptional, so each of the seven loses a shot (Rule 5.9), and the lowest
    # two are 29.0 and 35.1: 32.05 → 32.1 (Rules 5.2a and 5.1c)
    assert figures(six)[-1] == (8, "32.1")
    assert six.handicaps.order_by("-pk")[0].reason == "played at a friend's club"
    audit = AuditLine.objects.order_by("-number")[0]
    assert (audit.deed, audit.about) == ("score added", f"player:{six.public_id}")
    assert json.loads(audit.changes)[-1] == {
        "about": f"player:{six.public_id}",
        "new": {"society handicap": "32.1"},
        "old": {"society handicap": "37.4"},
    }


@pytest.mark.parametrize(
    ("values", "error", "words", "field"),
    [
        ({"by": Who(account="c", roles=frozenset({"captain"}))}, NotYours, "handicap secr", None),
        ({"words": " "}, BadInput, "Say why", "words"),
        ({"played": date(2026, 9, 21)}, BadInput, "past, or of today", "played"),
        ({"played": date(1926, 9, 21)}, BadInput, "past, or of today", "played"),
        ({"said": ready("30.25")}, BadInput, "at most one decimal", "differential"),
        ({"said": ready("300")}, BadInput, "differential wants", "differential"),
        ({"said": {}}, BadInput, "The score wants one of", None),
        ({"said": nine(12, "70.1", 120)}, BadInput, "adjusted gross score", "adjusted_gross"),
        ({"said": nine(90, "7.1", 120)}, BadInput, "Course Rating wants", "course_rating"),
        ({"said": nine(90, "70.1", 12)}, BadInput, "Slope Rating wants", "slope_rating"),
        ({"holes": 9}, BadInput, "nine holes have none", "differential"),
        ({"holes": 9, "said": nine(40, "70.1", 120)}, BadInput, "5 to 50", "course_rating"),
    ],
)
def test_a_score_that_cannot_be_is_refused(
    six: Player, values: dict[str, object], error: type, words: str, field: str | None
) -> None:
    before = Score.objects.count(), HandicapEntry.objects.count(), AuditLine.objects.count()
    with pytest.raises(error, match=words) as refused:
        typed(six, **values)
    assert refused.value.field == field
    after = Score.objects.count(), HandicapEntry.objects.count(), AuditLine.objects.count()
    assert after == before


def test_a_figure_that_no_index_can_have_is_refused() -> None:
    player = PlayerFactory()
    typed(player, said=ready("-9.0"), played=date(2026, 9, 1))
    typed(player, said=ready("-9.0"), played=date(2026, 9, 2))
    with pytest.raises(BadInput, match=r"would become plus 11\.0, and an index goes to plus 10\.0"):
        typed(player, said=ready("-9.0"), played=date(2026, 9, 3))  # lowest of three − 2.0
    assert player.scores.count() == 2


def test_the_same_score_twice_is_refused(six: Player) -> None:
    typed(six)
    with pytest.raises(BadInput, match="in the record already"):
        typed(six)


def test_a_score_taken_off_counts_no_longer_and_stays_off(six: Player) -> None:
    sixth = Score.objects.get(origin__startswith="round6:")
    row = withdraw_score(score=sixth, words="not by the Rules", by=KEEPER, at=AT)
    assert (row.number, row.said, row.reason) == (2, "{}", "not by the Rules")
    assert figures(six)[-1] == (7, "36.1")
    assert post(told(six, 6, ready("45.0"))) == []  # the event is sealed again, unchanged
    with pytest.raises(WrongState, match="counts no longer"):
        withdraw_score(score=sixth, words="again", by=KEEPER, at=AT)
    assert post(told(six, 6, ready("44.0"))) == [six]  # corrected: it is another score


def test_one_s_own_record_is_for_another_officer(six: Player) -> None:
    me = Who(account="h", roles=KEEPER.roles, players=(six.public_id,))
    with pytest.raises(BadInput, match="name a witness"):
        typed(six, by=me)
    row = typed(six, by=me, witness="Hester Quill")
    assert row.reason.endswith("(own handicap, done alone; witness: Hester Quill)")
    OfficeFactory(account=AccountFactory(), role="secretary")
    for refused in (
        lambda: typed(six, by=me, witness="Hester Quill", said=ready("31.0")),
        lambda: withdraw_score(score=row, words="no", witness="H", by=me, at=AT),
        lambda: adjust(player=six, shots=Decimal("-1.0"), words="wins", witness="H", by=me, at=AT),
    ):
        with pytest.raises(NotYours, match="another officer"):
            refused()


def test_the_committee_moves_the_record(six: Player) -> None:
    """Rule 7.1a: each of the latest differentials moved, so the figure moves by as much."""
    adjust(player=six, shots=Decimal("-1.5"), words="better than that", by=KEEPER, at=AT)
    (row,) = Adjustment.objects.all()
    assert (row.on, row.shots, row.reason) == (AT.date(), Decimal("-1.5"), "better than that")
    line = HandicapEntry.objects.order_by("-pk")[0]
    assert (line.valid_from, line.value) == (date(2026, 9, 21), Decimal("35.9"))
    assert json.loads(line.cause)["kind"] == "adjustment"
    assert list(differing_figures()) == []
    with pytest.raises(BadInput, match="by that today already"):  # the form sent again
        adjust(player=six, shots=Decimal("-1.5"), words="better than that", by=KEEPER, at=AT)
    assert Adjustment.objects.count() == 1


@pytest.mark.parametrize(
    ("shots", "words"),
    [
        ("0.9", "by 1.0 or more"),
        ("-0.9", "by 1.0 or more"),
        ("1.05", "one digit"),
        ("30.0", "cannot be meant"),
        ("9.0", "more than 5.0 above 34.1"),
    ],
)
def test_an_adjustment_no_committee_makes_is_refused(six: Player, shots: str, words: str) -> None:
    """Rule 7.1a; the lowest figure of the year is 34.1, so 39.1 is as far as it goes."""
    with pytest.raises(BadInput, match=words):
        adjust(player=six, shots=Decimal(shots), words="ill", by=KEEPER, at=AT)
    assert not Adjustment.objects.exists()


def test_a_rise_further_needs_an_exceptional_reason(six: Player) -> None:
    adjust(player=six, shots=Decimal("1.7"), words="ill", by=KEEPER, at=AT)  # 39.1
    adjust(
        player=six, shots=Decimal("9.0"), words="ill", exceptional="lost an arm", by=KEEPER, at=AT
    )
    assert Adjustment.objects.order_by("-pk")[0].reason == "ill Exceptional: lost an arm"
    assert own_of(six).figure == Decimal("48.1")


def test_without_a_figure_there_is_nothing_to_adjust() -> None:
    with pytest.raises(BadInput, match="no figure from cards"):
        adjust(player=PlayerFactory(), shots=Decimal("1.0"), words="ill", by=KEEPER, at=AT)


# looking first, and looking after -----------------------------------------------------------


def test_a_preview_says_what_the_deed_would_do_and_writes_nothing(six: Player) -> None:
    rows = Score.objects.count()
    sixth = own_of(six).kept[-1]
    seen = preview(six, without=sixth.origin)
    assert (seen.before, seen.after) == (Decimal("37.4"), Decimal("36.1"))
    assert [(one.day.day, str(one.old), str(one.new)) for one in seen.changes] == [
        (7, "37.4", "36.1")
    ]
    assert Score.objects.count() == rows


def test_a_line_that_is_not_as_the_cards_have_it_is_told(six: Player) -> None:
    HandicapEntry.objects.create(
        player=six, kind="index", value=Decimal("12.0"), source="cards",
        valid_from=date(2026, 9, 5), at=AT, by=KEEPER.as_json(),
    )  # fmt: skip
    assert list(differing_figures()) == [
        f"Player {six.public_id}: from 2026-09-05 the cards make 35.1, "
        "and the record says otherwise."
    ]


def test_the_reads_do_not_grow_with_the_field() -> None:
    counts = []
    for day, size in ((1, 1), (2, 12)):
        players = [PlayerFactory() for _ in range(size)]
        with CaptureQueriesContext(
            connection,
        ) as seen:
            post(*(told(player, day, ready("20.0")) for player in players))
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_what_is_worked_out_stands_beside_what_was_written_down(six: Player) -> None:
    """A list shows the handicap that was written down, and an import is compared with that."""
    HandicapEntry.objects.create(
        player=six, kind="index", value=Decimal("12.0"), source="association",
        valid_from=date(2026, 3, 1), at=AT, by=KEEPER.as_json(),
    )  # fmt: skip
    shown = with_newest(Player.objects.filter(pk=six.pk), date(2026, 9, 30)).get()
    assert (shown.handicap, shown.handicap_source) == (Decimal("12.0"), "association")  # type: ignore[attr-defined]
    assert [line.value for line in all_records()[six.public_id]] == [Decimal("12.0")]
    later = first_after([six.pk], on=date(2026, 3, 1), kind="index", source="")
    assert later == {}


def test_a_score_that_cannot_be_read_is_told_and_the_others_are_worked_out(six: Player) -> None:
    other = PlayerFactory()
    Score.objects.create(
        player=other, origin="x", number=1, played=date(2026, 9, 1), said='{"differential":"9999"}',
        at=AT, by=KEEPER.as_json(),
    )  # fmt: skip
    (told,) = differing_figures()
    assert told.startswith(f"Player {other.public_id}: a score cannot be read")


def test_two_readings_that_differ_are_told(six: Player, monkeypatch: pytest.MonkeyPatch) -> None:
    assert list(differing_figures()) == []
    whole = scores.own_history

    def one_too_few(kept: Sequence[Kept], moves: Sequence[Move]) -> Own:
        return replace(whole(kept[:-1], moves), kept=tuple(kept))

    monkeypatch.setattr(scores, "own_history", one_too_few)
    found = list(differing_figures())
    assert f"Player {six.public_id}: two readings of the cards come to different figures." in found
