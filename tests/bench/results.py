"""How long a 120-row result page takes, as a multiple of a signed-in hello page.

Run with `python -m tests.bench.results`. Both pages go through the whole middleware in one
process with one signed-in client, on an SQLite file of their own; the least of several rounds,
taken in turn. Goals: at most 120 for the page from the database, at most 5 when it is unchanged
(304). Nothing is asserted here.
"""

import os
import tempfile
from collections.abc import Callable
from time import perf_counter

CARDS = 120
ROUNDS = 12
PAGE_GOAL = 120
UNCHANGED_GOAL = 5


def main() -> None:
    """Make the day, open the pages in turn, print the ratios."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["DATABASE_URL"] = f"sqlite:///{folder}/bench.sqlite3"
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.test.utils import override_settings

        with override_settings(ROOT_URLCONF="tests.bench.hello"):
            _measure()


def _measure() -> None:
    from django.core.management import call_command
    from django.db import connection

    from scoring.results.actions.sealing import seal
    from tests.factories.results import AT, OFFICER, competition_of

    call_command("migrate", verbosity=0)
    client, fixture = _day()
    address = f"/results/{fixture.public_id}/"
    for name in ("scores so far", "final"):
        if name == "final":
            seal(competition=competition_of(fixture), by=OFFICER, at=AT)
        client.get(address)
        tag = client.get(address).headers["ETag"]
        said: list[str] = []
        with connection.execute_wrapper(_noting(said)):
            size = len(client.get(address).content)
        hello, page, unchanged = _least(
            lambda: client.get("/hello/"),
            lambda: client.get(address),
            lambda tag=tag: client.get(address, headers={"If-None-Match": tag}),
        )
        print(f"{name}, {CARDS} rows, {size // 1024} KiB, {len(said)} statements")
        print(f"  hello, signed in  {hello * 1000:8.2f} ms")
        _line("from the database", page, hello, PAGE_GOAL)
        _line("unchanged (304)", unchanged, hello, UNCHANGED_GOAL)


def _noting(said: list[str]) -> Callable[..., object]:
    """A wrapper of the database that notes every statement."""

    def noting(execute: Callable[..., object], sql: str, *rest: object) -> object:
        said.append(sql)
        return execute(sql, *rest)

    return noting


def _day() -> tuple[object, object]:
    """A field of 120 typed cards, many of them level, and a signed-in secretary."""
    from tests.conftest import signed_in
    from tests.factories.members import AccountFactory, OfficeFactory, SocietyFactory
    from tests.factories.results import played, scoring

    SocietyFactory()
    account = AccountFactory()
    OfficeFactory(account=account, role="secretary")
    cards = [scoring(20 + number * 7 % 19) for number in range(CARDS)]
    return signed_in(account), played(cards, indexes=[f"{n * 7 % 29}.0" for n in range(CARDS)])


def _line(name: str, took: float, hello: float, goal: int) -> None:
    print(f"  {name:17} {took * 1000:8.2f} ms  {took / hello:6.1f} x hello, goal at most {goal}")


def _least(*pages: Callable[[], object]) -> list[float]:
    """The least time of each page, the pages taken in turn."""
    took = [float("inf")] * len(pages)
    for _ in range(ROUNDS):
        for at, page in enumerate(pages):
            begin = perf_counter()
            page()
            took[at] = min(took[at], perf_counter() - begin)
    return took


if __name__ == "__main__":
    main()
