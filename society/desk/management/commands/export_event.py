"""Write a fixture as an event document that `score` and any other program can read."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError, CommandParser

from scoring.results.bridge import event_document
from scoring.rules.strict_json import write_document
from society.desk.queries.export import competition_to_export


class Command(BaseCommand):
    help = (
        "Write a fixture as a golf-event document, as its cards stand now. "
        "FIXTURE is its public id (as in its address) or its name. "
        "Example: manage.py export_event k3m9p2x7q4w8 --out april.json && "
        "manage.py score april.json"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("fixture", metavar="FIXTURE")
        parser.add_argument(
            "--competition",
            metavar="NUMBER or NAME",
            default="",
            help="which of several competitions over the same cards; the first if left out",
        )
        parser.add_argument(
            "--out", metavar="FILE", default="-", help="standard output if left out"
        )

    def handle(self, *args: object, **options: object) -> None:
        competition = competition_to_export(str(options["fixture"]), str(options["competition"]))
        if competition is None:
            raise CommandError(
                "There is no such fixture, or several of that name: give the id of its address. "
                "Or it has no such competition."
            )
        document = event_document(competition)
        if not document["players"]:
            raise CommandError("Handicaps are not taken yet, so there is nobody in the document.")
        text = write_document(document)
        if options["out"] == "-":
            self.stdout.write(text, ending="")
        else:
            Path(str(options["out"])).write_text(text, encoding="utf-8")
