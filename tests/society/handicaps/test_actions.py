"""Lines of the handicap record, and which of them is in force."""

import json
from datetime import date, datetime
from decimal import Decimal

import pytest
from django.test.utils import CaptureQueriesContext

from society.audit.models import AuditLine
from society.handicaps.actions.record import record
from society.handicaps.models import HandicapEntry
from society.handicaps.queries.record import in_force
from society.members.models import Player
from society.web.refusals import BadInput, NotYours
from society.web.who import Who
from tests.factories.members import OfficeFactory, PlayerFactory

pytestmark = pytest.mark.usefixtures("society")
KEEPER = Who(account="h", roles=frozenset({"handicap_secretary"}))
GIVEN = {
    "kind": "index",
    "value": Decimal("-1.2"),
    "source": "association",
    "valid_from": date(2026, 4, 1),
}


def keeper_who_plays(player: Player) -> Who:
    """A handicap secretary whose own record the player's is."""
    office = OfficeFactory(role="handicap_secretary")
    return Who(
        account=office.account.public_id,
        roles=frozenset({"handicap_secretary"}),
        players=(player.public_id,),
    )


def test_a_line_is_written_with_its_words(at: datetime) -> None:
    player = PlayerFactory()
    made = record(player=player, **GIVEN, words="won twice", by=KEEPER, at=at)
    line = HandicapEntry.objects.get()
    assert line == made
    assert (line.value, line.source, line.reason) == (Decimal("-1.2"), "association", "won twice")
    assert (line.at, json.loads(line.by)["account"]) == (at, "h")
    audit = AuditLine.objects.get()
    assert (audit.deed, audit.about) == ("wrote down a handicap", f"player:{player.public_id}")
    assert json.loads(audit.changes)[0]["new"]["value"] == "-1.2"
    assert "won twice" not in audit.changes


@pytest.mark.parametrize("role", ["captain", "treasurer", "scorer"])
def test_others_write_none(role: str, at: datetime) -> None:
    who = Who(account="x", roles=frozenset({role}), players=("p",))
    with pytest.raises(NotYours):
        record(player=PlayerFactory(), **GIVEN, by=who, at=at)
    assert not HandicapEntry.objects.exists()


def test_a_cause_is_kept_as_plain_values(at: datetime) -> None:
    who = Who(account="c", roles=frozenset({"captain"}))
    cause = {"kind": "result", "id": "abc", "words": "first at Long Meadow"}
    line = record(player=PlayerFactory(), **GIVEN, cause=cause, by=who, at=at)
    assert json.loads(line.cause) == cause


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("value", Decimal("54.1")),
        ("value", Decimal("1.25")),
        ("source", "nobody"),
        ("valid_from", date(2027, 4, 17)),
        ("valid_from", date(1949, 12, 31)),
    ],
)
def test_what_cannot_be_meant_is_refused(field: str, value: object, at: datetime) -> None:
    with pytest.raises(BadInput) as refusal:
        record(player=PlayerFactory(), **(GIVEN | {field: value}), by=KEEPER, at=at)
    assert refusal.value.field == field
    assert not AuditLine.objects.exists()


def test_in_force_takes_the_latest_day_then_the_latest_line(at: datetime) -> None:
    ida, jem, pip = PlayerFactory(), PlayerFactory(), PlayerFactory()

    def write(player: object, value: str, day: int, **more: str) -> None:
        values = GIVEN | {"value": Decimal(value), "valid_from": date(2026, 4, day)} | more
        record(player=player, **values, by=KEEPER, at=at)

    write(ida, "12.0", 5)
    write(ida, "11.0", 9)
    write(ida, "13.0", 5)
    write(ida, "20.0", 1, source="society")
    write(ida, "14", 2, kind="playing")
    write(jem, "8.0", 20)

    def taken(on: int, kind: str = "index", source: str = "") -> dict[int, Decimal]:
        ids = [ida.pk, jem.pk, pip.pk]
        found = in_force(ids, on=date(2026, 4, on), kind=kind, source=source)
        return {key: line.value for key, line in found.items()}

    assert taken(20) == {ida.pk: Decimal("11.0"), jem.pk: Decimal("8.0")}
    assert taken(8) == {ida.pk: Decimal("13.0")}
    assert taken(20, source="society") == {ida.pk: Decimal("20.0")}
    assert taken(20, kind="playing") == {ida.pk: Decimal("14")}
    assert taken(20, source="committee") == {}
    assert in_force([], on=date(2026, 4, 20), kind="index", source="") == {}


def test_in_force_asks_once(at: datetime, django_assert_num_queries: object) -> None:
    players = [PlayerFactory() for _ in range(3)]
    for player in players:
        record(player=player, **GIVEN, by=KEEPER, at=at)
    with django_assert_num_queries(1) as said:  # type: ignore[operator]
        found = in_force([p.pk for p in players], on=date(2026, 5, 1), kind="index", source="")
    assert isinstance(said, CaptureQueriesContext)
    assert len(found) == 3


def test_ones_own_is_for_another_officer_and_alone_the_line_says_so(at: datetime) -> None:
    player = PlayerFactory()
    mine = keeper_who_plays(player)
    line = record(player=player, **GIVEN, words="the new list", by=mine, at=at)
    assert line.reason == "the new list (own handicap, written down alone)"
    OfficeFactory(role="secretary")
    with pytest.raises(NotYours, match="another officer"):
        record(player=player, **GIVEN, by=mine, at=at)
    assert HandicapEntry.objects.count() == 1


@pytest.mark.parametrize("source", ["society", "committee"])
def test_a_figure_of_ours_that_takes_the_place_of_another_wants_its_reason(
    source: str, at: datetime
) -> None:
    player = PlayerFactory()
    record(player=player, **GIVEN, by=KEEPER, at=at)
    other = GIVEN | {"source": source, "value": Decimal("3.4"), "valid_from": date(2026, 4, 9)}
    for words in ("", "  \n"):
        with pytest.raises(BadInput, match=r"Say why plus 1\.2 becomes 3\.4") as refusal:
            record(player=player, **other, words=words, by=KEEPER, at=at)
        assert refusal.value.field == "words"
    assert HandicapEntry.objects.count() == AuditLine.objects.count() == 1
    assert record(player=player, **other, words="lost a ball", by=KEEPER, at=at).reason


def test_no_reason_is_asked_for_a_first_figure_or_one_that_says_the_same(at: datetime) -> None:
    player = PlayerFactory()
    ours = GIVEN | {"source": "society"}
    record(player=player, **ours, by=KEEPER, at=at)
    again = ours | {"valid_from": date(2026, 4, 9)}
    record(player=player, **again, by=KEEPER, at=at)
    another_kind = ours | {"kind": "playing", "value": Decimal(2)}
    record(player=player, **another_kind, by=KEEPER, at=at)
    record(player=player, **(GIVEN | {"value": Decimal("0.4")}), by=KEEPER, at=at)  # their list
    before = ours | {"value": Decimal(9), "valid_from": date(2026, 3, 1)}
    record(player=player, **before, by=KEEPER, at=at)
    assert HandicapEntry.objects.count() == 5


def test_written_alone_is_no_reason(at: datetime) -> None:
    player = PlayerFactory()
    mine = keeper_who_plays(player)
    ours = GIVEN | {"source": "society"}
    record(player=player, **ours, by=mine, at=at)
    with pytest.raises(BadInput, match="Say why"):
        record(player=player, **(ours | {"value": Decimal(9)}), by=mine, at=at)
