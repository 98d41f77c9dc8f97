"""Start a society on an empty database, with its first secretary."""

import getpass
import sys
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse

from society.members.actions.society import first_officer
from society.web import clock
from society.web.refusals import Refusal
from society.web.who import Who

EXAMPLE = """example:
  manage.py first_officer --society "Tarn Hollow Golf Society" --name "Wilf Tanglewood" \\
      --email wilf@example.org --time-zone Europe/London --currency GBP
"""


class Command(BaseCommand):
    help = (
        "Start a society on an empty database: its name, time zone and currency, and its first "
        "secretary. Prints an invitation link, or takes a password from standard input. "
        "Refuses if there is a society already."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.formatter_class = RawDescriptionHelpFormatter
        parser.epilog = EXAMPLE
        parser.add_argument("--society", required=True, help="name of the society")
        parser.add_argument("--name", required=True, help="name of the first secretary")
        parser.add_argument("--email", required=True, help="the e-mail to sign in with")
        parser.add_argument("--time-zone", default="Europe/London", help="as in Europe/London")
        parser.add_argument("--currency", default="GBP", help="three letters, as in GBP")
        parser.add_argument(
            "--password-stdin",
            action="store_true",
            help="read the password from standard input in place of making a link",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        password = self._password() if options["password_stdin"] else ""
        try:
            account, secret = first_officer(
                society=options["society"],
                time_zone=options["time_zone"],
                currency=options["currency"],
                name=options["name"],
                email=options["email"],
                password=password,
                by=Who.command("first_officer"),
                at=clock.now(),
            )
        except Refusal as refusal:
            raise CommandError(refusal.words) from refusal
        self.stdout.write(f"{options['society']} is started. {account.name} is its secretary.")
        if secret:
            self.stdout.write(
                "Start the site (manage.py serve), open http://127.0.0.1:8000 with this path "
                "behind it, and choose a password:"
            )
            self.stdout.write(reverse("members:invitation", args=[secret]))
        else:
            self.stdout.write(f"Sign in as {account.email}.")

    def _password(self) -> str:
        """One line of standard input; asked for without echo at a terminal."""
        if sys.stdin.isatty():
            password = getpass.getpass("Password: ")
        else:
            password = sys.stdin.readline().rstrip("\r\n")
        try:
            validate_password(password)
        except ValidationError as wrong:
            raise CommandError(" ".join(wrong.messages)) from wrong
        return password
