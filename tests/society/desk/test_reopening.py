"""A final result opened again: a reason, as many officers as are asked, version n until n+1."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from scoring.cards.actions.submit import submit_card
from scoring.cards.models import CardRevision
from scoring.cards.rules.words import Channel, Outcome, Record
from scoring.results.actions.ruling import rule, take_held, withdraw_ruling
from scoring.results.models import Reopening, ResultVersion, Ruling, SealAgreed
from scoring.results.queries.standings import final_version, sealed, standing
from scoring.results.queries.versions import looked_at_again, reopened, verify_seals
from scoring.results.tables.changes import changes
from society.audit.models import AuditLine
from society.desk.actions.changing import end_fixture
from society.desk.actions.drawing import draw_fixture, withdraw_draw
from society.desk.actions.final import make_final
from society.desk.actions.reopening import answer_reopening, ask_to_reopen, seal_again
from society.entries.actions.drawing import publish_draw
from society.entries.models import Frozen, Start
from society.entries.rules.draw import DrawMethod
from society.fixtures.models import Fixture
from society.members.models import Letter, Society
from society.web.refusals import BadInput, NotYours, Refusal, WrongState
from society.web.who import Who
from tests.factories.entries import BY
from tests.factories.members import AccountFactory, OfficeFactory
from tests.factories.results import AT, OFFICER, competition_of, played, scoring

pytestmark = pytest.mark.django_db

LATER = AT + timedelta(days=2)
OTHER = Who(account="other", roles=frozenset({"captain"}), name="The Captain")


def off_scratch(fixture: Fixture) -> None:
    """Everyone plays off 0, so that a card's points are those of `scoring`."""
    for start in fixture.rounds.get().starts.order_by("pk"):
        Frozen.objects.create(
            start=start, number=2, kind="playing", value=0, tee=start.tee, at=AT, by=BY,
            category=start.entry.category, course_card=start.frozen.get().course_card,
        )  # fmt: skip


@pytest.fixture
def day(society: Society) -> Fixture:
    """41, 38 and 30 points off scratch; the fourth card never came and got a no return."""
    fixture = played([scoring(41), scoring(38), scoring(30), None])
    off_scratch(fixture)
    entry = fixture.entries.order_by("pk").last()
    make_final(fixture=fixture, no_return=[entry.public_id], by=OFFICER, at=AT)
    return fixture


def start_of(day: Fixture, number: int) -> Start:
    return day.rounds.get().starts.order_by("pk")[number]


def late_card(day: Fixture, points: int) -> UUID:
    """A card that turns up after the seal: it is kept beside, and counts for nothing yet."""
    uuid = uuid4()
    sent = submit_card(
        card_of=start_of(day, 3), record=Record.COMMITTEE, uuid=uuid, parent_uuid=None,
        strokes=scoring(points), channel=Channel.PAPER, by=OFFICER, at=LATER,
    )  # fmt: skip
    assert sent.outcome is Outcome.HELD
    return uuid


def reopen(day: Fixture, **values: Any) -> bool:
    given = {"reason_class": "missed card", "words": "found in the locker room", "by": OFFICER}
    return ask_to_reopen(fixture=day, at=LATER, **(given | values))


def totals(version: ResultVersion) -> list[tuple[str, int, int]]:
    now = sealed(version, version.competition)
    return [(now.name_of(r["player"]), r["place"], r["total"]) for r in now.answer["standings"]]


def test_story_25_a_missed_card_of_42_takes_the_win_from_41(day: Fixture) -> None:
    """PRACTICE: two days later a missed card of 42 points turns up; the winner had 41."""
    competition = competition_of(day)
    uuid = late_card(day, 42)
    assert reopen(day) is True
    day.refresh_from_db()
    assert day.state == "reviewing"
    # Version 1 is shown and counted until version 2 is sealed, and the page says why it is open.
    assert standing(competition).version == final_version(competition)
    told = looked_at_again(day)
    assert told is not None
    assert (told.reason, told.words) == ("A card was missed", "found in the locker room")

    lines = AuditLine.objects.count()
    take_held(start=start_of(day, 3), uuid=uuid, words="it is the card", by=OFFICER, at=LATER)
    assert AuditLine.objects.count() == lines + 1  # taken, and its no return withdrawn, in one deed
    assert Ruling.objects.get(kind="no_return").withdrawn.reason == (
        "the card is in: its figures were taken"
    )
    assert standing(competition).version.number == 1

    (second,) = seal_again(fixture=day, by=OFFICER, at=LATER)
    day.refresh_from_db()
    assert day.state == "final"
    first = ResultVersion.objects.get(competition=competition, number=1)
    assert (second.number, second.reason_class) == (2, "missed card")
    assert totals(first) == [("Player A000", 1, 41), ("Player B001", 2, 38), ("Player C002", 3, 30)]
    assert totals(second) == [
        ("Player D003", 1, 42), ("Player A000", 2, 41), ("Player B001", 3, 38),
        ("Player C002", 4, 30),
    ]  # fmt: skip
    assert first.fingerprint != second.fingerprint
    assert list(verify_seals()) == []
    assert [(one.name, one.was, one.now, one.effect) for one in changes(
        sealed(first, competition), sealed(second, competition)
    )] == [
        ("Player D003", "No return", "1st, 42", "gains"),
        ("Player A000", "1st, 41", "2nd, 41", "loses"),
        ("Player B001", "2nd, 38", "3rd, 38", "loses"),
        ("Player C002", "3rd, 30", "4th, 30", "loses"),
    ]  # fmt: skip
    told_to = Letter.objects.filter(kind="result changed").order_by("pk")
    assert [letter.player.name for letter in told_to] == [
        "Player A000", "Player B001", "Player C002", "Player D003",
    ]  # fmt: skip
    assert "You: 2nd, 41. Before: 1st, 41." in told_to[0].text
    assert "A card was missed: found in the locker room." in told_to[0].text


# who may, and with how many ------------------------------------------------------------------


def test_where_two_are_wanted_another_officer_has_to_agree(day: Fixture) -> None:
    Society.objects.update(officers_to_seal=2)
    assert reopen(day) is False
    day.refresh_from_db()
    assert day.state == "final"
    assert looked_at_again(day) is None
    with pytest.raises(NotYours, match="You asked for it yourself"):
        answer_reopening(fixture=day, agree=True, by=OFFICER, at=LATER)
    with pytest.raises(WrongState, match="asked for that already"):
        reopen(day, by=OTHER)
    answer_reopening(fixture=day, agree=True, by=OTHER, at=LATER)
    day.refresh_from_db()
    assert day.state == "reviewing"


def test_either_may_drop_it_and_it_can_be_asked_again(day: Fixture) -> None:
    Society.objects.update(officers_to_seal=2)
    for who in (OTHER, OFFICER):
        reopen(day)
        answer_reopening(fixture=day, agree=False, words="the card was ours", by=who, at=LATER)
    assert [row.answer.answer for row in Reopening.objects.order_by("number")] == ["dropped"] * 2
    with pytest.raises(WrongState, match="Nobody has asked"):
        answer_reopening(fixture=day, agree=True, by=OTHER, at=LATER)
    day.refresh_from_db()
    assert day.state == "final"


def test_sealing_again_needs_two_as_well_and_both_agree_to_the_same_figures(day: Fixture) -> None:
    uuid = late_card(day, 42)
    Society.objects.update(officers_to_seal=2)
    reopen(day)
    answer_reopening(fixture=day, agree=True, by=OTHER, at=LATER)
    take_held(start=start_of(day, 3), uuid=uuid, words="it is the card", by=OFFICER, at=LATER)
    assert seal_again(fixture=day, by=OFFICER, at=LATER) is None
    assert seal_again(fixture=day, by=OFFICER, at=LATER) is None  # twice by one is still one
    assert SealAgreed.objects.count() == 1
    # What changes after the first agreed is not what was agreed to.
    rule(
        competition=competition_of(day), kind="points_off", entry=day.entries.order_by("pk")[0],
        points=2, words="slow play", by=OFFICER, at=LATER,
    )  # fmt: skip
    assert seal_again(fixture=day, by=OTHER, at=LATER) is None
    (second,) = seal_again(fixture=day, by=OFFICER, at=LATER)
    assert second.number == 2


def test_the_first_seal_needs_two_where_two_are_wanted(society: Society) -> None:
    Society.objects.update(officers_to_seal=2)
    day = played([scoring(36), None])
    entry = day.entries.order_by("pk").last()
    assert make_final(fixture=day, no_return=[entry.public_id], by=OFFICER, at=AT) == []
    day.refresh_from_db()
    assert (day.state, ResultVersion.objects.count()) == ("reviewing", 0)
    assert make_final(fixture=day, by=OFFICER, at=AT) == []
    (version,) = make_final(fixture=day, by=OTHER, at=AT)
    assert version.number == 1
    day.refresh_from_db()
    assert day.state == "final"


def test_a_program_is_no_officer_where_two_are_wanted(society: Society) -> None:
    Society.objects.update(officers_to_seal=2)
    with pytest.raises(WrongState, match="a program cannot be one"):
        make_final(fixture=played([scoring(36)]), by=Who.command("x"), at=AT)


# refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("void", "words"), [(False, "cancelled"), (True, "declared void")])
@pytest.mark.parametrize("opened", [True, False])
def test_a_fixture_with_a_sealed_result_is_never_called_off(
    day: Fixture, void: bool, words: str, opened: bool
) -> None:
    if opened:
        reopen(day)
    lines = AuditLine.objects.count()
    with pytest.raises(WrongState, match=f"sealed result .* stands, so it cannot be {words}"):
        end_fixture(fixture=day, void=void, words="hail", by=OFFICER, at=LATER)
    assert AuditLine.objects.count() == lines
    day.refresh_from_db()
    assert day.state == ("reviewing" if opened else "final")


def test_a_draw_that_a_sealed_result_was_played_by_stays(society: Society) -> None:
    """Withdrawn, the fixture would be neither final nor open to be sealed again."""
    day = played([scoring(36), scoring(30), scoring(20)])
    draw_fixture(
        fixture=day, method=DrawMethod.RANDOM, group_size=3, interval=8, first_time=None,
        by=OFFICER, at=AT,
    )  # fmt: skip
    Fixture.objects.update(state="closed")
    publish_draw(fixture=day, by=OFFICER, at=AT)
    make_final(fixture=day, by=OFFICER, at=AT)
    reopen(day)
    with pytest.raises(WrongState, match="its draw cannot be withdrawn"):
        withdraw_draw(fixture=day, words="wrong list", by=OFFICER, at=LATER)
    assert reopened(day)


@pytest.mark.parametrize(
    ("values", "error", "words"),
    [
        ({"words": "  "}, BadInput, "Say why"),
        ({"reason_class": "first"}, BadInput, "what kind of reason"),
        ({"by": replace(OFFICER, roles=frozenset({"scorer"}))}, NotYours, "secretary or the capt"),
    ],
)
def test_no_opening_without_a_reason_or_by_others(
    day: Fixture, values: dict[str, Any], error: type[Refusal], words: str
) -> None:
    lines = AuditLine.objects.count()
    with pytest.raises(error, match=words):
        reopen(day, **values)
    assert (Reopening.objects.count(), AuditLine.objects.count()) == (0, lines)


@pytest.mark.parametrize("state", ["planned", "open", "closed", "drawn", "reviewing", "cancelled"])
def test_what_is_not_final_cannot_be_opened_again(society: Society, state: str) -> None:
    with pytest.raises(WrongState, match="is not final"):
        reopen(played([scoring(36)], state=state))


def test_what_is_not_open_cannot_be_sealed_again(day: Fixture) -> None:
    with pytest.raises(WrongState, match="is not open"):
        seal_again(fixture=day, by=OFFICER, at=LATER)
    running = played([scoring(36)], state="reviewing")
    with pytest.raises(WrongState, match="is not open"):
        seal_again(fixture=running, by=OFFICER, at=LATER)


def test_a_result_that_is_open_again_is_not_made_final_as_if_it_were_the_first(
    day: Fixture,
) -> None:
    reopen(day)
    with pytest.raises(WrongState, match="opened again"):
        make_final(fixture=day, by=OFFICER, at=LATER)


def test_nothing_changed_leaves_version_1_and_writes_no_letter(day: Fixture) -> None:
    reopen(day)
    assert seal_again(fixture=day, by=OFFICER, at=LATER) == []
    day.refresh_from_db()
    assert day.state == "final"
    assert ResultVersion.objects.count() == 1
    assert not Letter.objects.filter(kind="result changed").exists()
    assert reopen(day) is True  # and it can be opened once more


def test_a_card_left_open_needs_its_ruling_again(day: Fixture) -> None:
    reopen(day)
    withdraw_ruling(
        ruling=Ruling.objects.get(kind="no_return"), words="the card may come", by=OFFICER,
        at=LATER,
    )  # fmt: skip
    with pytest.raises(BadInput, match="Player D003"):
        seal_again(fixture=day, by=OFFICER, at=LATER)
    entry = day.entries.order_by("pk").last()
    assert seal_again(fixture=day, no_return=[entry.public_id], by=OFFICER, at=LATER) == []
    assert Ruling.objects.filter(kind="no_return", withdrawn__isnull=True).count() == 1


# one's own card ------------------------------------------------------------------------------


def playing(day: Fixture, who: Who = OFFICER) -> Who:
    player = start_of(day, 3).entry.player
    return replace(who, players=(player.public_id,), player=player.public_id)


def own(day: Fixture, uuid: UUID, **values: Any) -> Callable[[], CardRevision]:
    given = {"start": start_of(day, 3), "uuid": uuid, "words": "it is mine", "at": LATER,
             "by": playing(day)}  # fmt: skip
    return lambda: take_held(**(given | values))


def test_ones_own_missed_card_is_for_another_officer(day: Fixture) -> None:
    uuid = late_card(day, 42)
    OfficeFactory(account=AccountFactory(), role="captain")
    reopen(day, by=playing(day))  # anybody who runs the day may say that a card was missed
    with pytest.raises(NotYours, match="your own card"):
        own(day, uuid)()
    assert not Ruling.objects.get(kind="no_return").__dict__.get("withdrawn")


def test_alone_a_witness_stands_with_it(day: Fixture) -> None:
    uuid = late_card(day, 42)
    reopen(day)
    with pytest.raises(BadInput, match="name a witness"):
        own(day, uuid)()
    own(day, uuid, witness="Ida Clamberfoot")()
    assert "Ida Clamberfoot" in Ruling.objects.get(kind="no_return").withdrawn.reason
