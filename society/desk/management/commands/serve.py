"""`manage.py serve`: the web server, on this machine only unless told otherwise."""

import contextlib
import os
import signal
import subprocess
import sys
import time
from argparse import ArgumentParser
from types import FrameType

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from society.audit import guards

LONGEST_END = 15  # seconds a process may take to end when it is asked to


class Command(BaseCommand):
    """Checks the database, then keeps two processes: the server and the clock. Ctrl-C ends both.

    If one of them ends, for whatever reason, so does the other: no server goes on whose
    deadlines nobody keeps, and no clock is left behind.
    """

    help = "Serve the society. Example: manage.py serve --port 8000"

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--workers", type=int, default=min(os.cpu_count() or 1, 4))

    def handle(self, *args: object, host: str, port: int, workers: int, **options: object) -> None:
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            raise CommandError("The tables are not up to date: run `manage.py migrate` first.")
        if missing := guards.missing():
            raise CommandError(
                f"{len(missing)} guard triggers are missing: run `manage.py migrate` first."
            )
        connection.close()
        settings.STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # or each worker warns of it
        self.stdout.write(f"Serving on http://{host}:{port}/ (Ctrl-C ends it).")
        if lacking := os.environ.get("MISSING"):  # the Makefile's last word
            self.stdout.write(lacking)
        self.stdout.flush()
        # Processes, one thread each: with threads, readers wait behind writers (docs/decisions).
        line = [sys.executable, "-m", "granian", "--interface", "wsgi", "--host", host]
        line += ["--port", str(port), "--workers", str(workers), "--blocking-threads", "1"]
        # A worker stopped while it still starts may never hear of it: Ctrl-C waits five seconds.
        line += ["--log-level", "warning", "--workers-kill-timeout", "5"]
        line += ["--no-ws", "society.wsgi:application"]
        sys.exit(_both(line))


def _both(line: list[str]) -> int:
    """Server and clock side by side; the server's exit code, 1 if the clock ended first."""
    asked: list[int] = []

    def ask(number: int, frame: FrameType | None) -> None:
        asked.append(number)

    # The terminal's Ctrl-C reaches us alone, and each of the two is asked to end once.
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, ask)
    server = subprocess.Popen(line, start_new_session=True)
    manage = str(settings.BASE_DIR / "manage.py")
    clock = subprocess.Popen(
        [sys.executable, manage, "due", "--with-server", str(server.pid)],
        stdin=subprocess.PIPE,  # closes when we are gone, even if we are killed
        start_new_session=True,
    )
    while not asked and server.poll() is None and clock.poll() is None:
        time.sleep(0.2)
    first = None if asked else server.poll() if server.poll() is not None else 1
    if first == 1 and server.poll() is None:
        sys.stderr.write("The clock ended, so the server ends as well: start it again.\n")
    _end(server)
    _end(clock)
    return first or 0


def _end(process: subprocess.Popen[bytes]) -> None:
    """Ask, wait, and in the end insist."""
    if process.poll() is None:
        process.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(LONGEST_END)
    with contextlib.suppress(ProcessLookupError):  # and so does whatever it had started
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()
