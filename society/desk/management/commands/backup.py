"""`manage.py backup`: the whole society in one file, while people go on working."""

from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from society.desk.actions.keeping import NoBackup, back_up
from society.web import clock


class Command(BaseCommand):
    """Writes one file with the database and a manifest of its digest."""

    help = "Back the society up into one file. Example: manage.py backup --to /media/stick"

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to", type=Path, help="a folder, or a file to write (default: backups in DATA_DIR)"
        )

    def handle(self, *args: object, **options: object) -> None:
        at = clock.now()
        to = options["to"] or Path(settings.DATA_DIR) / "backups"
        if not isinstance(to, Path):
            raise CommandError("--to takes a path.")
        if to.is_dir() or not to.suffix:
            to = to / f"society-{at:%Y%m%d-%H%M%S}.backup"
        try:
            written = back_up(to, at=at)
        except (NoBackup, OSError) as error:
            raise CommandError(f"Not backed up: {error}") from error
        size = written.stat().st_size
        self.stdout.write(
            f"Backed up into {written} ({size:,} bytes). It holds people's names and e-mail "
            "addresses: keep a copy off this machine, where only officers can read it."
        )
