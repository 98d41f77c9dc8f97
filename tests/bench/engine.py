"""How long ranking 120 cards takes, as a multiple of the plain recount of the same document.

Run with `python -m tests.bench.engine`. Processor time of this process, the least of several
rounds, both ways taken in turn in one run; the goal is at most 5. Nothing is asserted here.
"""

from collections.abc import Callable, Mapping
from time import process_time
from typing import Any

from scoring.rules.engine import score
from scoring.rules.event import read_event
from scoring.rules.recount import recount

CARDS = 120
ROUNDS = 15
GOAL = 5


def field(cards: int = CARDS, format_: str = "stableford") -> dict[str, Any]:
    """An event of so many cards, many of them level on the total; no chance in it."""
    par = [4, 4, 3, 5, 4, 4, 3, 4, 5, 4, 4, 3, 5, 4, 4, 3, 4, 5]
    index = [7, 3, 15, 11, 1, 17, 5, 13, 9, 8, 16, 2, 12, 6, 10, 18, 4, 14]
    return {
        "document": "golf-event",
        "version": 1,
        "event": {"name": "Bench", "date": "2026-04-18"},
        "terms": {"format": format_},
        "tees": {"white": {"par": par, "stroke_index": index}},
        "players": {
            f"p{n}": {"name": f"Player {n}", "tee": "white", "playing_handicap": n * 7 % 29}
            for n in range(cards)
        },
        "cards": {
            f"p{n}": [score + (n * (hole + 3) + hole) % 3 for hole, score in enumerate(par)]
            for n in range(cards)
        },
    }


def least(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Processor seconds of the quickest of several rounds, each of a few repeats."""
    repeats = 5
    times = []
    for _ in range(rounds):
        begin = process_time()
        for _ in range(repeats):
            work()
        times.append((process_time() - begin) / repeats)
    return min(times)


def measure(document: Mapping[str, Any]) -> dict[str, float]:
    """Seconds for the plain recount, for ranking, and for reading and ranking."""
    event = read_event(document)
    return {
        "recount": least(lambda: recount(document)),
        "ranking": least(lambda: score(event)),
        "reading and ranking": least(lambda: score(read_event(document))),
    }


def main() -> None:
    """Print the ratios for a format by points and one by strokes."""
    for format_ in ("stableford", "medal"):
        took = measure(field(format_=format_))
        plain = took["recount"]
        print(f"{CARDS} cards, {format_}: plain recount {plain * 1000:.2f} ms of processor time")
        for name in ("ranking", "reading and ranking"):
            print(f"  {name}: {took[name] / plain:.2f} x (goal: at most {GOAL})")


if __name__ == "__main__":
    main()
