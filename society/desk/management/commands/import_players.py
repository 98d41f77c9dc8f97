"""Import a list of players from a CSV file or a workbook, after showing what would happen."""

from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from society.desk.actions.importing import Unanswered, import_players
from society.desk.queries.importing import Preview, preview
from society.handicaps.rules.promises import COLUMNS, HANDICAPS
from society.members.queries import society_day
from society.web import clock
from society.web.refusals import Refusal
from society.web.rules import Outcome
from society.web.sheets import file_of, read_sheet
from society.web.who import Who

EXAMPLE = """example:
  manage.py import_players players.csv
  manage.py import_players players.csv --choose 7=new --choose 12=leave --confirm
"""


class Command(BaseCommand):
    help = (
        "Show what importing a list of players would do, line by line, and do it with --confirm. "
        "The same file twice changes nothing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.formatter_class = RawDescriptionHelpFormatter
        parser.epilog = EXAMPLE
        parser.add_argument(
            "file", type=Path, help="CSV or XLSX with the columns named in the first line"
        )
        parser.add_argument("--confirm", action="store_true", help="save what is shown")
        parser.add_argument(
            "--choose",
            action="append",
            default=[],
            metavar="LINE=ANSWER",
            help="for a line that asks: new, leave, or the id of the player it is about",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        now = clock.now()
        choices = dict(self._choice(text) for text in options["choose"])
        try:
            sheet = read_sheet(file_of(options["file"].read_bytes()), COLUMNS, (), HANDICAPS)
            lines = sheet.lines
            if sheet.note:
                self.stdout.write(sheet.note)
            shown = preview(lines, society_day(now))
            self._print(shown, choices)
            if not options["confirm"]:
                self.stdout.write("Nothing is saved. Run it again with --confirm to save this.")
                return
            tally = import_players(
                lines=lines,
                digest=shown.digest,
                choices=choices,
                by=Who.command("import_players"),
                at=now,
            )
        except OSError as wrong:
            raise CommandError(f"{options['file']}: {wrong.strerror}.") from wrong
        except Unanswered as refusal:
            told = "\n".join(f"  line {line}: {words}" for line, words in refusal.lines.items())
            raise CommandError(f"{refusal.words} Nothing was saved.\n{told}") from refusal
        except Refusal as refusal:
            raise CommandError(refusal.words) from refusal
        self.stdout.write(f"Imported: {tally.in_words}")

    def _choice(self, text: str) -> tuple[int, str]:
        line, _, answer = text.partition("=")
        if not line.isdigit() or not answer:
            raise CommandError(f"--choose {text}: write it like 7=new.")
        return int(line), answer

    def _print(self, shown: Preview, choices: dict[int, str]) -> None:
        for promise in shown.promises:
            self.stdout.write(
                f"line {promise.line}: {promise.outcome.value}: {promise.name}"
                + "".join(f"\n    {words}" for words in promise.words)
            )
            for option in promise.options:
                mark = "x" if choices.get(promise.line) == option.choice else " "
                words = " ".join(option.words) or "Nothing changes."
                self.stdout.write(f"    [{mark}] {option.choice}: {option.name}: {words}")
        if shown.kept_as:
            self.stdout.write(shown.kept_as)
        counts = ", ".join(f"{len(shown.of(outcome))} {outcome.value}" for outcome in Outcome)
        self.stdout.write(counts)
