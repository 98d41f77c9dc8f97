"""`manage.py first_officer`: a real society on an empty database."""

import io

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from society.members.models import Account, Society

ARGS = ["--society=Tarn Hollow", "--name=Wilf Tanglewood", "--email=wilf@example.org"]


def run(*more: str) -> str:
    out = io.StringIO()
    call_command("first_officer", *ARGS, *more, stdout=out)
    return out.getvalue()


def test_it_prints_a_link_that_works(db: None) -> None:
    path = run().splitlines()[-1]
    assert path.startswith("/invitation/")
    page = Client().get(path)
    assert page.status_code == 200
    assert "Choose a password" in page.content.decode()
    assert "The old one" not in page.content.decode()  # there is none
    society = Society.objects.get()
    assert (society.time_zone, society.currency) == ("Europe/London", "GBP")


def test_a_password_is_read_from_standard_input(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("a good long phrase\n"))
    assert "Sign in as wilf@example.org." in run("--password-stdin")
    assert Account.objects.get().check_password("a good long phrase")


def test_a_weak_password_starts_nothing(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("password\n"))
    with pytest.raises(CommandError, match="too short"):
        run("--password-stdin")
    assert not Society.objects.exists()


@pytest.mark.parametrize(
    ("more", "said"),
    [("--time-zone=Mars/North", "no time zone"), ("--currency=ABC", "no currency")],
)
def test_it_says_what_is_wrong(more: str, said: str, db: None) -> None:
    with pytest.raises(CommandError, match=said):
        run(more)


def test_a_second_society_is_refused(society: Society) -> None:
    with pytest.raises(CommandError, match="society in this database already"):
        run()
