"""What `doctor` looks at: settings, database, guards, disk room, backups, PDFs."""

import ctypes.util
import shutil
import sqlite3
import stat
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from society.audit import guards
from society.members.queries import outbox, the_society

_OLD_BACKUP = timedelta(hours=48)
_LITTLE_ROOM = 500 * 1024**2  # bytes


class Finding(NamedTuple):
    """`well`: whether it is as it should be. `words`: what was found, in a sentence."""

    well: bool
    words: str


def examine(*, at: datetime) -> Iterator[Finding]:
    """Everything looked at, well or not, in the order a person would ask."""
    executor = MigrationExecutor(connection)
    behind = executor.migration_plan(executor.loader.graph.leaf_nodes())
    yield Finding(not behind, "Tables are up to date." if not behind else "Run `migrate`.")
    yield from _database()
    missing = guards.missing()
    yield Finding(
        not missing,
        "All guard triggers stand." if not missing else f"Guards missing: {', '.join(missing)}.",
    )
    if not behind:
        yield _society()
        yield _post(at)
    yield from _surroundings(at)


def _database() -> Iterator[Finding]:
    if connection.vendor != "sqlite":
        yield Finding(True, f"Database: {connection.vendor}.")
        return
    with connection.cursor() as cursor:
        told = {
            name: cursor.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "recursive_triggers", "foreign_keys")
        }
    version = sqlite3.sqlite_version
    yield Finding(True, f"Database: SQLite {version}, one file.")
    yield Finding(
        told["journal_mode"] in ("delete", "memory"),
        f"Journal mode is {told['journal_mode']} (the rollback journal is the safe one here).",
    )
    yield Finding(told["synchronous"] >= 2, f"synchronous is {told['synchronous']} (3 is EXTRA).")
    yield Finding(told["recursive_triggers"] == 1, "REPLACE cannot pass the guards.")
    yield Finding(told["foreign_keys"] == 1, "Rows cannot point nowhere.")


def _society() -> Finding:
    society = the_society()
    if society is None:
        return Finding(False, "There is no society yet: run `first_officer`.")
    try:
        ZoneInfo(society.time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        return Finding(False, f"The time zone {society.time_zone!r} is not known here.")
    return Finding(True, f"{society.name}, {society.time_zone}, {society.currency}.")


def _post(at: datetime) -> Finding:
    post = outbox(at)
    if not post.set_up:
        return Finding(True, "No e-mail is set up: letters are written and never sent.")
    if post.error:
        return Finding(False, f"{post.waiting} letters wait. {post.error}.")
    return Finding(True, f"E-mail is set up; {post.waiting} letters wait.")


def _surroundings(at: datetime) -> Iterator[Finding]:
    yield Finding(not settings.DEBUG, "DEBUG is off." if not settings.DEBUG else "DEBUG is on.")
    folder = Path(settings.DATA_DIR)
    folder.mkdir(parents=True, exist_ok=True)
    free = shutil.disk_usage(folder).free
    yield Finding(free > _LITTLE_ROOM, f"{free // 1024**2:,} MB of disk are free.")
    key = folder / "secret_key"
    if key.exists():
        open_to_others = stat.S_IMODE(key.stat().st_mode) & 0o077
        yield Finding(not open_to_others, "The secret key is readable by us only.")
    backups = sorted((folder / "backups").glob("society-*.backup"))
    if not backups:
        yield Finding(False, "No backup has been made: run `backup`.")
    else:
        age = at.timestamp() - backups[-1].stat().st_mtime
        yield Finding(
            age < _OLD_BACKUP.total_seconds(), f"The last backup is {age / 3600:.0f} hours old."
        )
    pango = ctypes.util.find_library("pangoft2-1.0")
    yield Finding(bool(pango), "PDFs can be made." if pango else "Pango is missing: no PDFs.")
