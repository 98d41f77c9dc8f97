"""Backups and restores on real files, by the commands a person would type."""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tarfile
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings

from tests.serving import manage


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with a society in it, begun by first_officer."""
    file = tmp_path_factory.mktemp("begun") / "live.sqlite3"
    assert manage(file, "migrate").returncode == 0
    told = manage(
        file, "first_officer", "--name", "Wilf Acornby", "--email", "wilf@example.org",
        "--society", "Kept Golf Society", "--time-zone", "Europe/London", "--currency", "GBP",
    )  # fmt: skip
    assert told.returncode == 0, told.stderr
    return file


@pytest.fixture
def live(begun: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(begun, tmp_path / "live.sqlite3"))


@pytest.fixture
def kept(live: Path) -> Path:
    told = manage(live, "backup", "--to", str(live.parent / "kept.backup"))
    assert told.returncode == 0, told.stderr
    return live.parent / "kept.backup"


def society_in(file: Path) -> str:
    with closing(sqlite3.connect(file)) as database:
        return database.execute("SELECT name FROM members_society").fetchone()[0]


def rename_society(file: Path, name: str) -> None:
    with closing(sqlite3.connect(file)) as database, database:
        database.execute("UPDATE members_society SET name = ?", [name])


def test_a_backup_is_one_file_for_our_eyes_with_a_manifest(kept):
    assert kept.stat().st_mode & 0o777 == 0o600
    with tarfile.open(kept) as archive:
        manifest = json.load(archive.extractfile("manifest.json"))
    assert manifest["name"] == "Kept Golf Society"
    assert len(manifest["sha256"]) == len(manifest["audit_head"]) == 64


def test_restoring_puts_back_what_was_and_keeps_what_is_aside(live, kept):
    rename_society(live, "Spoilt")
    told = manage(live, "restore", str(kept), "--yes")
    assert told.returncode == 0, told.stderr
    assert society_in(live) == "Kept Golf Society"
    (aside,) = (live.parent / "backups").glob("before-restore-*.backup")
    assert str(aside) in told.stdout
    assert manage(live, "verify").returncode == 0


def test_restoring_into_an_empty_database(kept, tmp_path):
    other = tmp_path / "other.sqlite3"
    told = manage(other, "restore", str(kept), "--yes")
    assert told.returncode == 0, told.stderr
    assert society_in(other) == "Kept Golf Society"


def test_nothing_is_replaced_without_yes(live, kept):
    rename_society(live, "Present")
    told = manage(live, "restore", str(kept))
    assert told.returncode == 1
    assert "--yes" in told.stderr
    assert society_in(live) == "Present"


def repack(kept: Path, spoil) -> None:
    """Take a backup apart, spoil something, and pack it again."""
    folder = kept.parent / "parts"
    folder.mkdir()
    with tarfile.open(kept) as archive:
        for member in archive:  # not extractall: its filter is newer than Debian 12's Python
            (folder / member.name).write_bytes(archive.extractfile(member).read())
    spoil(folder)
    with tarfile.open(kept, "w:gz") as archive:
        for part in sorted(folder.iterdir()):
            archive.add(part, part.name)


def _sign(folder: Path) -> None:
    """Make the manifest name the digest of the spoilt database, as a forger would."""
    import hashlib

    manifest = json.loads((folder / "manifest.json").read_text())
    manifest["sha256"] = hashlib.sha256((folder / "database").read_bytes()).hexdigest()
    (folder / "manifest.json").write_text(json.dumps(manifest))


def _one_byte(folder: Path) -> None:
    data = bytearray((folder / "database").read_bytes())
    data[len(data) // 2] ^= 0xFF
    (folder / "database").write_bytes(data)


def _half(folder: Path) -> None:
    data = (folder / "database").read_bytes()
    (folder / "database").write_bytes(data[: len(data) // 2])
    _sign(folder)


def _no_database(folder: Path) -> None:
    (folder / "database").write_text("nothing like one")
    _sign(folder)


def _newer(folder: Path) -> None:
    manifest = json.loads((folder / "manifest.json").read_text())
    manifest["migrations"].append("members.9999_of_the_future")
    (folder / "manifest.json").write_text(json.dumps(manifest))


def _other_format(folder: Path) -> None:
    manifest = json.loads((folder / "manifest.json").read_text())
    (folder / "manifest.json").write_text(json.dumps(manifest | {"format": 99}))


def _extra_part(folder: Path) -> None:
    (folder / "more").write_text("what is this?")


def _audit_rewritten(folder: Path) -> None:
    with closing(sqlite3.connect(folder / "database")) as database, database:
        database.execute("DROP TRIGGER guard_audit_auditline_update")
        database.execute("UPDATE audit_auditline SET deed = 'something else'")
    _sign(folder)


SPOILS = [_one_byte, _half, _no_database, _newer, _other_format, _extra_part, _audit_rewritten]


@pytest.mark.parametrize("spoil", SPOILS, ids=lambda spoil: spoil.__name__.strip("_"))
def test_a_spoilt_backup_is_refused_before_anything_is_replaced(live, kept, spoil):
    rename_society(live, "Present")
    repack(kept, spoil)
    told = manage(live, "restore", str(kept), "--yes")
    assert told.returncode == 1
    assert "Nothing was changed." in told.stderr
    assert society_in(live) == "Present"
    assert not list((live.parent / "backups").glob("*"))


def test_a_truncated_file_is_refused(live, kept):
    kept.write_bytes(kept.read_bytes()[:-200])
    assert manage(live, "restore", str(kept), "--yes").returncode == 1
    assert society_in(live) == "Kept Golf Society"


def test_verify_finds_a_row_changed_behind_the_program_s_back(live):
    with closing(sqlite3.connect(live)) as database, database:
        database.execute("DROP TRIGGER guard_audit_auditline_update")
        database.execute("UPDATE audit_auditline SET by = '{}' WHERE number = 1")
    told = manage(live, "verify")
    assert told.returncode == 1
    assert "guard_audit_auditline_update is missing" in told.stderr
    assert "Audit line 1: what it says does not give its digest." in told.stderr


def test_verify_knows_a_printed_head(live):
    with closing(sqlite3.connect(live)) as database:
        (digest,) = database.execute("SELECT digest FROM audit_auditline").fetchone()
    assert manage(live, "verify", "--head", f"{digest[:4]} {digest[4:8]}").returncode == 0
    assert manage(live, "verify", "--head", "0000 0000").returncode == 1


def test_serving_without_guards_is_refused(live):
    with closing(sqlite3.connect(live)) as database, database:
        database.execute("DROP TRIGGER guard_audit_auditline_delete")
    told = manage(live, "serve", "--port", "8199")
    assert told.returncode == 1
    assert "guard triggers are missing" in told.stderr
    started = subprocess.run(
        [sys.executable, "-c", "import society.wsgi"],
        cwd=settings.BASE_DIR,
        env={**os.environ, "DATABASE_URL": f"sqlite:///{live}",
             "DJANGO_SETTINGS_MODULE": "society.settings"},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert "Guard triggers are missing" in started.stderr


def test_serving_old_tables_is_refused(tmp_path):
    told = manage(tmp_path / "empty.sqlite3", "serve", "--port", "8199")
    assert told.returncode == 1
    assert "migrate" in told.stderr


def test_the_doctor_says_what_wants_attention(live, kept):
    told = manage(live, "doctor")
    assert "All guard triggers stand." in told.stdout
    assert "No e-mail is set up" in told.stdout
    assert "NOT   No backup has been made" in told.stdout
    assert told.returncode == 1
