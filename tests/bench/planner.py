"""How long the planner takes, as ratios to a small solve of the same run."""

from collections.abc import Callable
from statistics import median
from time import perf_counter

from shared.decision.case import Query
from shared.decision.frontier import frontier
from shared.decision.solver import solve
from tests.bench.planner_cases import bench_case

CONFIDENCE = 900_000_000
QUERY = Query(CONFIDENCE, deadline=25)


def run() -> None:
    """Print milliseconds and ratios; 1 is one solve of 6 positions with 5 sources each."""
    solve(bench_case(3, 3), QUERY)  # the optimiser's import is not what is measured
    unit = _milliseconds(lambda: solve(bench_case(6, 5), QUERY, breaks_ties=False), repeats=9)
    print(f"{'one solve 6 x 5 (the unit)':<34}{unit:>10.1f} ms {1:>8.1f}")
    for positions, options in ((6, 5), (15, 10), (40, 30)):
        case = bench_case(positions, options)
        size = f"{positions} x {options}"
        for label, work in (
            ("one solve", lambda case=case: solve(case, QUERY, breaks_ties=False)),
            ("one solve, ties broken", lambda case=case: solve(case, QUERY)),
            ("front", lambda case=case: frontier(case, CONFIDENCE)),
        ):
            taken = _milliseconds(work, repeats=1 if positions == 40 else 3)
            print(f"{label + ' ' + size:<34}{taken:>10.1f} ms {taken / unit:>8.1f}", flush=True)


def _milliseconds(work: Callable[[], object], repeats: int) -> float:
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append((perf_counter() - start) * 1000)
    return median(times)
