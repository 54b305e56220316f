"""Why no plan meets a query: requirements that cannot all be met, none of them idle.

Deletion filter: leave a requirement out; if still nothing is feasible, it was not needed for the
contradiction and stays out. What remains is irreducible: leave out any one, and a plan exists. It
need not be the smallest such set. Whole halves are tried at once, which needs fewer solves; a set
that is likely (such as one that ruled out something similar) may be tried first.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Plan, PlanningCase, Query
from shared.decision.planning.solver import DETERMINISTIC_LIMIT, Planner, SolverStopped
from shared.sourcing.model import BelowMinimum


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The cheapest plan that giving up one requirement allows."""

    key: str
    plan: Plan


def explain_infeasible(
    case: PlanningCase,
    query: Query,
    deterministic_limit: float = DETERMINISTIC_LIMIT,
    *,
    budget: Budget | None = None,
    planner: Planner | None = None,
    likely: Sequence[frozenset[str]] = (),
    needed: frozenset[str] = frozenset(),
    names: Mapping[str, str] | None = None,
) -> tuple[str, ...]:
    """Keys of an irreducible set of requirements that contradict each other, sorted.

    Keys: "deadline", "position:<id>" (must be filled), "matched:<id>", "together:<id>",
    "always:<position id>", "physical:<part>", "capacity:<id>", "available:<item>",
    "minimum:<charge>", "risk", "forced:<source id>", "refit".
    Empty: the query can be met, or a search reached its limit and nothing is known; barred sources
    stay barred. ``planner`` of the same case: its budget and written-down problems are used.
    ``likely``: sets that are tried before the search over all requirements; ``needed``: keys
    without any of which a plan is known to exist. Of several such sets the one is found that speaks
    of rules and dates, not of what must be filled; among equals it goes by ``names`` (by key), so
    that it is the same whatever the records' ids are.
    """
    if planner is None:
        planner = Planner(case, query, deterministic_limit, budget=budget)
    search = _Filter(planner.asking(query), needed)
    keys = requirements(case, query, names)
    try:
        for guess in likely:
            outside = frozenset(keys) - guess
            if search.is_infeasible(outside):
                return search.irreducible([key for key in keys if key in guess], outside)
        if search.is_infeasible(frozenset()):
            return search.irreducible(keys, frozenset())
    except SolverStopped:
        planner.budget.leave_out("which requirements contradict each other")
    return ()


class _Filter:
    """The deletion filter on one query."""

    def __init__(self, planner: Planner, needed: frozenset[str]) -> None:
        self.planner = planner
        self.needed = needed

    def is_infeasible(self, relaxed: frozenset[str]) -> bool:
        return not self.planner.is_feasible(self.planner.query.deadline, relaxed)

    def irreducible(self, keys: Sequence[str], dropped: frozenset[str]) -> tuple[str, ...]:
        """What must stay of ``keys``, which contradict each other with ``dropped`` left out."""
        kept = [key for key in keys if key in self.needed]
        self._filter([key for key in keys if key not in self.needed], set(dropped), kept)
        return tuple(sorted(kept))

    def _filter(self, keys: Sequence[str], dropped: set[str], kept: list[str]) -> None:
        """Drop what can be dropped of ``keys``; what must stay goes to ``kept``."""
        if not keys:
            return
        if self.is_infeasible(frozenset(dropped | set(keys))):
            dropped.update(keys)
        elif len(keys) == 1:
            kept.append(keys[0])
        else:
            half = len(keys) // 2
            self._filter(keys[:half], dropped, kept)
            self._filter(keys[half:], dropped, kept)


_TELLS_LITTLE = (
    "position",
    "capacity",
    "physical",
    "available",
    "minimum",
    "forced",
    "matched",
    "refit",
    "always",
    "together",
    "risk",
    "deadline",
)
"""Kinds of requirement, those first that say least to a person: they are dropped first."""


def requirements(
    case: PlanningCase, query: Query, names: Mapping[str, str] | None = None
) -> list[str]:
    """Keys of all requirements of a case, those tried first that say least when they stay.

    Of one kind by ``names``, then by key; that the whole must be dealt with comes last.
    """
    known = names or {}
    whole = [f"position:{p.id}" for p in case.positions if p.parent_id is None]
    others = set(_keys(case, query)).difference(whole)

    def order(key: str) -> tuple[int, str, str]:
        return _TELLS_LITTLE.index(key.partition(":")[0]), known.get(key, ""), key

    return [*sorted(others, key=order), *whole]


def _keys(case: PlanningCase, query: Query) -> Iterator[str]:
    yield from (f"position:{p.id}" for p in case.positions)
    yield from (f"capacity:{capacity.id}" for capacity in case.capacities)
    yield from (f"physical:{part}" for s in case.sources for part in s.physical_parts)
    yield from (f"available:{item.id}" for item in case.items if item.available is not None)
    refused = (c.id for c in case.charges if c.order and c.order.below is BelowMinimum.REFUSED)
    yield from (f"minimum:{charge_id}" for charge_id in refused)
    yield from (f"forced:{source_id}" for source_id in query.forced_sources)
    yield from (f"matched:{group.id}" for group in case.matched_sets)
    yield from (f"always:{p.id}" for p in case.positions if p.always_renew_with is not None)
    yield from (f"together:{group.id}" for group in case.renewed_together)
    if any(source.refit_only for source in case.sources):
        yield "refit"
    if query.risk_limit is not None:
        yield "risk"
    yield "deadline"


class Relaxing:
    """Looks for the cheapest single way out; what it writes down serves the next query."""

    def __init__(self, planner: Planner) -> None:
        self.planner = planner
        self._lacking: dict[str, Planner] = {}

    def cheapest(self, query: Query, keys: Iterable[str]) -> Relaxed | None:
        """The cheapest plan that giving up one of these requirements alone allows.

        Of equals the first key. That a position must be filled, and that a source is forced, is
        not given up: neither would answer what was asked. None: none of the others alone allows a
        plan that is proven to be the best.
        """
        found: list[Relaxed] = []
        for key in sorted(set(keys)):
            asked = self._without(query, key)
            solution = asked.cheapest() if asked is not None else None
            if solution and solution.plan is not None and solution.report.is_proven:
                found.append(Relaxed(key, solution.plan))
        return min(found, key=lambda one: (one.plan.objective, one.key), default=None)

    def _without(self, query: Query, key: str) -> Planner | None:
        """A planner of the query without one requirement; None: that is not to be given up."""
        if key == "deadline":
            is_asked = query.deadline is not None
            return self.planner.asking(replace(query, deadline=None)) if is_asked else None
        if key == "risk":
            return self.planner.asking(replace(query, risk_limit=None))
        if key not in self._lacking:
            case = without(self.planner.case, key)
            if case is None:
                return None
            self._lacking[key] = self.planner.on(case, query)
        return self._lacking[key].asking(query)


def without(case: PlanningCase, key: str) -> PlanningCase | None:
    """A case that lacks one requirement; None: that is no requirement of the case by itself."""
    kind, _, rest = key.partition(":")
    if kind == "matched":
        return replace(case, matched_sets=tuple(g for g in case.matched_sets if g.id != rest))
    if kind == "together":
        kept = tuple(group for group in case.renewed_together if group.id != rest)
        return replace(case, renewed_together=kept)
    if kind == "capacity":
        return replace(case, capacities=tuple(c for c in case.capacities if c.id != rest))
    return _without_a_member(case, kind, rest)


def _without_a_member(case: PlanningCase, kind: str, rest: str) -> PlanningCase | None:
    if kind == "always":
        positions = tuple(
            replace(p, always_renew_with=None) if p.id == rest else p for p in case.positions
        )
        return replace(case, positions=positions)
    if kind == "available":
        items = tuple(replace(i, available=None) if i.id == rest else i for i in case.items)
        return replace(case, items=items)
    if kind == "minimum":
        charges = tuple(
            replace(c, order=replace(c.order, minimum=0)) if c.id == rest and c.order else c
            for c in case.charges
        )
        return replace(case, charges=charges)
    if kind == "physical":
        sources = tuple(
            replace(s, physical_parts=tuple(part for part in s.physical_parts if part != rest))
            for s in case.sources
        )
        return replace(case, sources=sources)
    if kind == "refit":
        return replace(case, sources=tuple(replace(s, refit_only=False) for s in case.sources))
    return None
