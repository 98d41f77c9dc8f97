"""Deeds: one transaction, one line, nothing at all when it is refused."""

import json

import pytest

from society.audit.actions import deed
from society.audit.models import AuditLine, Words
from society.audit.queries import breaks_in_chain, lines_about
from society.web.refusals import WrongState
from society.web.who import Who

pytestmark = pytest.mark.django_db


def test_a_deed_writes_one_line_with_who_when_and_what(machine, at):
    with deed(by=machine, at=at, what="opened", about="fixture:a") as doing:
        doing.change("fixture:a", "open", "planned")
        doing.words("the course is booked")
    line = AuditLine.objects.get()
    assert (line.number, line.deed, line.about, line.at) == (1, "opened", "fixture:a", at)
    assert json.loads(line.by) == {
        "account": None, "command": "test", "means": "command", "player": None, "roles": ["system"],
    }  # fmt: skip
    assert json.loads(line.changes) == [{"about": "fixture:a", "new": "open", "old": "planned"}]
    assert line.reason == "the course is booked"


def test_an_inner_deed_reports_to_the_outermost(machine, at):
    with deed(by=machine, at=at, what="made final", about="fixture:a") as outer:
        with deed(by=machine, at=at, what="sealed", about="competition:b") as inner:
            inner.change("competition:b", 1)
        assert inner is outer
    line = AuditLine.objects.get()
    assert line.deed == "made final"
    assert json.loads(line.changes) == [
        {"about": "competition:b", "deed": "sealed"},
        {"about": "competition:b", "new": 1},
    ]
    assert list(lines_about("competition:b")) == [line]


def test_a_refused_deed_leaves_nothing(machine, at):
    def refused():
        with deed(by=machine, at=at, what="tried", about="fixture:a") as doing:
            doing.words("kept only if the deed is done")
            raise WrongState("Not now.")

    with pytest.raises(WrongState):
        refused()
    assert AuditLine.objects.count() == Words.objects.count() == 0


def test_a_deed_after_a_refused_one_stands_alone(machine, at):
    with pytest.raises(WrongState), deed(by=machine, at=at, what="tried", about="fixture:a"):
        raise WrongState("Not now.")
    with deed(by=machine, at=at, what="opened", about="fixture:a"):
        pass
    assert AuditLine.objects.get().deed == "opened"


def test_lines_are_chained(machine, at):
    for what in ("one", "two", "three"):
        with deed(by=machine, at=at, what=what, about="fixture:a"):
            pass
    first, second, third = AuditLine.objects.order_by("number")
    assert first.previous == "0" * 64
    assert (second.previous, third.previous) == (first.digest, second.digest)
    assert list(breaks_in_chain()) == []


def test_who_is_written_by_public_ids_only(at):
    who = Who(account="acc", players=("p1", "p2"), player="p2", roles=frozenset({"captain"}),
              name="Nan Underbough")  # fmt: skip
    with deed(by=who, at=at, what="entered", about="entry:e"):
        pass
    said = AuditLine.objects.get().by
    assert json.loads(said)["player"] == "p2"
    assert "Nan" not in said
