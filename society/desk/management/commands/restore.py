"""`manage.py restore FILE`: checks a backup wholly before anything is replaced."""

from argparse import ArgumentParser
from pathlib import Path

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from society.desk.actions.keeping import NoBackup, restore
from society.web import clock


class Command(BaseCommand):
    """Restores a backup into this database; what was here is kept aside as a backup."""

    help = "Put a backup in place. Example: manage.py restore society-20261010-190000.backup --yes"
    requires_system_checks: list[str] = []  # it must also work on an empty database

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--yes", action="store_true", help="replace what is in the database")

    def handle(self, *args: object, file: Path, yes: bool, **options: object) -> None:
        if not yes:
            raise CommandError(
                "This replaces the whole database. Stop the server, then say --yes. "
                "Nothing was changed."
            )
        try:
            manifest, aside = restore(file, at=clock.now())
        except NoBackup as refusal:
            raise CommandError(f"Nothing was changed. {refusal.words}") from refusal
        call_command("migrate", verbosity=0)
        self.stdout.write(f"Restored {manifest['name']} as of {manifest['made_at']}.")
        if aside:
            self.stdout.write(f"What was here before is kept in {aside}.")
