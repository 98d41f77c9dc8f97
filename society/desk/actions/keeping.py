"""Backups: one file holds the database and a manifest; restoring checks before it replaces.

SQLite is copied through its own backup interface, never as a file (a plain copy under load
is no backup); PostgreSQL by pg_dump and pg_restore.
"""

import hashlib
import io
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from society.audit.queries import head
from society.members.queries import the_society
from society.web.refusals import Refusal

FORMAT = 1
_LARGEST = 4 * 1024**3  # bytes: what a backup may unpack to


class NoBackup(Refusal):
    """The file is no backup of ours, is damaged, or does not fit this program."""


def back_up(target: Path, *, at: datetime) -> Path:
    """Write a backup of the whole database to `target`, readable by us only; the path written.

    Raises NoBackup if there is nothing to back up. People may go on working meanwhile.
    """
    society = the_society()
    if society is None:
        raise NoBackup("There is no society in this database yet; nothing was backed up.")
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent) as folder:
        copy = Path(folder) / "database"
        _copy_out(copy)
        manifest = {
            "format": FORMAT,
            "society": society.public_id,
            "name": society.name,
            "made_at": at.isoformat(),
            "vendor": connection.vendor,
            "audit_head": head(),
            "sha256": _digest(copy),
            "bytes": copy.stat().st_size,
            "migrations": sorted(".".join(key) for key in _applied()),
        }
        packed = Path(folder) / "backup"
        with tarfile.open(packed, "w:gz", compresslevel=6) as archive:
            words = json.dumps(manifest, indent=1, sort_keys=True).encode()
            member = tarfile.TarInfo("manifest.json")
            member.size, member.mode = len(words), 0o600
            archive.addfile(member, io.BytesIO(words))
            archive.add(copy, "database")
        packed.chmod(0o600)
        os.replace(packed, target)
    return target


@contextmanager
def opened(source: Path) -> Iterator[tuple[dict[str, object], Path]]:
    """The manifest and the unpacked database of a backup, after every check that needs no server.

    Raises NoBackup with the sentence that says what is wrong.
    """
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "database"
        try:
            manifest = _unpack(source, copy)
        except (OSError, tarfile.TarError, EOFError, ValueError, KeyError) as error:
            raise NoBackup(f"{source.name} cannot be read as a backup: {error}.") from error
        _check(manifest, copy)
        yield manifest, copy


def restore(source: Path, *, at: datetime) -> tuple[dict[str, object], Path | None]:
    """Check a backup wholly, keep what is here aside, then put the backup in its place.

    Returns the manifest and the path of what was kept aside (None if nothing was here).
    Raises NoBackup and changes nothing if any check fails.
    """
    with opened(source) as (manifest, copy):
        _verify_copy(copy)
        aside = None
        if _has_society():
            name = f"before-restore-{at:%Y%m%d-%H%M%S}.backup"
            aside = back_up(settings.DATA_DIR / "backups" / name, at=at)
        _copy_in(copy)
    return manifest, aside


def _unpack(source: Path, copy: Path) -> dict[str, object]:
    with tarfile.open(source, "r:gz") as archive:
        members = {member.name: member for member in archive.getmembers()}
        if set(members) != {"manifest.json", "database"}:
            raise ValueError("it does not hold exactly a manifest and a database")
        if not all(member.isfile() for member in members.values()):
            raise ValueError("it holds something that is no file")
        if members["database"].size > _LARGEST or members["manifest.json"].size > 1_000_000:
            raise ValueError("it is larger than a backup can be")
        reader = archive.extractfile(members["manifest.json"])
        manifest = json.loads(reader.read()) if reader else None
        if not isinstance(manifest, dict):
            raise ValueError("its manifest is no manifest")
        data = archive.extractfile(members["database"])
        with copy.open("wb") as file:
            shutil.copyfileobj(data or io.BytesIO(), file)
    return manifest


def _check(manifest: dict[str, object], copy: Path) -> None:
    if manifest.get("format") != FORMAT:
        raise NoBackup(f"It has format {manifest.get('format')}; this program reads {FORMAT}.")
    if manifest.get("vendor") != connection.vendor:
        raise NoBackup(
            f"It was made on {manifest.get('vendor')}, and this database is {connection.vendor}."
        )
    if _digest(copy) != manifest.get("sha256"):
        raise NoBackup("Its database does not have the digest its manifest names: it is damaged.")
    unknown = set(manifest.get("migrations", [])) - _known()  # type: ignore[call-overload]
    if unknown:
        raise NoBackup(f"It was made by a newer program ({', '.join(sorted(unknown))}).")
    if connection.vendor == "sqlite":
        _check_sqlite(copy)


def _check_sqlite(copy: Path) -> None:
    try:
        with closing(sqlite3.connect(f"file:{copy}?mode=ro", uri=True)) as file:
            if (found := file.execute("PRAGMA integrity_check").fetchone()[0]) != "ok":
                raise NoBackup(f"Its database is damaged: {found}.")
            if file.execute("PRAGMA foreign_key_check").fetchone():
                raise NoBackup("Its database has rows that lead nowhere.")
    except sqlite3.DatabaseError as error:
        raise NoBackup(f"Its database cannot be opened: {error}.") from error


def _verify_copy(copy: Path) -> None:
    """Run `verify` on the copy, brought up to this program's tables, in a process of its own."""
    with _served(copy) as address:
        for command in (["migrate"], ["verify", "--without-figures"]):
            told = subprocess.run(
                [sys.executable, str(settings.BASE_DIR / "manage.py"), *command],
                env={**os.environ, "DATABASE_URL": address, "DATA_DIR": str(settings.DATA_DIR)},
                capture_output=True,
                text=True,
                check=False,
            )
            if told.returncode:
                raise NoBackup(f"Its database does not verify: {told.stderr.strip()[-500:]}")


@contextmanager
def _served(copy: Path) -> Iterator[str]:
    """An address under which the copy can be opened without touching the real database."""
    if connection.vendor == "sqlite":
        with tempfile.TemporaryDirectory() as folder:
            trial = Path(folder) / "trial.sqlite3"
            shutil.copyfile(copy, trial)
            yield f"sqlite:///{trial}"
        return
    name = f"restore_trial_{os.getpid()}"
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}"')
    try:
        _pg("pg_restore", "--no-owner", "--exit-on-error", "-d", name, str(copy))
        yield _address_of(name)
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')


def _copy_out(copy: Path) -> None:
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        with closing(sqlite3.connect(copy)) as target:
            connection.connection.backup(target)
            target.execute("PRAGMA journal_mode=DELETE")
        return
    _pg("pg_dump", "-Fc", "--no-owner", "-f", str(copy), connection.settings_dict["NAME"])


def _copy_in(copy: Path) -> None:
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        with closing(sqlite3.connect(copy)) as source:
            source.backup(connection.connection)
        connection.close()
        return
    name = connection.settings_dict["NAME"]
    connection.close()
    _pg(
        "pg_restore",
        *("--clean", "--if-exists", "--no-owner", "--single-transaction", "--exit-on-error"),
        *("-d", name, str(copy)),
    )


def _pg(program: str, *arguments: str) -> None:
    """One of PostgreSQL's own programs, told where by its environment (never on its line)."""
    where = connection.settings_dict
    told = {
        "PGHOST": where["HOST"],
        "PGPORT": str(where["PORT"] or ""),
        "PGUSER": where["USER"],
        "PGPASSWORD": where["PASSWORD"],
    }
    found = shutil.which(program) or next(
        (str(p) for p in sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{program}"))[::-1]), None
    )
    if found is None:
        raise NoBackup(f"{program} is not on this machine; it comes with PostgreSQL's client.")
    result = subprocess.run(
        [found, *arguments],
        env={**os.environ, **{key: value for key, value in told.items() if value}},
        capture_output=True,
        text=True,
        check=False,
    )
    if result.returncode:
        raise NoBackup(f"{program} failed: {result.stderr.strip()[-500:]}")


def _address_of(name: str) -> str:
    from urllib.parse import quote, urlencode  # noqa: PLC0415 - only on PostgreSQL

    where = connection.settings_dict
    person = f"{quote(where['USER'])}:{quote(where['PASSWORD'])}@" if where["USER"] else ""
    port = f":{where['PORT']}" if where["PORT"] else ""
    options = {k: v for k, v in where.get("OPTIONS", {}).items() if isinstance(v, str)}
    more = f"?{urlencode(options)}" if options else ""
    return f"postgresql://{person}{quote(where['HOST'], safe='')}{port}/{name}{more}"


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _applied() -> set[tuple[str, str]]:
    return set(MigrationRecorder(connection).applied_migrations())


def _known() -> set[str]:
    from django.db.migrations.loader import MigrationLoader  # noqa: PLC0415 - slow to import

    return {".".join(key) for key in MigrationLoader(None).disk_migrations}


def _has_society() -> bool:
    return "members_society" in connection.introspection.table_names() and bool(the_society())
