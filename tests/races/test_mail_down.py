"""The mail server is down when the draw is published, and comes back: nothing waits for it.

On a file of its own, with the site's own commands in processes of their own and a mail server
that really listens, or does not: where nobody listens, the machine refuses the connection.
"""

import re
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from email import message_from_bytes, policy
from pathlib import Path

import pytest

from tests.races.post import mail_server
from tests.serving import ROOT, environment, free_port, migrated

PLAYERS = 28
BUSY = ("p03@example.org", "p11@example.org", "p27@example.org")

_PUBLISH = f"""
import socket
from datetime import timedelta
from society.entries.actions import drawing
from society.entries.rules.draw import DrawMethod
from society.web import clock
from society.web.who import Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, OfficeFactory, SocietyFactory
SocietyFactory()
OfficeFactory(account=AccountFactory(name="Wilf Tanglewood"))
at = clock.now()
fixture = saturday(state="closed", starts_on=(at + timedelta(days=2)).date())
for n in range({PLAYERS}):
    entered(fixture, name=f"Player {{n:02d}}", email=f"p{{n:02d}}@example.org")
who = Who.command("test")
drawing.make_draw(fixture=fixture, method=DrawMethod.RANDOM, seed="41207", by=who, at=at)
dialled = []
socket.create_connection = lambda *said, **more: dialled.append(said)
drawing.publish_draw(fixture=fixture, by=who, at=at)
fixture.refresh_from_db()
print("state", fixture.state, "calls", len(dialled))
"""

_PAGE = """
from django.test import Client
from society.fixtures.models import Fixture
from society.members.models import Account
client = Client(headers={"host": "localhost"})
client.force_login(Account.objects.get())
page = client.get(f"/fixtures/{Fixture.objects.get().public_id}/draw/")
print(page.status_code, " ".join(page.content.decode().replace(chr(160), " ").split()))
"""


class Society:
    """A society's file, and its commands with one mail server's address."""

    def __init__(self, folder: Path) -> None:
        self.file = migrated(folder / "society.sqlite3", folder / "template.sqlite3")
        self.port = free_port()
        self.told = {
            "EMAIL_URL": f"smtp://127.0.0.1:{self.port}",
            "EMAIL_FROM": "Testers <secretary@golf.example.org>",
            "SITE_URL": "https://golf.example.org",
        }

    def start(self, *words: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "manage.py", *words],
            cwd=ROOT,
            env=environment(self.file, **self.told),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )

    def run(self, *words: str) -> str:
        process = self.start(*words)
        said, _ = process.communicate(timeout=120)
        assert process.returncode == 0, said
        return said

    def count(self, what: str) -> int:
        with closing(sqlite3.connect(self.file)) as database:
            (number,) = database.execute(
                f"SELECT count({what}) FROM members_letter WHERE kind = 'draw'"
            ).fetchone()
        return number

    def let_the_next_try_come(self) -> None:
        """The minutes until a letter is tried again are over."""
        with closing(sqlite3.connect(self.file)) as database, database:
            database.execute("UPDATE members_letter SET not_before = made_at")


@pytest.fixture
def society(tmp_path: Path) -> Society:
    return Society(tmp_path)


def test_with_the_mail_server_down_the_draw_is_published_and_28_letters_wait(society: Society):
    said = society.run("shell", "-c", _PUBLISH)
    assert "state drawn calls 0" in said  # a deed does not talk to the mail server at all
    begun = time.monotonic()
    for _ in range(2):
        assert "sent" not in society.run("due")
    assert time.monotonic() - begun < 60
    assert (society.count("*"), society.count("gone_at")) == (PLAYERS, 0)
    page = society.run("shell", "-c", _PAGE)
    assert '<span class="num">0 of 28</span> gone' in page
    assert "28 letters wait: The mail server cannot be reached: Connection refused" in page

    # It comes back, and three boxes are busy at first (a 450 reply: RFC 5321, section 4.2.1).
    with mail_server(society.port, not_now=BUSY) as kept:
        both = [society.start("due") for _ in range(2)]
        told = [process.communicate(timeout=120)[0] for process in both]
        assert [process.returncode for process in both] == [0, 0], told
        assert "sent" not in society.run("due")  # those three wait for their next try
        sent = [int(n) for words in told for n in re.findall(r"(\d+) letters? sent", words)]
        assert sum(sent) == PLAYERS - len(BUSY)
        page = society.run("shell", "-c", _PAGE)
        assert '<span class="num">25 of 28</span> gone' in page
        assert "3 letters wait: that box is busy, try again" in page
    with mail_server(society.port) as later:
        society.let_the_next_try_come()
        assert "3 letters sent" in society.run("due")
        assert "sent" not in society.run("due")
    letters = [message_from_bytes(raw, policy=policy.default) for raw in [*kept, *later]]
    everyone = Counter(f"p{n:02d}@example.org" for n in range(PLAYERS))
    assert Counter(letter["To"] for letter in letters) == everyone
    assert len({letter["Message-ID"] for letter in letters}) == PLAYERS
    assert society.count("gone_at") == PLAYERS
    for letter in letters:
        words = letter.get_content()
        assert re.search(r"You start at \d\d:\d\d, in group \d, with ", words)
        # Seven groups of four, in which first and second swap cards, and third and fourth.
        assert re.search(r"You and Player \d\d mark each other's cards\.", words)
    assert '<span class="num">28 of 28</span> gone' in society.run("shell", "-c", _PAGE)
