"""The low index that starts anew: kept once, by a rise alone, and right in a file from before it.

Rules of Handicapping 2024, Rules 5.7, 5.8 and 7.1a; figures worked out by hand from Rule 5.7/5.8.
"""

import json
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from society.audit.models import AuditLine
from society.desk.queries.held import held_about
from society.handicaps.actions.adjusting import adjust, try_adjustment
from society.handicaps.models import Adjustment, HandicapEntry
from society.handicaps.queries import scores
from society.handicaps.queries.scores import differing_figures, own_of
from society.members.models import Player
from society.web.refusals import BadInput
from society.web.who import Who
from tests.factories.members import PlayerFactory
from tests.factories.records import differentials, moved, written_again
from tests.serving import manage

KEEPER = Who(account="h", roles=frozenset({"handicap_secretary"}))
AT = datetime(2026, 9, 20, 10, 0, tzinfo=UTC)
FIRST = date(2025, 1, 28)  # thirty scores, twenty days apart: the last is of 31 August 2026


@pytest.fixture
def level(society: object) -> Player:
    """Thirty scores of 10.0: figure and low index are 10.0."""
    player = PlayerFactory()
    differentials(player, *["10.0"] * 30, first=FIRST, step=20)
    written_again(player)
    return player


def rise(player: Player, shots: str = "4.0", *, anew: bool = True) -> Adjustment:
    return adjust(
        player=player, shots=Decimal(shots), resets_low=anew, words="ill", by=KEEPER, at=AT
    )


@pytest.mark.parametrize(("anew", "figure"), [(True, "14.0"), (False, "13.5")])
def test_the_rise_stands_from_the_day_after(level: Player, *, anew: bool, figure: str) -> None:
    """14.0 is 4.0 above the low: 10.0 + 3.0 + 0.5 = 13.5 by the soft cap, 14.0 without it."""
    row = rise(level, anew=anew)
    assert (row.on, row.resets_low) == (AT.date(), anew)
    line = HandicapEntry.objects.order_by("-pk")[0]
    assert (line.valid_from, line.value) == (date(2026, 9, 21), Decimal(figure))
    assert list(differing_figures()) == []


def test_the_deed_and_the_file_of_the_player_say_so(level: Player) -> None:
    rise(level)
    changes = json.loads(AuditLine.objects.get(deed="record adjusted").changes)
    assert [one["new"]["resets_low"] for one in changes if "resets_low" in str(one)] == [True]
    (row,) = held_about(level, AT)["kept"]["handicaps.Adjustment"]
    assert (row["shots"], row["resets_low"]) == ("4.0", True)


def test_looking_first_says_what_it_does_and_writes_nothing(level: Player) -> None:
    seen = try_adjustment(player=level, shots=Decimal("6.0"), resets_low=True, at=AT)
    assert (seen.before, seen.after) == (Decimal("10.0"), Decimal("15.0"))
    assert "This rise stops at 5.0 above 10.0" in seen.low
    assert [words[:26] for words in seen.cautions] == ["6.0 strokes at once is a g"]
    assert not Adjustment.objects.exists()


def test_a_cut_with_a_new_low_is_refused(level: Player) -> None:
    lines = AuditLine.objects.count()
    for deed in (
        lambda: rise(level, "-2.0"),
        lambda: try_adjustment(player=level, shots=Decimal("-2.0"), resets_low=True, at=AT),
    ):
        with pytest.raises(BadInput, match="starts anew only after a rise") as refused:
            deed()
        assert refused.value.field == "resets_low"
    assert (Adjustment.objects.count(), AuditLine.objects.count()) == (0, lines)


def test_the_same_form_sent_again_is_refused(level: Player) -> None:
    rise(level)
    with pytest.raises(BadInput, match="by that today already"):
        rise(level)
    assert Adjustment.objects.count() == 1


def test_a_rise_further_is_told_though_its_reason_is_given(society: object) -> None:
    """Rule 7.1a. Five scores of 10.0: the third makes 8.0, the fifth 10.0; 16.0 is 8.0 above."""
    player = PlayerFactory()
    differentials(player, *["10.0"] * 5, first=date(2026, 8, 1))
    six = {"player": player, "shots": Decimal("6.0"), "at": AT}
    with pytest.raises(BadInput, match="more than 5.0 above 8"):
        try_adjustment(**six)
    seen = try_adjustment(**six, exceptional="a hip")
    assert seen.after == Decimal("16.0")
    assert [words.partition(" is ")[0] for words in seen.cautions] == [
        "6.0 strokes at once",
        "16.0",
    ]


def test_the_database_takes_a_new_low_after_a_rise_alone(level: Player) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        moved(level, "-2.0", AT.date(), resets_low=True)
    row = moved(level, "2.0", AT.date())
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Adjustment.objects.filter(pk=row.pk).update(resets_low=True)


def test_verify_tells_two_readings_apart(level: Player, monkeypatch: pytest.MonkeyPatch) -> None:
    """What reads the kept rows forgets the tick: figures and rows no longer agree."""
    rise(level)
    monkeypatch.setattr(scores, "move", lambda row: scores.Move(row.public_id, row.on, row.shots))
    assert own_of(level).figure == Decimal("13.5")
    assert list(differing_figures()) == [
        f"Player {level.public_id}: from 2026-09-21 the cards make 13.5, "
        "and the record says otherwise."
    ]


def test_a_file_from_before_goes_on_as_it_was(tmp_path: Path) -> None:
    """An adjustment of before has no new low, and can be changed no more than it could."""
    old = tmp_path / "old.sqlite3"
    assert manage(old, "migrate", "handicaps", "0002").returncode == 0
    row = "'a1', 1, '2026-03-01', '2.0', '2026-03-01', '{}', NULL"
    with closing(sqlite3.connect(old)) as file, file:
        columns = [name for _, name, *_ in file.execute("PRAGMA table_info(members_player)")]
        said = {"id": 1, "merged_into_id": None}
        file.execute(
            f"INSERT INTO members_player ({', '.join(columns)}) "
            f"VALUES ({', '.join('?' for _ in columns)})",
            [said.get(name, "") for name in columns],
        )
        file.execute(
            "INSERT INTO handicaps_adjustment"
            f' (public_id, player_id, "on", shots, at, by, words_id) VALUES ({row})'
        )
    kept = Path(shutil.copy(old, tmp_path / "kept.sqlite3"))
    told = manage(kept, "migrate", "handicaps")
    assert told.returncode == 0, told.stderr
    with closing(sqlite3.connect(kept)) as file:
        found = file.execute("SELECT public_id, shots, resets_low FROM handicaps_adjustment")
        assert found.fetchall() == [("a1", 2, 0)]
        for sql in (
            "UPDATE handicaps_adjustment SET resets_low = 1",
            "DELETE FROM handicaps_adjustment",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                file.execute(sql)
