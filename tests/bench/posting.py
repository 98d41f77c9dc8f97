"""How many society handicaps a second follow a final result of 120 players.

Run with `python -m tests.bench.posting`. One deed tells the records a card of each player, as a
result does when it is made final: rows written, every figure worked out again from the whole
record, the lines of the record and the audit. SQLite file of its own; several fixtures one after
the other, the least of them. Growth is the time against that with the shortest record: 1.0 is no
growth at all. Nothing is asserted here.
"""

import os
import tempfile
from datetime import date, timedelta
from time import perf_counter

PLAYERS = 120
LENGTHS = (3, 20, 60)
FIXTURES = 3
DAY = date(2024, 1, 6)


def main() -> None:
    """Records of each length, a fixture on top, and the line for it."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["DATABASE_URL"] = f"sqlite:///{folder}/bench.sqlite3"
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        _measure()


def _measure() -> None:
    shortest = 0.0
    for length in LENGTHS:
        players = _players(length)
        took, statements = min(
            _post(players, DAY + timedelta(days=9 * (length + more)), f"fixture-{length}-{more}")
            for more in range(FIXTURES)
        )
        shortest = shortest or took
        print(
            f"  records of {length} scores: {PLAYERS} figures in {took * 1000:.0f} ms, "
            f"{PLAYERS / took:,.0f} a second, {statements} statements, growth {took / shortest:.2f}"
        )


def _players(length: int) -> list[str]:
    """So many players with a record of this length; no chance in it."""
    from society.audit.actions import deed
    from society.handicaps.actions.scores import post_scores
    from tests.factories.members import PlayerFactory

    players = [PlayerFactory().public_id for _ in range(PLAYERS)]
    told = [
        _told(one, DAY + timedelta(days=9 * at), f"before-{at}")
        for at in range(length)
        for one in players
    ]
    with deed(by=_officer(), at=_now(), what="told", about="fixture:before") as d:
        post_scores(d, told=told)
    return players


def _post(players: list[str], on: date, origin: str) -> tuple[float, int]:
    """Seconds and statements of one result told to the records."""
    from django.db import connection

    from society.audit.actions import deed
    from society.handicaps.actions.scores import post_scores

    said: list[str] = []

    def note(execute, sql, *more):  # type: ignore[no-untyped-def]
        said.append(sql)
        return execute(sql, *more)

    told = [_told(one, on, origin) for one in players]
    begin = perf_counter()
    with (
        connection.execute_wrapper(note),
        deed(by=_officer(), at=_now(), what="told", about="fixture:bench") as d,
    ):
        post_scores(d, told=told)
    return perf_counter() - begin, len(said)


def _told(player: str, on: date, origin: str):  # type: ignore[no-untyped-def]
    from society.handicaps.rules.scores import Told
    from tests.factories.records import card

    strokes = [4 + (sum(map(ord, player + origin)) + hole * 5) % 4 for hole in range(18)]
    return Told(player, f"{origin}:{player}", on, 18, card(*strokes), {})


def _officer():  # type: ignore[no-untyped-def]
    from tests.factories.results import OFFICER

    return OFFICER


def _now():  # type: ignore[no-untyped-def]
    from tests.factories.results import AT

    return AT


if __name__ == "__main__":
    main()
