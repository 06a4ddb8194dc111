"""How fast a crowded laboratory is planned, and how much the improvement gains.

Run as ``python -m tests.benchmarks.planning [SEEDS] [SECONDS]`` from the repository's root. Times are given as
they are and as a ratio to a floor measured in the same run (sorting a million numbers).
"""

import random
import statistics
import sys
import time
from collections.abc import Callable

from labcases.planning.scheduling.greedy import earliest_due_first
from labcases.planning.scheduling.improving import improve
from tests.planning.scheduling.checking import complaints
from tests.planning.scheduling.instances import overloaded


def timed(act: Callable[[], object]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def floor() -> float:
    numbers = [random.Random(1).random() for _ in range(1000)] * 1000
    return min(timed(lambda: sorted(numbers)) for _ in range(3))


def main(seeds: int = 20, seconds: float = 10.0) -> None:
    base = floor()
    print(f"floor: {base * 1000:.1f} ms")
    print("300 stages, 12 people, 10 days, 110 % load, due after 1 to 5 days; cost in weighted days late")
    reductions, bounds = [], []
    for seed in range(seeds):
        problem = overloaded(seed)
        quick = min(timed(lambda: earliest_due_first(problem)) for _ in range(3))  # noqa: B023
        improved = improve(problem, seconds=seconds, seed=seed)
        wrong = complaints(improved.plan)
        reduction = 1 - improved.plan.cost / improved.greedy_cost if improved.greedy_cost else 0.0
        reductions.append(reduction)
        bounds.append(improved.bound)
        print(
            f"seed {seed:2}: earliest due first {improved.greedy_cost:4} in {quick * 1000:5.1f} ms"
            f" ({quick / base:4.1f} floors); improved {improved.plan.cost:4} in {seconds:g} s"
            f" (−{reduction:5.1%}); no plan below {improved.bound}; {len(wrong)} rules broken"
        )
    print(
        f"mean reduction {statistics.mean(reductions):.1%}, least {min(reductions):.1%}; mean bound", end=" "
    )
    print(f"{statistics.mean(bounds):.1f}")


if __name__ == "__main__":
    main(*(kind(text) for kind, text in zip((int, float), sys.argv[1:], strict=False)))
