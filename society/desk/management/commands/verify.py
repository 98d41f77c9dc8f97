"""`manage.py verify`: seals, digests, the audit chain, the guard triggers, and own figures."""

from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError

from society.audit.queries import head
from society.desk.queries.soundness import unsound
from society.handicaps.queries.scores import players_with_figures


class Command(BaseCommand):
    """Prints each thing found wrong and exits 1; exits 0 with one line if all is sound."""

    help = (
        "Check that seals, card digests, the audit chain and the guard triggers are whole, and "
        "that every society handicap is what its cards make. "
        "Example: manage.py verify"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--head", help="the audit fingerprint printed on a sealed result: must be in the chain"
        )

        parser.add_argument(
            "--without-figures",
            action="store_true",
            help="leave society handicaps out, as `restore` does: they may be worked out otherwise "
            "by a later edition of the rules, and an old backup is whole all the same",
        )

    def handle(self, *args: object, **options: object) -> None:
        figures = not options["without_figures"]
        found = list(unsound(figures=figures))
        if (printed := options["head"]) and not _in_chain(str(printed)):
            found.append(f"No audit line has a digest that begins with {printed}.")
        for sentence in found:
            self.stderr.write(sentence)
        if found:
            raise CommandError(f"Not sound: {len(found)} found.")
        sound = f"Sound. The audit chain ends in {head()[:8]}."
        self.stdout.write(f"{sound} {_worked_out()}" if figures else sound)


def _worked_out() -> str:
    worked = len(players_with_figures())
    players = "player" if worked == 1 else "players"
    return f"The figures of {worked} {players} were worked out again from their cards."


def _in_chain(beginning: str) -> bool:
    from society.audit.models import AuditLine  # noqa: PLC0415 - only for this question

    return AuditLine.objects.filter(digest__startswith=beginning.replace(" ", "")).exists()
