"""The database itself refuses to change what is written once."""

import pytest
from django.db import DatabaseError, connection, transaction

from society.audit import guards
from society.audit.actions import deed
from society.audit.models import AuditLine, Words
from tests.factories.entries import handicap
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db


def test_all_guards_stand_after_migrating():
    assert guards.missing() == []
    assert len(guards.guarded_tables()) >= 12


def test_update_and_delete_are_refused_by_the_database():
    entry = handicap(PlayerFactory())
    table = type(entry)._meta.db_table
    for sql in (f"UPDATE {table} SET value = 0", f"DELETE FROM {table}"):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            connection.cursor().execute(sql)
    assert type(entry).objects.get().value == entry.value


@pytest.mark.skipif(connection.vendor != "sqlite", reason="REPLACE is SQLite's own")
def test_replace_does_not_pass_the_guards(machine, at):
    with deed(by=machine, at=at, what="one", about="fixture:a"):
        pass
    sql = "REPLACE INTO audit_auditline SELECT * FROM audit_auditline"
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        connection.cursor().execute(sql)


def test_words_may_only_become_empty(machine, at):
    with deed(by=machine, at=at, what="one", about="fixture:a") as doing:
        doing.words("said")
    kept = Words.objects.first()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Words.objects.filter(pk=kept.pk).update(text="said otherwise")
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Words.objects.filter(pk=kept.pk).delete()
    Words.objects.filter(pk=kept.pk).update(text="")


def test_a_missing_guard_is_noticed_and_made_again():
    table = AuditLine._meta.db_table
    on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
    connection.cursor().execute(f'DROP TRIGGER "guard_{table}_update"{on}')
    assert guards.missing() == [f"guard_{table}_update"]
    guards.make()
    assert guards.missing() == []
