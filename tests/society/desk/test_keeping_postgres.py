"""The same promises on PostgreSQL, by its own pg_dump and pg_restore, on databases made here."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

import psycopg
import pytest
from django.conf import settings

pytestmark = pytest.mark.postgres


def _named(name: str) -> str:
    """The address of another database on the server that DATABASE_URL names."""
    parts = urlsplit(os.environ["DATABASE_URL"])
    return urlunsplit(parts._replace(path=f"/{name}"))


@pytest.fixture
def database() -> Iterator[str]:
    name = f"keeping_{uuid4().hex[:8]}"
    with psycopg.connect(_named("postgres"), autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
    yield _named(name)
    with psycopg.connect(_named("postgres"), autocommit=True) as server:
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def manage(address: str, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=settings.BASE_DIR,
        env={
            **os.environ,
            "DATABASE_URL": address,
            "DATA_DIR": str(folder),
            "DJANGO_SETTINGS_MODULE": "society.settings",
        },
        capture_output=True,
        text=True,
        check=False,
    )


def test_back_up_spoil_restore_verify(database: str, tmp_path: Path) -> None:
    assert manage(database, tmp_path, "migrate").returncode == 0
    begun = manage(
        database, tmp_path, "first_officer", "--name", "Wilf Acornby", "--email", "w@example.org",
        "--society", "Kept Golf Society", "--time-zone", "Europe/London", "--currency", "GBP",
    )  # fmt: skip
    assert begun.returncode == 0, begun.stderr
    kept = tmp_path / "kept.backup"
    told = manage(database, tmp_path, "backup", "--to", str(kept))
    assert told.returncode == 0, told.stderr
    with psycopg.connect(database) as rows:
        rows.execute("UPDATE members_society SET name = 'Spoilt'")
    told = manage(database, tmp_path, "restore", str(kept), "--yes")
    assert told.returncode == 0, told.stderr
    with psycopg.connect(database) as rows:
        assert rows.execute("SELECT name FROM members_society").fetchone() == ("Kept Golf Society",)
    assert manage(database, tmp_path, "verify").returncode == 0
    assert list((tmp_path / "backups").glob("before-restore-*.backup"))


def test_a_rewritten_chain_is_refused(database: str, tmp_path: Path) -> None:
    assert manage(database, tmp_path, "migrate").returncode == 0
    manage(
        database, tmp_path, "first_officer", "--name", "Wilf Acornby", "--email", "w@example.org",
        "--society", "Kept Golf Society", "--time-zone", "Europe/London", "--currency", "GBP",
    )  # fmt: skip
    with psycopg.connect(database) as rows:
        rows.execute("DROP TRIGGER guard_audit_auditline_update ON audit_auditline")
        rows.execute("UPDATE audit_auditline SET deed = 'something else'")
    kept = tmp_path / "kept.backup"
    assert manage(database, tmp_path, "backup", "--to", str(kept)).returncode == 0
    told = manage(database, tmp_path, "restore", str(kept), "--yes")
    assert told.returncode == 1
    assert "Nothing was changed." in told.stderr
