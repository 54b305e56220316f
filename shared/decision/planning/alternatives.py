"""The best plans that a person would call different, cheapest first, exactly.

Found one after the other, each forbidden to agree with any plan before it in all but so many of
that plan's positions. Agreement is counted in ways, not in sources: the same part from another
supplier is the same way. Source: no-good cuts over choices; common practice, no source.
"""

from collections.abc import Mapping

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Plan, PlanningCase, Query
from shared.decision.planning.solver import Planner
from shared.decision.planning.written import Cut


def best_plans(
    case: PlanningCase,
    query: Query,
    count: int,
    way_of: Mapping[str, str],
    differ_in: int = 1,
    budget: Budget | None = None,
    *,
    planner: Planner | None = None,
    best: Plan | None = None,
) -> tuple[Plan, ...]:
    """The ``count`` cheapest plans, each apart from every one before in ``differ_in`` ways.

    ``way_of`` names each source's way; sources of equal way at a position are one choice, and one
    that it does not name is a way of its own. A position resolved part by part is no way. Where a
    plan has fewer positions than ``differ_in``, all of its ways must differ. ``planner`` of the
    same case: its budget and written-down problems are used; ``best``: the cheapest, if known.
    Fewer plans come back where there are no more, or where the budget is used up, which it notes.
    Ties are broken as ``solve`` does. Raises what ``solve`` raises.
    """
    planner = planner or Planner(case, query, budget=budget)
    found: list[Plan] = []
    cuts: list[Cut] = []
    while len(found) < count:
        if best is not None and not found:
            plan = best
        else:
            solution = planner.asking(query, cuts).cheapest()
            if not solution.report.is_proven:
                planner.budget.leave_out(f"alternatives beyond the first {len(found)}")
                break
            if solution.plan is None:
                break
            plan = solution.plan
        found.append(plan)
        cuts.append(_cut(case, plan, way_of, differ_in))
    return tuple(found)


def ways_of_plan(
    case: PlanningCase, plan: Plan, way_of: Mapping[str, str]
) -> tuple[tuple[str, str], ...]:
    """Position and way of everything a plan chooses, in the order of ids."""
    chosen = set(plan.source_ids)
    return tuple(
        sorted(
            (source.position_id, way_of.get(source.id, source.id))
            for source in case.sources
            if source.id in chosen and not source.resolves_children
        )
    )


def _cut(case: PlanningCase, plan: Plan, way_of: Mapping[str, str], differ_in: int) -> Cut:
    ways = set(ways_of_plan(case, plan, way_of))
    alike = sorted(
        source.id
        for source in case.sources
        if not source.resolves_children
        and (source.position_id, way_of.get(source.id, source.id)) in ways
    )
    return Cut(tuple(alike), len(ways) - min(differ_in, len(ways)))
