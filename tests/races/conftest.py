"""A database of its own for each race, with real locks: a file, or PostgreSQL where it is named.

Races run in processes of their own on a copied file (or a database made from a template), never
in the test's transaction: the guard triggers would stop a flush, and a database in memory has no
locks.
"""

import json
import os
import subprocess
import sys
import uuid
from collections.abc import Iterator, Sequence
from pathlib import Path

import psycopg
import pytest

from tests.serving import ROOT, migrated

GIVEN = os.environ.get("DATABASE_URL", "")


def _at(url: str, name: str) -> str:
    """The same server, another database."""
    return f"{url.rsplit('/', 1)[0]}/{name}"


@pytest.fixture(scope="session")
def pg_template() -> Iterator[str]:
    """A migrated PostgreSQL database to copy, made once."""
    name = f"race_template_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(GIVEN, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
    told = subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0"],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": _at(GIVEN, name)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 0, told.stderr
    yield name
    with psycopg.connect(GIVEN, autocommit=True) as server:
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture
def race_url(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest
) -> Iterator[str]:
    """The address of an empty, migrated database that real processes may open at once."""
    if not GIVEN.startswith("postgres"):
        file = tmp_path / "race.sqlite3"
        migrated(file, tmp_path_factory.getbasetemp() / "race-template.sqlite3")
        yield f"sqlite:///{file}"
        return
    template, name = request.getfixturevalue("pg_template"), f"race_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(GIVEN, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
    yield _at(GIVEN, name)
    with psycopg.connect(GIVEN, autocommit=True) as server:
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


class Racer:
    """One process of a race. It says "ready", waits for the word to go, and then answers."""

    def __init__(self, url: str, module: str, *words: str) -> None:
        env = {**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "tests.settings"}
        self.process = subprocess.Popen(
            [sys.executable, "-m", module, *words],
            cwd=ROOT,
            env=env,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def said(self) -> object:
        """The next thing it says, as JSON."""
        line = self.process.stdout.readline()
        assert line, self.process.stderr.read()
        return json.loads(line)

    def go(self) -> None:
        """Let it run."""
        self.process.stdin.write("go\n")
        self.process.stdin.flush()


def run(url: str, module: str, *words: str) -> object:
    """Run one module of the tests as a process on that database; what it said, as JSON."""
    racer = Racer(url, module, *words)
    try:
        return racer.said()
    finally:
        racer.process.communicate(timeout=60)


def race(
    url: str, module: str, given: Sequence[Sequence[str]], rounds: int = 1
) -> list[list[object]]:
    """Let several processes go at the same moment, once in each round; their answers by round."""
    racers = [Racer(url, module, *words) for words in given]
    answers = []
    try:
        for _ in range(rounds):
            assert [racer.said() for racer in racers] == ["ready"] * len(racers)
            for racer in racers:
                racer.go()
            answers.append([racer.said() for racer in racers])
            for racer in racers:
                racer.go()
    finally:
        for racer in racers:
            racer.process.communicate(timeout=60)
    assert [racer.process.returncode for racer in racers] == [0] * len(racers)
    return answers
