"""Why: what bars a route, what an unchosen source costs more, what rules everything out."""

from dataclasses import dataclass

from shared.decision.building.build import Built
from shared.decision.building.planned import WHOLE
from shared.decision.building.retire import why_not_weighed
from shared.decision.building.routes import has_source
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Plan, Query
from shared.decision.planning.infeasible import Relaxing, explain_infeasible
from shared.decision.planning.solver import Planner
from shared.decision.result import Exclusion, Infeasibility, ReasonCode, Relaxation, Route
from shared.decision.weighing.forced import Weighing, relaxation
from shared.decision.weighing.required import names_of, requirements_told

_NOT_OFFERED = {
    Route.EXCHANGE: "no exchange unit is on offer",
    Route.USED: "no used unit is on offer or in stock",
    Route.NEW: "no new unit is on offer",
    Route.SEND_OUT: "no rebuilder's offer for the customer's own unit",
}
_NOT_KNOWN = "which requirements contradict each other was not worked out within the search limit"


@dataclass(frozen=True, slots=True)
class NoPlan:
    """Why a route has no plan at all, dates left aside.

    ``requirements`` contradict each other, none of them idle; empty where nothing is on offer.
    """

    code: ReasonCode
    reasons: tuple[str, ...]
    requirements: tuple[str, ...] = ()
    relaxation: Relaxation | None = None


def planner_of(built: Built, budget: Budget | None = None) -> Planner:
    """A planner of the case as it is asked, for everything that one answer needs."""
    return Planner(built.case, Query(built.confidence, built.deadline), budget=budget)


def why_no_plan(
    built: Built, route: Route, barred: frozenset[str], planner: Planner | None = None
) -> NoPlan:
    """Why a route has no plan, whatever the date."""
    if not has_source(built, route):
        own = [e for e in built.draft.exclusions if e.position_id == WHOLE]
        if route is Route.RETIRE:
            return NoPlan(ReasonCode.BARRED, (why_not_weighed(built.bench.snapshot) or "",))
        told = [_NOT_OFFERED.get(route, "the assembly has no positions on record")]
        if route in _NOT_OFFERED:
            told += [f"{e.subject}: {e.detail}" for e in own]
        return NoPlan(ReasonCode.BARRED, tuple(told))
    query = Query(built.confidence, None, barred)
    found = _contradiction(built, query, planner or planner_of(built), route)
    if not found.told:
        return NoPlan(ReasonCode.NOT_WORKED_OUT, (_NOT_KNOWN,))
    return NoPlan(ReasonCode.INFEASIBLE, found.told, found.told, found.relaxation)


def route_reasons(
    built: Built, route: Route, barred: frozenset[str], planner: Planner | None = None
) -> tuple[str, ...]:
    """Why a route has no plan at all, dates left aside, in words."""
    return why_no_plan(built, route, barred, planner).reasons


def infeasibility(
    built: Built, earliest_day: int | None, planner: Planner | None = None
) -> Infeasibility:
    """What rules everything out: requirements that cannot hold together, none of them idle."""
    query = Query(built.confidence, built.deadline)
    found = _contradiction(built, query, planner or planner_of(built))
    promise = built.days[earliest_day] if earliest_day is not None else None
    if promise is not None:
        detail = f"Nothing is ready in time with the asked chance; the earliest is {promise}."
    elif "deadline" in found.keys or not found.told:
        detail = "Nothing meets what is asked."
    else:
        detail = "Nothing meets these requirements together, whatever the date."
    return Infeasibility(found.told or (_NOT_KNOWN,), detail, promise, found.relaxation)


NOT_LOOKED_FAR_ENOUGH = Infeasibility(
    (_NOT_KNOWN,),
    "Whether anything meets what is asked was not worked out within the search limit: ask with "
    "more effort.",
    None,
)
"""No plan was found, and none was proven impossible."""


@dataclass(frozen=True, slots=True)
class _Contradiction:
    """Requirements that cannot hold together, in words, and the cheapest single way out."""

    keys: tuple[str, ...]
    told: tuple[str, ...]
    relaxation: Relaxation | None


def _contradiction(
    built: Built, query: Query, planner: Planner, route: Route | None = None
) -> _Contradiction:
    keys = explain_infeasible(built.case, query, planner=planner, names=names_of(built))
    relaxed = Relaxing(planner).cheapest(query, keys)
    return _Contradiction(
        keys,
        requirements_told(built, keys, route),
        None if relaxed is None else relaxation(built, relaxed),
    )


def source_exclusions(
    built: Built, best: Plan, planner: Planner | None = None
) -> tuple[Exclusion, ...]:
    """For each source that the best plan does not use: why not, and by how much it is dearer.

    ``planner`` of the same case: its budget, and what it has written down, are used.
    """
    return Weighing(built, best, planner or planner_of(built)).exclusions()
