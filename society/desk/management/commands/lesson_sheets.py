"""Print a sheet for everyone in a field: how the card is scored, with that player's shots."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from society.desk.printing.lessons import lessons_html
from society.desk.queries.export import competition_to_export
from society.desk.queries.learn import fixture_lessons
from society.web import clock
from society.web.pdf import NoPaper, pdf_bytes


class Command(BaseCommand):
    help = (
        "Write one PDF with an A4 for everyone in the field: how the card is scored, with that "
        "player's shots. FIXTURE is its public id (as in its address) or its name. "
        "Example: manage.py lesson_sheets k3m9p2x7q4w8 --out sheets.pdf"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("fixture", metavar="FIXTURE")
        parser.add_argument("--out", metavar="FILE", required=True, help="the PDF to write")

    def handle(self, *args: object, **options: object) -> None:
        competition = competition_to_export(str(options["fixture"]), "")
        if competition is None:
            raise CommandError(
                "There is no such fixture, or several of that name: give the id of its address."
            )
        fixture = competition.fixture
        lessons = fixture_lessons(fixture)
        if not lessons:
            raise CommandError("Nobody is in this field with a handicap yet.")
        html = lessons_html(lessons, at=clock.now(), what=competition.name, day=fixture.starts_on)
        try:
            made = pdf_bytes(html)
        except NoPaper as missing:
            raise CommandError(str(missing)) from missing
        file = Path(str(options["out"]))
        try:
            file.write_bytes(made)
        except OSError as problem:
            raise CommandError(f"{file} cannot be written: {problem.strerror}.") from problem
        self.stdout.write(f"{len(lessons)} sheets are in {file}.")
