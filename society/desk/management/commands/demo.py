"""`manage.py demo`: an invented society, living, on a file of its own."""

import os
import sqlite3
import subprocess
import sys
from argparse import ArgumentParser
from contextlib import closing
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from society.desk.actions.demo.society import PASSWORD, SIGN_INS
from society.desk.actions.demo.story import tell
from society.desk.queries.soundness import unsound
from society.web import clock


class Command(BaseCommand):
    """Serves the demo of today, making it anew if it is of an earlier day.

    DATABASE_URL is ignored, and a file that this command did not make is refused.
    """

    help = "Load and serve an invented society. Example: manage.py demo --port 8000"
    requires_system_checks: list[str] = []  # the real database is none of its business

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--no-serve", action="store_true", help="load only")
        parser.add_argument("--build", action="store_true", help="(inside) fill this database")

    def handle(self, *args: object, **options: object) -> None:
        if options["build"]:
            self._build()
            return
        file = Path(settings.DATA_DIR) / "demo.sqlite3"
        file.parent.mkdir(parents=True, exist_ok=True)
        today = clock.now().astimezone(ZoneInfo("Europe/London")).date()
        made_on = _made_on(file)
        if made_on != today:
            self._make(file)
        else:
            self.stdout.write("Today's demo is there already and is served as it stands.")
        self._tell_sign_ins()
        if options["no_serve"]:
            return
        self.stdout.flush()
        line = [sys.executable, str(settings.BASE_DIR / "manage.py"), "serve"]
        os.execve(sys.executable, [*line, "--port", str(options["port"])], _told(file))

    def _make(self, file: Path) -> None:
        self.stdout.write("Making the invented society, in order of time; about a minute.")
        self.stdout.flush()
        part = file.with_suffix(".part")
        for old in (part, part.with_name(part.name + "-journal")):
            old.unlink(missing_ok=True)
        built = subprocess.run(
            [sys.executable, str(settings.BASE_DIR / "manage.py"), "demo", "--build"],
            env=_told(part),
            check=False,
        )
        if built.returncode:
            part.unlink(missing_ok=True)
            raise CommandError("The demo could not be made; nothing was kept.")
        part.replace(file)

    def _build(self) -> None:
        """Fill the database at hand, which must be empty; refuses to leave an unsound one."""
        call_command("migrate", verbosity=0)
        if connection.vendor != "sqlite":
            raise CommandError("The demo has a file of its own; it fills no other database.")
        done = tell(clock.now())
        if found := list(unsound()):
            raise CommandError("\n".join(found))
        self.stdout.write(f"{done} deeds done; seals, cards and the audit chain verify.")

    def _tell_sign_ins(self) -> None:
        self.stdout.write("\nSign in as (role, e-mail, password):\n\n")
        for sign_in in SIGN_INS:
            shown = f"  {sign_in.role:20}{sign_in.email:32}{PASSWORD}"
            self.stdout.write(f"{shown}   {sign_in.words}")
        self.stdout.write("\nEverybody in it is invented.")


def _told(file: Path) -> dict[str, str]:
    """The environment in which that file, and no other, is the database; it sends no e-mail."""
    told = {"DATABASE_URL": f"sqlite:///{file}", "EMAIL_URL": "", "PYTHONUNBUFFERED": "1"}
    return {**os.environ, **told}


def _made_on(file: Path) -> date | None:
    """The day a demo file was made for; None if there is none. Refuses any other file."""
    if not file.exists():
        return None
    try:
        with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as database:
            row = database.execute("SELECT made_by_demo_on FROM members_society").fetchone()
    except sqlite3.DatabaseError as error:
        raise CommandError(f"{file} is no demo of ours ({error}); it was not touched.") from error
    if row is None or row[0] is None:
        raise CommandError(f"{file} was not made by the demo; it was not touched.")
    return date.fromisoformat(row[0])
