"""How long the planner takes, as ratios to a second solver on the same case in the same run.

The second solver is HiGHS with its own formulation (``tests/shared/decision/second_solver.py``).
Growth is told against the number of sources, as the exponent between one size and the next.
"""

from collections.abc import Callable
from math import log
from statistics import median
from time import perf_counter

from shared.decision.planning.case import PlanningCase, Query
from shared.decision.planning.case_reader import CaseReader
from shared.decision.planning.formulation import formulate
from shared.decision.planning.frontier import frontier
from shared.decision.planning.search import Model
from shared.decision.planning.solver import solve
from tests.bench.planner_cases import bench_case, with_waiting
from tests.shared.decision.second_solver import cheapest_objective

CONFIDENCE = 900_000_000
DEADLINE = 25
QUERY = Query(CONFIDENCE, deadline=DEADLINE)

SIZES = ((6, 5, 9), (15, 10, 5), (40, 30, 1), (150, 60, 1))
"""Positions, sources each, and how often it is timed."""

SECOND_SOLVER_UP_TO = 2_000
"""Sources up to which the second solver is asked; beyond, it takes minutes."""

FRONT_UP_TO = 2_000
"""Sources up to which ties are broken and a front is worked out."""


def run() -> None:
    """Print milliseconds of each step at each size, ratios and growth."""
    solve(bench_case(3, 3), QUERY)  # the optimiser's import is not what is measured
    print(f"{'planner':<24}{'ms':>10}{'x second':>10}{'growth':>8}")
    before: dict[str, tuple[int, float]] = {}
    for positions, options, repeats in SIZES:
        case = bench_case(positions, options)
        size = positions * options
        second = _second(case, repeats) if size <= SECOND_SOLVER_UP_TO else None
        for step, work in _steps(case, size).items():
            taken = milliseconds(work, repeats)
            growth = _growth(before.get(step), (size, taken))
            show(f"{step} {positions} x {options}", taken, second, growth)
            before[step] = size, taken
        if second is not None:
            show(f"second solver {positions} x {options}", second, second)


def _steps(case: PlanningCase, size: int) -> dict[str, Callable[[], object]]:
    steps: dict[str, Callable[[], object]] = {
        "model": lambda: Model(formulate(CaseReader(case), QUERY)).written,
        "one solve": lambda: solve(case, QUERY, breaks_ties=False),
    }
    if size <= FRONT_UP_TO:
        steps["ties broken"] = lambda: solve(case, QUERY)
        steps["with waiting"] = lambda: solve(with_waiting(case), QUERY, breaks_ties=False)
        steps["front"] = lambda: frontier(case, CONFIDENCE)
    return steps


def _second(case: PlanningCase, repeats: int) -> float:
    """Milliseconds of the second solver; raises AssertionError if the two do not agree."""
    plan = solve(case, QUERY, breaks_ties=False).plan
    found = cheapest_objective(case, CONFIDENCE, DEADLINE)
    assert plan is not None and plan.objective == found, (plan, found)
    return milliseconds(lambda: cheapest_objective(case, CONFIDENCE, DEADLINE), repeats)


def _growth(smaller: tuple[int, float] | None, larger: tuple[int, float]) -> float | None:
    """The power of the number of sources with which the time grew."""
    if smaller is None:
        return None
    return log(larger[1] / smaller[1]) / log(larger[0] / smaller[0])


def show(name: str, taken: float, second: float | None, growth: float | None = None) -> None:
    """Print one line of the table."""
    ratio = f"{taken / second:.2f}" if second else "-"
    power = f"{growth:.1f}" if growth is not None else ""
    print(f"{name:<24}{taken:>10.1f}{ratio:>10}{power:>8}", flush=True)


def milliseconds(work: Callable[[], object], repeats: int) -> float:
    """Median time of so many runs."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append((perf_counter() - start) * 1000)
    return median(times)
