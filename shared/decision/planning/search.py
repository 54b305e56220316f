"""One search by the optimiser. The only file that imports it.

Settings and the reason for two of them: one worker and a fixed seed give the same answer in every
process; presolve as shipped returned false optima at large amounts in the pinned version, so P0
leaves it out and P1 tames it. Deterministic time, never the clock, decides where a search stops.

A problem is handed over once; each search works on a copy of it, with rows added and variables
fixed, which takes a tenth of the time.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from importlib.metadata import version
from typing import Any

from shared.decision.planning.budget import Budget
from shared.decision.planning.formulation import Formulation, Row

P0: Mapping[str, Any] = {
    "num_workers": 1,
    "random_seed": 0,
    "linearization_level": 2,
    "cp_model_presolve": False,
}
P1: Mapping[str, Any] = {
    "num_workers": 1,
    "random_seed": 0,
    "linearization_level": 2,
    "presolve_inclusion_work_limit": 0,
    "cp_model_probing_level": 0,
    "symmetry_level": 0,
}
SETTINGS: Mapping[str, Mapping[str, Any]] = {"P0": P0, "P1": P1}
FIRST_ATTEMPT_LIMIT = 0.5
"""Deterministic time after which the second setting is tried; shorter ones are not watched."""
LARGE = 1000
"""Variables from which on presolve pays: the settings change places then."""
LARGE_ATTEMPT_LIMIT = 2.0
"""As ``FIRST_ATTEMPT_LIMIT``, for a large problem."""

EFFORT_PER_VARIABLE = 1e-5
"""Handing a problem over, told as deterministic time: it counts where searches are short."""

_NO_BOUND = (-(2**63), 2**63 - 1)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What searches came to: "optimal", "feasible", "infeasible" or "unknown".

    ``values`` of the variables; ``bound``: nothing is below it. ``spent`` in deterministic time.
    """

    status: str
    settings: str
    values: tuple[int, ...] | None = None
    bound: int | None = None
    spent: float = 0.0
    solves: int = 0

    @property
    def is_proven(self) -> bool:
        """Whether the best there is was found, or that there is none."""
        return self.status in ("optimal", "infeasible")

    def after(self, other: "Outcome") -> "Outcome":
        """This outcome, with the effort of another counted in."""
        return replace(self, spent=other.spent + self.spent, solves=other.solves + self.solves)


@dataclass(frozen=True, slots=True)
class Change:
    """What is asked of a problem besides: rows, variables fixed, another aim, where to begin."""

    rows: Sequence[Row] = ()
    fixed: Mapping[int, int] = field(default_factory=dict)
    aim: Mapping[int, int] | None = None
    """None: the problem's own; empty: any solution will do."""
    hint: Sequence[int] | None = None
    is_possible: bool = True
    """False: it contradicts itself."""


@cache
def solver_name() -> str:
    """The optimiser and its version, as reports name them."""
    return f"CP-SAT {version('ortools')}"


def value_of(aim: Mapping[int, int], values: Sequence[int]) -> int:
    """What an aim comes to."""
    return sum(factor * values[index] for index, factor in aim.items())


class Model:
    """A problem as the optimiser holds it: written down once, searched many times."""

    def __init__(self, problem: Formulation) -> None:
        self.problem = problem

    @cached_property
    def written(self) -> Any:
        """The optimiser's form of the problem; never changed once made."""
        from ortools.sat.python import cp_model  # noqa: PLC0415  slow to import, only here

        model = cp_model.CpModel()
        add_variable = model.proto.variables.add
        for high in self.problem.highs:
            add_variable().domain.extend([0, high])
        self._add_rows(model, self.problem.rows)
        _aim_at(model, self.problem.aim)
        return model

    def settle(
        self, change: Change, budget: Budget, order: Sequence[str], each: float, total: float
    ) -> Outcome:
        """Search with one setting; the other confirms "infeasible" and takes over when undecided.

        ``order`` of the settings for a problem that is not large.
        ``each`` bounds one search, ``total`` both (deterministic time). Nothing is noted in the
        budget here: searches may run side by side.
        """
        if not (self.problem.is_possible and change.is_possible):
            return Outcome("infeasible", "none")
        is_large = len(self.problem.highs) >= LARGE
        first, second = reversed(order) if is_large else order
        attempt = LARGE_ATTEMPT_LIMIT if is_large else FIRST_ATTEMPT_LIMIT
        outcome = self.search(change, budget, first, min(each, total, attempt))
        if outcome.status == "optimal":
            return outcome
        again = self.search(change, budget, second, min(each, total - outcome.spent))
        if outcome.values is None or again.status == "optimal":
            return again.after(outcome)
        return self._better(outcome, again, change)

    def _better(self, outcome: Outcome, again: Outcome, change: Change) -> Outcome:
        """The cheaper of two unproven plans, and the higher of their bounds.

        A plan in hand outweighs the claim that there is none.
        """
        aim = self.problem.aim if change.aim is None else change.aim
        bounds = [one.bound for one in (outcome, again) if one.bound is not None]
        first, second = outcome.values, again.values
        is_better = second is not None and (
            first is None or value_of(aim, second) < value_of(aim, first)
        )
        chosen, other = (again, outcome) if is_better else (outcome, again)
        return replace(chosen.after(other), bound=max(bounds, default=None))

    def search(self, change: Change, budget: Budget, settings: str, limit: float) -> Outcome:
        """One search; the values come back whole, the bound rounded to a whole number."""
        from ortools.sat.python import cp_model  # noqa: PLC0415  slow to import, only here

        if limit <= 0:
            return Outcome("unknown", settings)
        if not (self.problem.is_possible and change.is_possible):
            return Outcome("infeasible", "none")
        model = self._changed(change)
        solver = cp_model.CpSolver()
        for name, value in SETTINGS[settings].items():
            setattr(solver.parameters, name, value)
        solver.parameters.max_deterministic_time = limit
        if limit > FIRST_ATTEMPT_LIMIT:
            with budget.watching(solver.stop_search):
                status = solver.solve(model)
        else:
            status = solver.solve(model)
        response = solver.response_proto
        handing_over = EFFORT_PER_VARIABLE * len(self.problem.highs)
        spent = float(response.deterministic_time) + handing_over
        names = {
            cp_model.OPTIMAL: "optimal",
            cp_model.FEASIBLE: "feasible",
            cp_model.INFEASIBLE: "infeasible",
        }
        if status not in names or status == cp_model.INFEASIBLE:
            return Outcome(names.get(status, "unknown"), settings, spent=spent, solves=1)
        values = tuple(int(value) for value in response.solution)
        bound = round(response.best_objective_bound) if model.has_objective() else None
        return Outcome(names[status], settings, values, bound, spent, solves=1)

    def _changed(self, change: Change) -> Any:
        model = self.written.clone()
        for index, value in change.fixed.items():
            domain = model.proto.variables[index].domain
            domain[0] = domain[1] = value
        self._add_rows(model, change.rows)
        if change.aim is not None:
            model.clear_objective()
            _aim_at(model, change.aim)
        if change.hint is not None:
            hint = model.proto.solution_hint
            hint.vars.extend(range(len(change.hint)))
            hint.values.extend(list(change.hint))
        return model

    @cached_property
    def _wide(self) -> frozenset[int]:
        """Variables that are more than a yes or no."""
        return frozenset(index for index, high in enumerate(self.problem.highs) if high != 1)

    def _add_rows(self, model: Any, rows: Iterable[Row]) -> None:
        constraints = model.proto.constraints
        for row in rows:
            is_bool = row.high is not None and self._wide.isdisjoint(row.terms)
            if not (is_bool and _add_literals(constraints, row)):
                linear = constraints.add().linear
                linear.vars.extend(list(row.terms))
                linear.coeffs.extend(list(row.terms.values()))
                low = _NO_BOUND[0] if row.low is None else row.low
                high = _NO_BOUND[1] if row.high is None else row.high
                linear.domain.extend([low, high])


def _aim_at(model: Any, aim: Mapping[int, int]) -> None:
    if aim:
        model.proto.objective.vars.extend(list(aim))
        model.proto.objective.coeffs.extend(list(aim.values()))


def _add_literals(constraints: Any, row: Row) -> bool:
    """Hand a row of plain ones over choices over as what it is, which is faster; False: it is none.

    A term -x counts as "not x" less one, so that such a row says how many literals may hold.
    """
    factors = set(row.terms.values())
    if not factors <= {1, -1}:
        return False
    literals, most = list(row.terms), row.high or 0
    if -1 in factors:
        literals = [i if factor == 1 else -i - 1 for i, factor in row.terms.items()]
        most += [*row.terms.values()].count(-1)
    if row.low == row.high and most == 1:
        constraints.add().exactly_one.literals.extend(literals)
    elif row.low is None and most == 1:
        constraints.add().at_most_one.literals.extend(literals)
    elif row.low is None and most == len(literals) - 1:
        constraints.add().bool_or.literals.extend([-literal - 1 for literal in literals])
    else:
        return False
    return True
