"""Scores of a handicap record worked out per second, and how that grows with its length.

Run with `python -m tests.bench.handicap`. Processor time of this process, the least of several
rounds, all lengths taken in turn in one run. Growth is the time per score against that of the
shortest record: 1.0 is a straight line. Nothing is asserted here.
"""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from time import process_time
from typing import Any

from scoring.rules.record.cli import main as command
from scoring.rules.record.document import read_record
from scoring.rules.record.history import history
from scoring.rules.recount_index import recount_index
from scoring.rules.strict_json import write_document

LENGTHS = (20, 100, 1000, 10_000)
LONGEST_RECOUNT = 1000
ROUNDS = 5
PAR = [4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 5, 4, 4, 3, 4, 5]
INDEX = [7, 3, 15, 11, 1, 17, 5, 13, 9, 8, 16, 2, 12, 6, 10, 18, 4, 14]
FORMS = ("ready", "total", "by hole")


def record(length: int, form: str, each: int = 1) -> dict[str, Any]:
    """A record of so many scores so many days apart; no chance in it."""
    return {
        "document": "handicap-record",
        "version": 1,
        "scores": [score(n, form, each) for n in range(length)],
    }


def score(n: int, form: str, each: int) -> dict[str, Any]:
    """The n-th score, up and down over the years, exceptional now and then."""
    worse = n * 7 % 19 + n // 50 % 5 - (12 if n % 41 == 40 else 0)
    played = {"played": str(date(1950, 1, 1) + timedelta(days=each * n))}
    ratings = {"course_rating": Decimal("70.1"), "slope_rating": 120}
    if form == "ready":
        return {**played, "differential": Decimal(120 + 10 * worse).scaleb(-1)}
    if form == "total":
        return {**played, "adjusted_gross": 84 + worse, **ratings}
    card = [par + (n * (hole + 3) + hole) % 3 for hole, par in enumerate(PAR)]
    return {**played, "hole_scores": card, "par": PAR, "stroke_index": INDEX, **ratings}


def seconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Processor seconds of the quickest of several rounds."""
    times = []
    for _ in range(rounds):
        begin = process_time()
        work()
        times.append(process_time() - begin)
    return min(times)


def show(what: str, length: int, took: float, first: float) -> None:
    """One line: how many per second, and the growth against the shortest."""
    growth = (took / length) / first
    print(f"  {what}, {length} scores: {length / took:,.0f} scores a second, growth {growth:.2f}")


def main() -> None:
    """Each form by length, then the whole command on bytes, then beside the plain recount."""
    for form in FORMS:
        print(f"history from read scores, form {form}")
        first = 0.0
        for length in LENGTHS:
            scores = read_record(record(length, form))
            took = seconds(lambda scores=scores: history(scores))
            first = first or took / length
            show("a score a day", length, took, first)
    print("the whole command, bytes to JSON, form by hole")
    first = 0.0
    for length in LENGTHS[:-1]:
        data = write_document(record(length, "by hole", each=9)).encode()
        took = seconds(lambda data=data: command(data, "json"))
        first = first or took / length
        show("a score every nine days", length, took, first)
    print("beside the plain recount, which works each row out from all before it")
    for length in (length for length in LENGTHS if length <= LONGEST_RECOUNT):
        document = record(length, "total", each=9)
        engine = seconds(lambda document=document: history(read_record(document)))
        plain = seconds(lambda document=document: recount_index(document), rounds=2)
        print(
            f"  {length} scores: the engine with reading takes {engine / plain:.2f} x the recount"
        )


if __name__ == "__main__":
    main()
