"""`manage.py due`: what must happen when its time has come."""

import os
import select
import signal
import sys
import time
from argparse import ArgumentParser

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from society.desk.actions.due import run_due
from society.members.letters import deliver
from society.web import clock

MINUTE, MOMENT = 60, 5  # seconds: between two runs, and between two looks for letters


class Command(BaseCommand):
    """One run, or one each minute for as long as the server lives that started it."""

    help = (
        "Do what must happen by now: close entries, let offers lapse, move guests in, remind of "
        "missing cards, send letters. Safe at any time, and twice. Example: manage.py due"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--with-server", type=int, metavar="PID", help="(inside) run each minute with a server"
        )

    def handle(self, *args: object, **options: object) -> None:
        server = options["with_server"]
        if isinstance(server, int):
            self._each_minute(server)
            return
        happened = run_due(at=clock.now())
        for words in happened.done or ("Nothing was due.",):
            self.stdout.write(words)
        if not settings.SENDS_EMAIL:
            self.stdout.write("No e-mail is set up: letters wait, and nothing is sent.")
        if happened.failed:
            raise CommandError("\n".join(happened.failed))

    def _each_minute(self, server: int) -> None:
        """Until the other end of our input closes: then the server has to end as well."""
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches us through whoever serves
        next_run = time.monotonic()
        while True:
            if time.monotonic() >= next_run:
                next_run += MINUTE
                for words in run_due(at=clock.now()).done:
                    self.stdout.write(f"due: {words}")
                    self.stdout.flush()
            else:
                _letters()
            connection.close()
            ready, _, _ = select.select([sys.stdin], [], [], MOMENT)
            if ready and not os.read(sys.stdin.fileno(), 1):
                break
        try:
            os.kill(server, signal.SIGTERM)
        except ProcessLookupError:
            return


def _letters() -> None:
    """A sign-in link should not take a whole minute."""
    try:
        deliver(at=clock.now())
    except Exception as error:  # the next minute tries again, and says so
        sys.stderr.write(f"due: letters: {error}\n")
