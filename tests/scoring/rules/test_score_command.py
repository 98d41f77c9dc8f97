"""`manage.py score` as a person runs it: what comes out where, and the exit status.

Source: event document, section 0.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from scoring.rules.strict_json import write_document
from tests.scoring.rules.documents import good

TOP = Path(__file__).resolve().parents[3]


def score(*arguments: str, given: bytes = b"", locale: str = "C.UTF-8"):
    """Run the command in a process of its own."""
    return subprocess.run(
        [sys.executable, str(TOP / "manage.py"), "score", *arguments],
        input=given,
        capture_output=True,
        check=False,
        cwd=TOP,
        env={"PATH": "/usr/bin:/bin", "LC_ALL": locale},
    )


@pytest.fixture
def document() -> bytes:
    content = good()
    content["players"]["p1"]["name"] = "Zoë Ødegård"
    return write_document(content).encode()


def test_a_good_file_as_json(tmp_path, document):
    path = tmp_path / "april.json"
    path.write_bytes(document)
    done = score(str(path), "--format", "json")
    assert (done.returncode, done.stderr) == (0, b"")
    answer = json.loads(done.stdout)
    assert answer["document"] == "golf-standings"
    assert "Zoë Ødegård".encode() in done.stdout
    assert b"\r" not in done.stdout


@pytest.mark.parametrize("locale", ["C.UTF-8", "POSIX"])
def test_standard_input_as_text_is_the_default(document, locale):
    done = score("-", given=document, locale=locale)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.startswith(b"Standings (rules 2024, ")
    assert "Zoë Ødegård".encode() in done.stdout
    assert done.stdout.count(b"drawn by lot") == 2


@pytest.mark.parametrize("output", ["text", "json"])
def test_a_bad_document_gives_one_line_and_status_two(output):
    done = score("-", "--format", output, given=b'{"document": "golf-event", "tees": {}}')
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr == b"version: is missing\n"


@pytest.mark.parametrize("name", ["no-such-file.json", ".", "a\nb", "x" * 5000, ""])
def test_a_file_that_cannot_be_read_is_refused_at_file(name):
    done = score(name)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"file: ")
    assert done.stderr.count(b"\n") == 1


def test_what_is_no_text_at_all():
    done = score("-", given=b"\xff\xfe\x00")
    assert (done.returncode, done.stdout, done.stderr) == (2, b"", b"file: is not UTF-8 text\n")


@pytest.mark.parametrize("arguments", [[], ["a", "b"], ["-", "--format", "xml"]])
def test_a_wrong_call_also_ends_with_status_two(arguments):
    done = score(*arguments)
    assert (done.returncode, done.stdout) == (2, b"")


def test_help_has_an_example():
    done = score("--help")
    assert done.returncode == 0
    assert b"Example" in done.stdout
    assert b"score april.json" in done.stdout.replace(b"\n", b" ").replace(b"  ", b" ")
