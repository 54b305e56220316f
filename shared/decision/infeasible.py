"""Why no plan meets a query: requirements that cannot all be met, none of them idle.

Deletion filter: leave a requirement out; if still nothing is feasible, it was not needed for the
contradiction and stays out. What remains is irreducible: leave out any one, and a plan exists. It
need not be the smallest such set. Whole halves are tried at once, which needs fewer solves.
"""

from collections.abc import Sequence

from shared.decision.case import PlanningCase, Query
from shared.decision.solver import DETERMINISTIC_LIMIT, Planner, SolverStopped


def explain_infeasible(
    case: PlanningCase, query: Query, deterministic_limit: float = DETERMINISTIC_LIMIT
) -> tuple[str, ...]:
    """Keys of an irreducible set of requirements that contradict each other, sorted.

    Keys: "deadline", "position:<id>" (must be filled), "matched:<id>", "together:<id>",
    "always:<position id>", "physical:<part>", "capacity:<id>", "forced:<source id>", "refit".
    Empty: the query can be met, or is not known to be infeasible. Barred sources stay barred.
    """
    planner = Planner(case, query, deterministic_limit)
    if not _is_infeasible(planner, query, frozenset()):
        return ()
    kept: list[str] = []
    _filter(planner, query, requirements(case, query), set(), kept)
    return tuple(sorted(kept))


def requirements(case: PlanningCase, query: Query) -> list[str]:
    """Keys of all requirements of a case, those tried first that say least when they stay."""
    parts = {part for source in case.sources for part in source.physical_parts}
    return [
        *sorted(f"together:{group.id}" for group in case.renewed_together),
        *(["refit"] if any(source.refit_only for source in case.sources) else []),
        *sorted(f"physical:{part}" for part in parts),
        *sorted(f"capacity:{capacity.id}" for capacity in case.capacities),
        *sorted(f"matched:{group.id}" for group in case.matched_sets),
        *sorted(f"always:{p.id}" for p in case.positions if p.always_renew_with is not None),
        *sorted(f"forced:{source_id}" for source_id in query.forced_sources),
        *sorted(f"position:{p.id}" for p in case.positions if p.parent_id is not None),
        "deadline",
        *(f"position:{p.id}" for p in case.positions if p.parent_id is None),
    ]


def _filter(
    planner: Planner, query: Query, keys: Sequence[str], dropped: set[str], kept: list[str]
) -> None:
    """Drop what can be dropped of ``keys``; what must stay goes to ``kept``."""
    if not keys:
        return
    if _is_infeasible(planner, query, frozenset(dropped | set(keys))):
        dropped.update(keys)
    elif len(keys) == 1:
        kept.append(keys[0])
    else:
        half = len(keys) // 2
        _filter(planner, query, keys[:half], dropped, kept)
        _filter(planner, query, keys[half:], dropped, kept)


def _is_infeasible(planner: Planner, query: Query, relaxed: frozenset[str]) -> bool:
    """Proven infeasible; a search that reaches its limit proves nothing."""
    try:
        return not planner.is_feasible(query.deadline, relaxed)
    except SolverStopped:
        return False
