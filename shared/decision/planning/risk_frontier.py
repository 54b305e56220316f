"""Outlay, promise date and risk of a comeback: every plan that no other beats in all three.

What comebacks are expected to cost is taken out of the outlay: the risk is either priced or an axis
of its own, never both. For a deadline the risk allowed is lowered below each plan found until none
is left; the next deadline is a day before the latest that this gave. Dominated points are dropped
at the end. Source: nested epsilon-constraint method; common practice, no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import CostClass, Plan, PlanningCase, Query
from shared.decision.planning.evaluator import evaluate
from shared.decision.planning.solver import DETERMINISTIC_LIMIT, Planner, SolverStopped
from shared.decision.planning.ties import first_among_equals_each


@dataclass(frozen=True, slots=True)
class RiskFrontPoint:
    """A plan, its aim without comebacks (minor units), its ready day, its summed risk."""

    plan: Plan
    outlay: int
    ready_day: int
    risk: int


def risk_frontier(
    case: PlanningCase,
    confidence: int,
    barred_sources: frozenset[str] = frozenset(),
    forced_sources: frozenset[str] = frozenset(),
    budget: Budget | None = None,
) -> tuple[RiskFrontPoint, ...]:
    """All plans that no other beats in outlay, day and risk together; soonest, then cheapest first.

    ``confidence`` in 10^-9. The plans are those of ``case``, comebacks priced. Empty where nothing
    is feasible, and where the budget is used up before the end, which it notes: a front with a gap
    is no front. Raises what ``solve`` raises.
    """
    query = Query(confidence, None, barred_sources, forced_sources)
    planner = Planner(without_comebacks(case), query, DETERMINISTIC_LIMIT, budget=budget)
    try:
        found = list(_Nest(planner).plans())
    except SolverStopped:
        planner.budget.leave_out("the frontier with the risk of a comeback as third axis")
        return ()
    kept = {_vector(p): p for p in found if not any(_beats(other, p) for other in found)}
    asked = [
        (planner.asking(replace(query, risk_limit=p.risk)), p, p.ready_day) for p in kept.values()
    ]
    points = [
        RiskFrontPoint(evaluate(case, first.source_ids, confidence), *_vector(first))
        for first in first_among_equals_each(asked)
    ]
    return tuple(sorted(points, key=lambda point: (point.ready_day, point.outlay, point.risk)))


def without_comebacks(case: PlanningCase) -> PlanningCase:
    """The same case with what comebacks are expected to cost left out of every sum."""
    return replace(
        case,
        sources=tuple(
            replace(
                source,
                lines=tuple(x for x in source.lines if x.cost_class is not CostClass.COMEBACK),
            )
            for source in case.sources
        ),
        charges=tuple(
            replace(
                charge,
                lines=tuple(x for x in charge.lines if x.cost_class is not CostClass.COMEBACK),
            )
            for charge in case.charges
        ),
    )


def _vector(plan: Plan) -> tuple[int, int, int]:
    return plan.objective, plan.ready_day, plan.risk


def _beats(one: Plan, other: Plan) -> bool:
    mine, theirs = _vector(one), _vector(other)
    return mine != theirs and all(a <= b for a, b in zip(mine, theirs, strict=True))


class _Nest:
    """The two loops, and what earlier searches have settled already."""

    def __init__(self, planner: Planner) -> None:
        self.planner = planner
        self.known: list[tuple[int, int, Plan | None]] = []
        """Deadline, risk allowed, the cheapest plan within both."""

    def plans(self) -> Iterator[Plan]:
        """Plans among which are all that none beats."""
        case = self.planner.case
        most = sum(source.risk for source in case.sources)
        deadline = case.last_day
        while deadline >= 0:
            latest, allowed = -1, most
            while allowed >= 0:
                plan = self._cheapest(deadline, allowed)
                if plan is None:
                    break
                yield plan
                latest, allowed = max(latest, plan.ready_day), plan.risk - 1
            deadline = latest - 1

    def _cheapest(self, deadline: int, allowed: int) -> Plan | None:
        for day, risk, plan in self.known:
            if deadline <= day and allowed <= risk:
                if plan is None:
                    return None
                if plan.ready_day <= deadline and plan.risk <= allowed:
                    return plan
        query = replace(self.planner.query, risk_limit=allowed)
        solution = self.planner.asking(query).step(deadline)
        if not solution.report.is_proven:
            raise SolverStopped(f"The search for a plan ready by day {deadline} was not finished.")
        self.known.append((deadline, allowed, solution.plan))
        return solution.plan
