"""How quick a season of draws is, how often people meet again, how even balanced groups are.

Run with `python -m tests.bench.draw`. Processor time of this process for eight draws in a row, all
players in each, groups of four. Repeats are counted over all pairs: who met three times repeats
three times (3 choose 2). Goals: 48 players, no repeat, all eight within a second; 24 players, at
most 1.2 times the best known (25); the widest gap between the sums of balanced groups at most a
sixth of that of a draw by lot. Nothing is asserted here.
"""

from decimal import Decimal
from statistics import median
from time import perf_counter, process_time

from society.entries.rules.dealing import draw_groups
from society.entries.rules.draw import DrawInputs, DrawMethod
from society.entries.rules.groups import Groups
from society.entries.rules.report import repeats, totals

FIXTURES = 8
SEEDS = 5
BEST_KNOWN = 25


def season(players: int, seed: int, method: DrawMethod) -> tuple[float, float, int, list[Decimal]]:
    """Processor and wall seconds, repeats, and the widest gap of sums at each of the fixtures."""
    past: list[Groups] = []
    repeated, gaps = 0, []
    cpu, wall = process_time(), perf_counter()
    for number in range(FIXTURES):
        figures = {
            f"p{n:03d}": Decimal((n * 7 + n * n * (seed + 3)) % 37 - 1) for n in range(players)
        }
        inputs = DrawInputs(
            method=method,
            seed=f"{seed}.{number}",
            group_size=4,
            figures=figures,
            past=tuple(past),
        )
        groups = draw_groups(inputs)
        repeated += sum(repeats(inputs, groups).values())
        sums = [found for found in totals(inputs, groups) if found is not None]
        gaps.append(max(sums) - min(sums))
        past.insert(0, groups)
    return process_time() - cpu, perf_counter() - wall, repeated, gaps


def main() -> None:
    """Each size by each method that looks at whom one met or at handicaps."""
    for players in (24, 48, 120):
        widest = {}
        for method in (DrawMethod.RANDOM, DrawMethod.MIXED, DrawMethod.BALANCED):
            runs = [season(players, seed, method) for seed in range(SEEDS)]
            widest[method] = sum(sum(gaps) for *_, gaps in runs) / (SEEDS * FIXTURES)
            counts = [repeated for _, _, repeated, _ in runs]
            print(
                f"  {players:3d} players, {method.value:8s} {FIXTURES} draws: "
                f"{median(run[0] for run in runs):6.3f} s of processor "
                f"({median(run[1] for run in runs):.3f} s by the clock), "
                f"repeats {median(counts):.0f} ({min(counts)} to {max(counts)})"
                + (
                    f", {max(counts) / BEST_KNOWN:.2f} x the best known at worst"
                    if players == 24 and method is DrawMethod.MIXED
                    else ""
                )
            )
        even, by_lot = widest[DrawMethod.BALANCED], widest[DrawMethod.RANDOM]
        print(
            f"  {players:3d} players, widest gap of sums: {even:.1f} balanced, "
            f"{by_lot:.1f} by lot, ratio {even / by_lot:.3f} (goal 0.167)"
        )


if __name__ == "__main__":
    main()
