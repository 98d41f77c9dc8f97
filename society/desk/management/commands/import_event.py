"""Bring in a day that was scored elsewhere, from its golf-event document."""

import sys
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from scoring.rules.strict_json import Refused
from society.desk.actions.event_in import Brought, Unsettled, Wanted, bring_event_in
from society.web import clock
from society.web.refusals import Refusal
from society.web.who import Who

EXAMPLE = """example:
  manage.py import_event april.json --course "Kestrel Fen" --category men
  manage.py import_event april.json --match p1=12 --new p2 --category p2=women --final

Everything comes in, or nothing does. The same document twice changes nothing. What is said of
names stays as the list of players has it. Groups, markers and signatures are not in a document;
the cards come in as typed by the committee. Sides are not brought in yet.
"""
FAULT = 2


class Command(BaseCommand):
    help = (
        "Bring in a day that was scored elsewhere: its field, cards and rulings, from a golf-event "
        "document. Exit status 2 where the document cannot be taken."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.formatter_class = RawDescriptionHelpFormatter
        parser.epilog = EXAMPLE
        parser.add_argument(
            "file", metavar="FILE", help="golf-event document; - reads it from input"
        )
        parser.add_argument(
            "--season", default="", metavar="NAME", help="found by the day if left out"
        )
        parser.add_argument(
            "--course", default="", metavar="NAME",
            help="one that is kept, or the name of a new one made of the document's tees",
        )  # fmt: skip
        for name, metavar, words in (
            ("--tee", "KEY=NAME", "what a tee of the document is called on the course"),
            ("--match", "KEY=WHO", "a player of the list, by number, e-mail or id"),
            ("--new", "KEY", "a new player, whoever has the same name; all: each not matched"),
            ("--category", "[KEY=]CATEGORY", "men or women, for new players"),
        ):
            parser.add_argument(name, action="append", default=[], metavar=metavar, help=words)
        parser.add_argument("--final", action="store_true", help="seal the result too")

    def handle(self, *args: Any, **options: Any) -> None:
        wanted = Wanted(
            season=options["season"],
            course=options["course"],
            tees=dict(self._pair("--tee", text) for text in options["tee"]),
            match=dict(self._pair("--match", text) for text in options["match"]),
            new=frozenset(options["new"]),
            categories=dict(
                self._pair("--category", text if "=" in text else f"={text}")
                for text in options["category"]
            ),
            final=options["final"],
        )
        try:
            data = self._read(options["file"])
            brought = bring_event_in(
                data=data, wanted=wanted, by=Who.command("import_event"), at=clock.now()
            )
        except OSError as wrong:
            raise CommandError(f"{options['file']}: {wrong.strerror}.", returncode=FAULT) from wrong
        except Refused as refused:
            raise CommandError(str(refused), returncode=FAULT) from refused
        except Unsettled as refused:
            told = "\n".join(f"  {line}" for line in refused.lines)
            raise CommandError(f"{refused.words}\n{told}", returncode=FAULT) from refused
        except Refusal as refused:
            raise CommandError(refused.words, returncode=FAULT) from refused
        self._tell(brought)

    def _read(self, name: str) -> bytes:
        return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()

    def _pair(self, option: str, text: str) -> tuple[str, str]:
        key, equals, value = text.partition("=")
        if not equals or not value:
            raise CommandError(f"{option} {text}: write it like KEY=VALUE.", returncode=FAULT)
        return key, value

    def _tell(self, brought: Brought) -> None:
        fixture = brought.fixture
        if brought.unchanged:
            self.stdout.write(f"{fixture.name} stands already as the document says: unchanged.")
            return
        self.stdout.write(
            f"{fixture.name}, {fixture.starts_on}: brought in as {fixture.public_id}, "
            f"{len(brought.matched)} players of the list, {len(brought.made)} new."
        )
