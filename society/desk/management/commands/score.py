"""Score an event document: a file in, the standings out."""

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from scoring.rules import cli


class Command(BaseCommand):
    """Reads the file, leaves the rest to the rules, and ends with their exit status."""

    help = (
        "Score an event document (one competition over one round). The answer goes to standard "
        "output; a document that is wrong gives one line, the place and why, and exit status 2. "
        "Example: manage.py score april.json --format text"
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """FILE and --format."""
        parser.add_argument("file", metavar="FILE", help="event document; - reads standard input")
        parser.add_argument(
            "--format", choices=cli.FORMATS, default="text", help="text (default) or json"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the answer, or the one line that says what is wrong."""
        try:
            data = _read(options["file"])
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            out, wrong, status = "", f"file: cannot be read ({reason})\n", 2
        else:
            out, wrong, status = cli.main(data, options["format"])
        for stream, words in ((sys.stdout, out), (sys.stderr, wrong)):
            if words:
                stream.reconfigure(encoding="utf-8", newline="\n")  # type: ignore[union-attr]
                stream.write(words)
        if status:
            sys.exit(status)


def _read(name: str) -> bytes:
    if name != "-":
        return Path(name).read_bytes()
    if sys.stdin is None:
        raise OSError("standard input is closed")
    return sys.stdin.buffer.read()
