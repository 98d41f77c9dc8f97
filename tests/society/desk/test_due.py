"""`manage.py due`: what must happen by now, safe at any time, twice and side by side."""

import json
import re
import sqlite3
import subprocess
import sys
from collections import Counter
from datetime import timedelta
from email import message_from_bytes, policy
from io import StringIO
from pathlib import Path

import pytest
from django.core import mail
from django.core.management import call_command

from society.audit.actions import deed
from society.audit.models import AuditLine
from society.desk.actions import due
from society.members import letters
from society.members.models import Letter
from society.members.rules import LetterKind
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory
from tests.serving import ROOT, environment, manage, migrated

ABOUT = "fixture:thursday"


def write(machine, at, number):
    with deed(by=machine, at=at, what="told", about=ABOUT) as d:
        for n in range(number):
            letters.write(
                d,
                to=PlayerFactory(email=f"p{n}@example.org"),
                kind=LetterKind.DRAW,
                subject="The draw",
                text="You start at 09:08.",
                about=ABOUT,
            )


@pytest.mark.django_db
def test_a_second_run_finds_nothing_to_do(society, settings, machine, at):
    settings.SENDS_EMAIL = True
    write(machine, at, 3)
    assert due.run_due(at=at) == due.Happened(("3 letters sent.",), ())
    assert due.run_due(at=at) == due.Happened((), ())
    assert len(mail.outbox) == 3


@pytest.mark.django_db
@pytest.mark.parametrize("sends", [True, False])
def test_old_letters_are_told_as_given_up_only_where_e_mail_is_set_up(
    society, settings, machine, at, sends
):
    settings.SENDS_EMAIL = sends
    write(machine, at, 2)
    told = due.run_due(at=at + timedelta(days=4)).done
    assert told == (("2 letters given up as too old.",) if sends else ())
    assert Letter.objects.filter(given_up_at=None).count() == 0


@pytest.mark.django_db
def test_a_piece_that_fails_is_told_and_stops_no_other(society, settings, machine, at, monkeypatch):
    settings.SENDS_EMAIL = True
    write(machine, at, 1)

    def broken(by, at):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(
        due, "PIECES", (due.Piece(broken, "entry closed,entries closed"), *due.PIECES)
    )
    happened = due.run_due(at=at)
    assert happened.done == ("1 letter sent.",)
    assert happened.failed == ("entry closed: the disk is full",)


@pytest.mark.django_db
def test_entries_close_at_their_hour_and_only_then(society, at):
    fixture = saturday(state="open", entries_close_at=at)
    assert due.run_due(at=at - timedelta(seconds=1)).done == ()
    assert due.run_due(at=at).done == ("1 fixture closed for entries.",)
    assert due.run_due(at=at).done == ()
    fixture.refresh_from_db()
    assert fixture.state == "closed"
    line = AuditLine.objects.get(deed="entries closed")
    assert (json.loads(line.by)["means"], json.loads(line.by)["command"]) == ("due", "due")


@pytest.mark.django_db
def test_the_command_says_what_it_did_and_that_nothing_is_sent(society):
    said = StringIO()
    call_command("due", stdout=said)
    assert said.getvalue().splitlines() == [
        "Nothing was due.",
        "No e-mail is set up: letters wait, and nothing is sent.",
    ]


def test_its_help_has_an_example(tmp_path):
    told = manage(tmp_path / "none.sqlite3", "due", "--help").stdout
    assert "Example: manage.py due" in " ".join(told.split())


_WRITE = """
from datetime import timedelta
from society.audit.actions import deed
from society.members import letters
from society.members.models import Letter
from society.members.models import Player
from society.members.rules import LetterKind
from society.web import clock
from society.web.who import Who
at = clock.now()
with deed(by=Who.command("test"), at=at, what="told", about="fixture:x") as d:
    for n in range(28):
        player = Player.objects.create(
            kind="member", name=f"P {n}", category="men", email=f"p{n}@example.org", added_at=at
        )
        letters.write(d, to=player, kind=LetterKind.DRAW, subject="The draw",
                      text="You start at 09:08.", about="fixture:x")
"""


def test_two_at_once_on_one_sqlite_file_send_each_letter_once(tmp_path):
    file = migrated(tmp_path / "society.sqlite3", tmp_path / "template.sqlite3")
    told = manage(file, "shell", "-c", _WRITE)
    assert told.returncode == 0, told.stderr
    folder = tmp_path / "mail"
    folder.mkdir()
    env = environment(
        file,
        EMAIL_URL=f"file://{folder}",
        EMAIL_FROM="secretary@example.org",
        SITE_URL="https://golf.example.org",
    )
    line = [sys.executable, "manage.py", "due"]
    both = [
        subprocess.Popen(line, cwd=ROOT, env=env, stdout=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    said = [process.communicate(timeout=60)[0] for process in both]
    assert [process.returncode for process in both] == [0, 0]
    sent = sum(int(n) for words in said for n in re.findall(r"(\d+) letters? sent", words))
    assert sent == 28
    assert Counter(addresses(folder)) == Counter(f"p{n}@example.org" for n in range(28))
    with sqlite3.connect(file) as database:
        rows = database.execute("SELECT count(*), count(gone_at) FROM members_letter").fetchone()
    database.close()
    assert rows == (28, 28)


def addresses(folder: Path) -> list[str]:
    found = []
    for file in folder.iterdir():
        for part in file.read_bytes().split(b"-" * 79 + b"\n"):
            if part.strip():
                found.append(message_from_bytes(part, policy=policy.default)["To"])
    return found
