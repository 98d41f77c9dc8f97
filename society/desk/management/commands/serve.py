"""`manage.py serve`: the web server, on this machine only unless told otherwise."""

import os
import sys
from argparse import ArgumentParser

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from society.audit import guards


class Command(BaseCommand):
    """Checks the database, then becomes the server; Ctrl-C ends it."""

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
        os.execv(sys.executable, line)
