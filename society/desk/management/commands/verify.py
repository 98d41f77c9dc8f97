"""`manage.py verify`: seals, digests, the audit chain and the guard triggers."""

from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError

from society.audit.queries import head
from society.desk.queries.soundness import unsound


class Command(BaseCommand):
    """Prints each thing found wrong and exits 1; exits 0 with one line if all is sound."""

    help = (
        "Check that seals, card digests, the audit chain and the guard triggers are whole. "
        "Example: manage.py verify"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--head", help="the audit fingerprint printed on a sealed result: must be in the chain"
        )

    def handle(self, *args: object, **options: object) -> None:
        found = list(unsound())
        if (printed := options["head"]) and not _in_chain(str(printed)):
            found.append(f"No audit line has a digest that begins with {printed}.")
        for sentence in found:
            self.stderr.write(sentence)
        if found:
            raise CommandError(f"Not sound: {len(found)} found.")
        self.stdout.write(f"Sound. The audit chain ends in {head()[:8]}.")


def _in_chain(beginning: str) -> bool:
    from society.audit.models import AuditLine  # noqa: PLC0415 - only for this question

    return AuditLine.objects.filter(digest__startswith=beginning.replace(" ", "")).exists()
