"""`manage.py handicap` as a person runs it: what comes out where, and the exit status.

Source: event document, sections 0 and 2.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from scoring.rules.strict_json import write_document
from tests.scoring.rules.records import days, record

TOP = Path(__file__).resolve().parents[3]


def handicap(*arguments: str, given: bytes = b"", locale: str = "C.UTF-8"):
    """Run the command in a process of its own."""
    return subprocess.run(
        [sys.executable, str(TOP / "manage.py"), "handicap", *arguments],
        input=given,
        capture_output=True,
        check=False,
        cwd=TOP,
        env={"PATH": "/usr/bin:/bin", "LC_ALL": locale},
    )


@pytest.fixture
def document() -> bytes:
    return write_document(record(*days(20, 20, 20, 8))).encode()


def test_a_good_file_as_json(tmp_path, document):
    path = tmp_path / "record.json"
    path.write_bytes(document)
    done = handicap(str(path), "--format", "json")
    assert (done.returncode, done.stderr) == (0, b"")
    answer = json.loads(done.stdout)
    assert answer["document"] == "handicap-history"
    assert answer["history"][3]["index"] == "5.0"
    assert b"\r" not in done.stdout


@pytest.mark.parametrize("locale", ["C.UTF-8", "POSIX"])
def test_standard_input_as_text_is_the_default(document, locale):
    done = handicap("-", given=document, locale=locale)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.startswith(b"Handicap record (rules 2024)\n")
    assert done.stdout.endswith(b"Index 5.0, made by score 4.\n")


@pytest.mark.parametrize("output", ["text", "json"])
def test_a_bad_document_gives_one_line_and_status_two(output):
    given = b'{"document": "handicap-record", "version": 1, "scores": [{"played": 1}]}'
    done = handicap("-", "--format", output, given=given)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"scores[0]: ")
    assert done.stderr.count(b"\n") == 1


@pytest.mark.parametrize("name", ["no-such-file.json", ".", "a\nb", ""])
def test_a_file_that_cannot_be_read_is_refused_at_file(name):
    done = handicap(name)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"file: ")
    assert done.stderr.count(b"\n") == 1


def test_what_is_no_text_at_all():
    done = handicap("-", given=b"\xff\xfe\x00")
    assert (done.returncode, done.stdout, done.stderr) == (2, b"", b"file: is not UTF-8 text\n")


@pytest.mark.parametrize("arguments", [[], ["a", "b"], ["-", "--format", "xml"]])
def test_a_wrong_call_also_ends_with_status_two(arguments):
    done = handicap(*arguments)
    assert (done.returncode, done.stdout) == (2, b"")


def test_help_has_an_example_and_says_what_it_is_not():
    done = handicap("--help")
    assert done.returncode == 0
    words = b" ".join(done.stdout.split())
    assert b"Example: manage.py handicap record.json" in words
    assert b"not an official one" in words
