"""Price against promise date, exactly: every plan that is cheapest for some deadline.

Sweep from the end of the calendar: solve, take the plan's own ready day, ask for one day sooner,
until nothing is feasible. A plan of equal cost that is ready sooner takes the later one's place.
Each solve asks only for what the last one could not do, so no day of the grid is missed.
Source: epsilon-constraint method; common practice, no source.
"""

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import FrontPoint, Plan, PlanningCase, Query
from shared.decision.planning.solver import DETERMINISTIC_LIMIT, Planner, SolverStopped
from shared.decision.planning.ties import first_among_equals_each


def frontier(
    case: PlanningCase,
    confidence: int,
    barred_sources: frozenset[str] = frozenset(),
    forced_sources: frozenset[str] = frozenset(),
    deterministic_limit: float = DETERMINISTIC_LIMIT,
    *,
    budget: Budget | None = None,
    planner: Planner | None = None,
) -> tuple[FrontPoint, ...]:
    """All plans that are cheapest for some deadline up to ``last_day``, soonest first.

    ``confidence`` in 10^-9. Costs fall from point to point; a point's plan is what ``solve`` gives
    for every deadline from its ready day to its ``valid_to_day``. Empty: nothing is feasible.
    ``planner`` of the same case: its limits, its budget and what it has written down are used.
    Raises SolverStopped where a search reaches its limit: a front with a gap is no front.
    """
    query = Query(confidence, None, barred_sources, forced_sources)
    if planner is None:
        planner = Planner(case, query, deterministic_limit, budget=budget)
    planner = planner.asking(query)
    swept = _sweep(planner, case.last_day)
    chosen = first_among_equals_each([(planner, plan, day) for day, plan in swept])
    points: list[FrontPoint] = []
    until = case.last_day
    for first in chosen:
        points.append(FrontPoint(first, first.ready_day, until))
        until = first.ready_day - 1
    return tuple(reversed(points))


def earliest_ready_day(
    case: PlanningCase,
    confidence: int,
    barred_sources: frozenset[str] = frozenset(),
    forced_sources: frozenset[str] = frozenset(),
    *,
    budget: Budget | None = None,
    planner: Planner | None = None,
) -> int | None:
    """First day by which any plan is ready with a confidence (10^-9); None: none by ``last_day``.

    ``planner`` as for ``frontier``. Raises SolverStopped where a search reaches its limit.
    """
    query = Query(confidence, None, barred_sources, forced_sources)
    planner = Planner(case, query, budget=budget) if planner is None else planner.asking(query)
    if not planner.is_feasible(case.last_day):
        return None
    too_soon, possible = -1, case.last_day
    while possible - too_soon > 1:
        middle = (too_soon + possible) // 2
        if planner.is_feasible(middle):
            possible = middle
        else:
            too_soon = middle
    return possible


def _sweep(planner: Planner, last_day: int) -> list[tuple[int, Plan]]:
    """Plans of falling ready day and rising cost, each with the deadline for which it was found.

    Of equal cost only the soonest.
    """
    found: list[tuple[int, Plan]] = []
    deadline = last_day
    while deadline >= 0:
        solution = planner.step(deadline)
        if not solution.report.is_proven:
            raise SolverStopped(f"The search for a plan ready by day {deadline} was not finished.")
        if solution.plan is None:
            break
        if found and found[-1][1].objective == solution.plan.objective:
            found.pop()
        found.append((deadline, solution.plan))
        deadline = solution.plan.ready_day - 1
    return found
