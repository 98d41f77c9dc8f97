"""The chain is found broken wherever it is touched behind the program's back."""

import pytest
from django.db import connection

from society.audit import guards
from society.audit.actions import deed
from society.audit.models import AuditLine, Words
from society.audit.queries import breaks_in_chain, head
from society.audit.rules import FIRST

pytestmark = pytest.mark.django_db


@pytest.fixture
def chain(machine, at):
    """Four lines, the second with words."""
    for number in range(4):
        with deed(by=machine, at=at, what=f"deed {number}", about="fixture:a") as doing:
            doing.change("fixture:a", number)
            if number == 1:
                doing.words("because of the fog")


def _behind_its_back(sql: str, *values: object) -> None:
    """Change a row as someone who holds the file would: with the guards taken away."""
    with connection.cursor() as cursor:
        for table in (AuditLine._meta.db_table, Words._meta.db_table):
            for what in ("update", "delete"):
                name = f"guard_{table}_{what}"
                on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')
        cursor.execute(sql, values)
    guards.make()


CHANGES = {
    "what was done": "UPDATE audit_auditline SET deed = 'other' WHERE number = 2",
    "who did it": "UPDATE audit_auditline SET by = '{}' WHERE number = 3",
    "when": "UPDATE audit_auditline SET at = '2001-01-01 00:00:00+00:00' WHERE number = 3",
    "old and new": "UPDATE audit_auditline SET changes = '[]' WHERE number = 1",
    "about what": "UPDATE audit_auditline SET about = 'fixture:b' WHERE number = 4",
    "its digest": "UPDATE audit_auditline SET digest = 'f' WHERE number = 2",
    "its words": "UPDATE audit_words SET text = 'no reason'",
    "a line deleted": "DELETE FROM audit_auditline WHERE number = 3",
}


@pytest.mark.parametrize("sql", CHANGES.values(), ids=list(CHANGES))
def test_any_change_is_found(chain, sql):
    assert list(breaks_in_chain()) == []
    _behind_its_back(sql)
    assert list(breaks_in_chain()) != []


def test_the_first_bad_line_is_named(chain):
    _behind_its_back("UPDATE audit_auditline SET deed = 'other' WHERE number = 2")
    assert next(breaks_in_chain()).startswith("Audit line 2:")


def test_blanking_the_words_leaves_the_chain_whole(chain):
    Words.objects.update(text="")
    assert list(breaks_in_chain()) == []


def test_the_head_is_the_last_digest(chain):
    assert head() == AuditLine.objects.get(number=4).digest


def test_an_empty_chain_has_a_head_of_noughts(db):
    assert head() == FIRST
    assert list(breaks_in_chain()) == []
