"""Importing a list: exactly what was shown, or nothing; the same file twice changes nothing."""

import json
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from society.audit.models import AuditLine
from society.desk.actions.importing import (
    OutOfDate,
    Tally,
    Unanswered,
    import_players,
    import_text,
)
from society.desk.queries.importing import preview
from society.desk.queries.players import list_of_players
from society.desk.sheets import players_listing
from society.handicaps.models import HandicapEntry
from society.handicaps.rules.promises import COLUMNS
from society.members.models import Player
from society.members.queries import society_day
from society.web.refusals import BadInput, NotYours
from society.web.sheets import read_sheet
from society.web.who import Who
from society.web.workbook_out import csv_text
from tests.factories.entries import handicap
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.usefixtures("society")
LIST = """number;name;e-mail;category;handicap;kind;source;date;home club
12;Ivo Marrable;ivo@example.org;men;+1,2;index;association;2026-04-01;Long Meadow
13;Ida Low;;women;20;playing;;;
14;=1+1;;men;;;;;
"""


def lines_of(text: str) -> tuple[object, ...]:
    return read_sheet(text, COLUMNS, ()).lines


def run(text: str, by: Who, at: datetime, choices: dict[int, str] | None = None) -> Tally:
    lines = lines_of(text)
    digest = preview(lines, society_day(at)).digest
    return import_players(lines=lines, digest=digest, choices=choices or {}, by=by, at=at)


def test_players_and_records_are_written_in_one_deed(machine: Who, at: datetime) -> None:
    assert run(LIST, machine, at) == Tally(new=3, changed=0, unchanged=0, left_out=0)
    ivo = Player.objects.get(number="12")
    line = ivo.handicaps.get()
    assert (ivo.name, ivo.email, ivo.home_club) == (
        "Ivo Marrable",
        "ivo@example.org",
        "Long Meadow",
    )
    assert (line.value, line.source, line.valid_from) == (
        Decimal("-1.2"),
        "association",
        date(2026, 4, 1),
    )
    ida = Player.objects.get(number="13").handicaps.get()
    assert (ida.kind, ida.source, ida.valid_from) == ("playing", "society", date(2026, 4, 15))
    assert Player.objects.get(number="14").name == "=1+1"
    audit = AuditLine.objects.get()
    assert audit.deed == "imported players"
    told = {change["about"] for change in json.loads(audit.changes)}
    assert {f"player:{player.public_id}" for player in Player.objects.all()} <= told


def test_the_same_file_twice_changes_nothing(machine: Who, at: datetime) -> None:
    run(LIST, machine, at)
    before = (Player.objects.count(), HandicapEntry.objects.count())
    later = at + timedelta(days=30)
    assert run(LIST, machine, later) == Tally(new=0, changed=0, unchanged=3, left_out=0)
    assert (Player.objects.count(), HandicapEntry.objects.count()) == before


def test_a_change_is_written_to_the_player_it_is_about(machine: Who, at: datetime) -> None:
    run(LIST, machine, at)
    changed = run("number,name,handicap\n12,Ivor Marrable,2\n", machine, at)
    assert changed == Tally(new=0, changed=1, unchanged=0, left_out=0)
    ivo = Player.objects.get(number="12")
    assert (ivo.name, ivo.email) == ("Ivor Marrable", "ivo@example.org")
    assert ivo.handicaps.count() == 2


@pytest.mark.parametrize("what", ["name", "handicap", "newcomer", "day"])
def test_if_anything_changed_since_nothing_is_saved(what: str, machine: Who, at: datetime) -> None:
    ivo = PlayerFactory(name="Ivo Marrable", number="12")
    lines = lines_of("number,name,category,handicap\n12,Ivor Marrable,men,2\n15,Pip,men,3\n")
    digest = preview(lines, society_day(at)).digest
    if what == "name":
        Player.objects.filter(pk=ivo.pk).update(name="Ivor Marrable")
    elif what == "handicap":
        handicap(ivo, "2.0", source="society")
    elif what == "newcomer":
        PlayerFactory(name="pip")
    else:
        at += timedelta(days=1)
    with pytest.raises(OutOfDate):
        import_players(lines=lines, digest=digest, choices={}, by=machine, at=at)
    assert not AuditLine.objects.exists()
    assert not Player.objects.filter(number="15").exists()


def test_a_forged_digest_saves_nothing(machine: Who, at: datetime) -> None:
    with pytest.raises(OutOfDate):
        import_players(lines=lines_of(LIST), digest="", choices={}, by=machine, at=at)
    assert not Player.objects.exists()


def test_refused_lines_are_left_out(machine: Who, at: datetime) -> None:
    text = "name,category,handicap\nIvo,men,-1.2\nIda,women,1.2\n"
    assert run(text, machine, at) == Tally(new=1, changed=0, unchanged=0, left_out=1)
    assert [player.name for player in Player.objects.all()] == ["Ida"]


def test_questions_must_be_answered(machine: Who, at: datetime) -> None:
    ida = PlayerFactory(name="Ida Low", email="low@example.org", category="women")
    text = "name,email,category\nWilf Low,low@example.org,men\nIda Low,,\n"
    for choices in ({}, {2: "new"}, {2: "new", 3: "nobody"}):
        with pytest.raises(Unanswered) as refusal:
            run(text, machine, at, choices)
        assert 3 in refusal.value.lines
    # a new Ida has no category: that answer leads to a refusal
    with pytest.raises(Unanswered, match="your choice") as refusal:
        run(text, machine, at, {2: "new", 3: "new"})
    assert "needs a category" in refusal.value.lines[3]
    with pytest.raises(Unanswered) as refusal:
        run(text, machine, at, {2: ida.public_id, 3: ida.public_id})
    assert "already" in refusal.value.lines[3]
    assert Player.objects.count() == 1
    tally = run(text, machine, at, {2: "new", 3: ida.public_id})
    assert tally == Tally(new=1, changed=0, unchanged=1, left_out=0)
    assert Player.objects.filter(email="low@example.org").count() == 2


def test_a_line_may_be_left_out(machine: Who, at: datetime) -> None:
    PlayerFactory(name="Ida Low")
    assert run("name\nIda Low\n", machine, at, {2: "leave"}).left_out == 1
    assert Player.objects.count() == 1


@pytest.mark.parametrize("role", ["captain", "handicap_secretary", "scorer"])
def test_only_the_secretary_imports(role: str, at: datetime) -> None:
    with pytest.raises(NotYours):
        run(LIST, Who(account="x", roles=frozenset({role})), at)
    assert not Player.objects.exists()


def test_what_is_exported_imports_back_unchanged(machine: Who, at: datetime) -> None:
    run(LIST, machine, at)
    run("name,category\n@lone,women\n'=x,men\nNobody Known,men\n", machine, at)
    handicap(PlayerFactory(name="Guest", kind="guest", number="-5"), "-3")
    handicap(Player.objects.get(number="12"), "17", kind="course", source="committee")
    text = csv_text(players_listing(list_of_players("", society_day(at))))
    assert run(text, machine, at + timedelta(days=9)) == Tally(0, 0, 7, 0)
    assert ",+1.2,index," in text
    assert ",'=1+1," in text
    assert ",'=x," in text


def test_import_text_is_for_files_known_to_be_good(machine: Who, at: datetime) -> None:
    pair = "name,email,category\nNan,pair@example.org,women\nPiet,pair@example.org,men\n"
    with pytest.raises(Unanswered):
        import_text(text=pair, by=machine, at=at)
    assert import_text(text=pair, unsure="new", by=machine, at=at).new == 2
    with pytest.raises(BadInput, match="Line 2, Bo: A new player needs a category"):
        import_text(text="name\nBo\n", by=machine, at=at)
