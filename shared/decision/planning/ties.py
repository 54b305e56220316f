"""Which of equally cheap plans is given: ready first, then fewest charges, then smallest ids."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from shared.decision.planning.case import Plan
from shared.decision.planning.evaluator import PlanError, evaluate
from shared.decision.planning.formulation import CaseReader, Formulation, Row
from shared.decision.planning.search import Change, Model, value_of
from shared.decision.planning.written import chosen_ids

if TYPE_CHECKING:
    from shared.decision.planning.solver import Planner

RANK_LIMIT = 2**40
"""Largest weight in a tie-break: keeps the solver's arithmetic far from its bounds."""


def first_among_equals_each(asked: Sequence[tuple["Planner", Plan, int | None]]) -> list[Plan]:
    """Of each plan's equals the first: planner, plan and deadline each, all of one case.

    Most plans have none, which one search each shows, side by side. Where a search stops undecided,
    the best that was found.
    """
    checks = [_another(planner, plan, deadline) for planner, plan, deadline in asked]
    if len(checks) == 1:
        outcomes = [asked[0][0].attempt(*checks[0])]
    else:
        outcomes = asked[0][0].side_by_side(checks, confirms=False) if asked else []
    return [
        plan if outcome.status == "infeasible" else _first(planner, plan)
        for (planner, plan, _), outcome in zip(asked, outcomes, strict=True)
    ]


def _another(planner: "Planner", plan: Plan, deadline: int | None) -> tuple[Model, Change]:
    """Asks for another plan as cheap and ready by a day."""
    model = planner.model(deadline)
    chosen = [model.problem.source_at[source_id] for source_id in plan.source_ids]
    other = Row(dict.fromkeys(chosen, 1), None, len(chosen) - 1)
    as_cheap = Row(model.problem.aim, None, plan.objective)
    return model, planner.change(model, (as_cheap, other))


def _first(planner: "Planner", plan: Plan) -> Plan:
    while plan.ready_day > 0:
        earlier = planner.step(plan.ready_day - 1, plan.objective).plan
        if earlier is None:
            break
        plan = earlier
    return _least(planner, plan)


def _least(planner: "Planner", plan: Plan) -> Plan:
    """Of all plans of this cost and ready day: fewest charges, then smallest ids."""
    model = planner.model(plan.ready_day)
    rows = [Row(model.problem.aim, plan.objective, plan.objective)]
    values: Sequence[int] | None = None
    for aim in tie_stages(planner.reader, model.problem):
        change = replace(planner.change(model, rows), aim=aim, hint=values)
        outcome = planner.attempt(model, change)
        if outcome.values is None or outcome.status != "optimal":
            return plan
        values = outcome.values
        reached = value_of(aim, values)
        rows.append(Row(aim, reached, reached))
    return plan if values is None else _tying(planner, model.problem, values, plan) or plan


def _tying(
    planner: "Planner", problem: Formulation, values: Sequence[int], plan: Plan
) -> Plan | None:
    """The plan of a tie-break, if arithmetic confirms that it ties."""
    try:
        ids = chosen_ids(problem, values)
        other = evaluate(planner.case, ids, planner.query.confidence)
    except PlanError:
        return None
    is_tie = (other.objective, other.ready_day) == (plan.objective, plan.ready_day)
    return other if is_tie else None


def tie_stages(reader: CaseReader, problem: Formulation) -> list[dict[int, int]]:
    """Aims to be made least one after the other: fewest charges, then the smallest ids.

    Ids count position by position in their order, several positions to a stage, each stage within
    the solver's arithmetic.
    """
    counted: dict[int, int] = Counter(
        problem.charge_at[charge.id]
        for charge in reader.charges.values()
        if not charge.is_open and charge.id in problem.charge_at
    )
    stages: list[dict[int, int]] = []
    ranks: dict[int, int] = {}
    scale = 1
    for position in reversed(reader.positions):
        ids = [s.id for s in reader.at[position.id] if s.id in problem.source_at]
        if scale * (len(ids) + 1) > RANK_LIMIT:
            stages.insert(0, ranks)
            ranks, scale = {}, 1
        # Not resolved at all stands after every source: a weight of 0 below minus the others.
        for rank, source_id in enumerate(ids):
            ranks[problem.source_at[source_id]] = (rank - len(ids)) * scale
        scale *= len(ids) + 1
    stages.insert(0, ranks)
    return [counted, *stages] if counted else stages
