"""Guard triggers: the database itself refuses UPDATE and DELETE on append-only tables.

Made after every migrate, since SQLite loses a table's triggers when the table is remade.
"""

from django.apps import apps
from django.db import connections

from society.audit.models import AppendOnly, ContentOnce, Words

_SAYS = "append-only: this row may not be changed or deleted"


def guarded_tables() -> list[str]:
    """The tables of all subclasses of AppendOnly, by name."""
    return sorted(
        model._meta.db_table for model in apps.get_models() if issubclass(model, AppendOnly)
    )


def content_tables() -> dict[str, type[ContentOnce]]:
    """The tables of all subclasses of ContentOnce: name → model."""
    return {
        model._meta.db_table: model for model in apps.get_models() if issubclass(model, ContentOnce)
    }


def wanted() -> set[str]:
    """The names of the triggers that must stand."""
    tables = [*guarded_tables(), *content_tables(), Words._meta.db_table]
    return {f"guard_{table}_{what}" for table in tables for what in ("update", "delete")}


def missing(alias: str = "default") -> list[str]:
    """The triggers that ought to stand and do not. Empty is good."""
    connection = connections[alias]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        else:
            # An enabled trigger only: one switched off guards nothing.
            cursor.execute(
                "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled IN ('O', 'A')"
            )
        standing = {row[0] for row in cursor.fetchall()}
    return sorted(wanted() - standing)


def make(alias: str = "default") -> None:
    """Make every guard trigger whose table exists; safe to do again."""
    connection = connections[alias]
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        for table in guarded_tables():
            if table in tables:
                for what in ("UPDATE", "DELETE"):
                    _guard(cursor, connection.vendor, table, what, "")
        for table, model in content_tables().items():
            if table in tables:
                _guard(cursor, connection.vendor, table, "DELETE", "")
                _guard(cursor, connection.vendor, table, "UPDATE", _touches(model))
        words = Words._meta.db_table
        if words in tables:
            _guard(cursor, connection.vendor, words, "DELETE", "")
            kept = "NEW.text <> '' OR NEW.salt <> OLD.salt OR NEW.id <> OLD.id"
            _guard(cursor, connection.vendor, words, "UPDATE", kept)


def _touches(model: type[ContentOnce]) -> str:
    """SQL that is true of an UPDATE which touches what is written once."""

    def columns(names: tuple[str, ...]) -> list[str]:
        return [f'"{model._meta.get_field(name).column}"' for name in names]  # type: ignore[union-attr]

    def differs(column: str) -> str:  # also from or to NULL, in words both databases know
        return (
            f"(NEW.{column} <> OLD.{column} OR "
            f"(NEW.{column} IS NULL AND OLD.{column} IS NOT NULL) OR "
            f"(NEW.{column} IS NOT NULL AND OLD.{column} IS NULL))"
        )

    rules = [differs(column) for column in columns(("id", *model.CONTENT))]
    rules += [f"({differs(c)} AND NEW.{c} <> '')" for c in columns(model.EMPTIABLE)]
    rules += [f"(OLD.{c} IS NOT NULL AND {differs(c)})" for c in columns(model.ONCE)]
    return " OR ".join(rules)


def _guard(cursor: object, vendor: str, table: str, what: str, when: str) -> None:
    name = f"guard_{table}_{what.lower()}"
    condition = f"WHEN ({when})" if when else ""
    if vendor == "sqlite":
        cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"')  # type: ignore[attr-defined]
        cursor.execute(  # type: ignore[attr-defined]
            f'CREATE TRIGGER "{name}" BEFORE {what} ON "{table}" {condition} '
            f"BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
        )
        return
    cursor.execute(  # type: ignore[attr-defined]
        "CREATE OR REPLACE FUNCTION guard_append_only() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_SAYS}' USING ERRCODE = '23000'; END $$"
    )
    cursor.execute(f'DROP TRIGGER IF EXISTS "{name}" ON "{table}"')  # type: ignore[attr-defined]
    cursor.execute(  # type: ignore[attr-defined]
        f'CREATE TRIGGER "{name}" BEFORE {what} ON "{table}" '
        f"FOR EACH ROW {condition} EXECUTE FUNCTION guard_append_only()"
    )
