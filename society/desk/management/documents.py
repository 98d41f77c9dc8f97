"""A command that reads one open document: a file in, the answer out, the rules in between."""

import sys
from abc import abstractmethod
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from scoring.rules.cli import FORMATS


class DocumentCommand(BaseCommand):
    """Reads the file, leaves the rest to `work_out`, and ends with its exit status."""

    requires_system_checks: list[str] = []
    document = ""

    @abstractmethod
    def work_out(self, data: bytes, output: str) -> tuple[str, str, int]:
        """Standard output, standard error and exit status for these bytes."""

    def add_arguments(self, parser: CommandParser) -> None:
        """FILE and --format."""
        parser.add_argument("file", metavar="FILE", help=f"{self.document}; - reads standard input")
        parser.add_argument(
            "--format", choices=FORMATS, default="text", help="text (default) or json"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the answer, or the one line that says what is wrong."""
        try:
            data = _read(options["file"])
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            out, wrong, status = "", f"file: cannot be read ({reason})\n", 2
        else:
            out, wrong, status = self.work_out(data, options["format"])
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
