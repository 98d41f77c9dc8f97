"""`manage.py doctor`: is this installation fit to run a day on?"""

from django.core.management.base import BaseCommand, CommandError

from society.desk.queries.health import examine
from society.web import clock


class Command(BaseCommand):
    """Prints what is well and what is not; exits 1 if anything is not."""

    help = "Look the installation over. Example: manage.py doctor"
    requires_system_checks: list[str] = []  # says its own things about a half-built one

    def handle(self, *args: object, **options: object) -> None:
        ill = 0
        for finding in examine(at=clock.now()):
            ill += not finding.well
            self.stdout.write(f"{'well  ' if finding.well else 'NOT   '}{finding.words}")
        if ill:
            raise CommandError(f"{ill} of these want attention.")
