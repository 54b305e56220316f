"""The cheapest plan of a case, exactly. The only file that imports the optimiser.

Settings and the reason for two of them: one worker and a fixed seed give the same answer in every
process; presolve as shipped returned false optima at large amounts in the pinned version, so P0
leaves it out and P1 tames it. P1 confirms every "infeasible" and is the second attempt where P0
stops undecided. Deterministic time, never the clock, decides where a search stops.

Ties: among cheapest plans the one that is ready first; then the one with the fewest charges; then,
position by position in the order of ids, the source with the smallest id.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from importlib.metadata import version
from typing import Any

from shared.decision.case import Plan, PlanningCase, Query, SolveReport
from shared.decision.case_check import check_case, check_query
from shared.decision.evaluator import PlanError, evaluate, shipment_chances
from shared.decision.formulation import CaseReader, Formulation, Row, Slip, formulate
from shared.decision.timing import latest_arrival, meets_confidence
from shared.errors import CorewrightError

DETERMINISTIC_LIMIT = 5.0
"""Units of the solver's own deterministic time; about a second each."""
FIRST_ATTEMPT_LIMIT = 0.5
RANK_LIMIT = 2**40
"""Largest weight in a tie-break: keeps the solver's arithmetic far from its bounds."""

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


class SolverMismatch(CorewrightError):
    """Both settings gave a plan that plain arithmetic does not confirm. No answer is safe."""

    code = "solver-mismatch"


class SolverStopped(CorewrightError):
    """The search reached its limit before anything was proven."""

    code = "solver-stopped"


@dataclass(frozen=True, slots=True)
class Solution:
    """``plan`` None: none exists if ``report.is_proven``, else none was found within the limit."""

    plan: Plan | None
    report: SolveReport


@dataclass(frozen=True, slots=True)
class _Outcome:
    """One solve: "optimal", "feasible", "infeasible" or "unknown"; values of the variables."""

    status: str
    settings: str
    values: tuple[int, ...] | None = None
    bound: int | None = None

    @property
    def is_proven(self) -> bool:
        return self.status in ("optimal", "infeasible")


def solve(
    case: PlanningCase,
    query: Query,
    deterministic_limit: float = DETERMINISTIC_LIMIT,
    *,
    breaks_ties: bool = True,
) -> Solution:
    """Cheapest plan that meets a query, ties broken as this module says.

    ``breaks_ties`` False takes half the time, for when only the amount is asked.
    ``deterministic_limit`` bounds each of the few searches, in the solver's deterministic time.
    Raises InvalidInput or OutOfRange for an unsound case, SolverMismatch where the plan is not
    confirmed by plain arithmetic under either setting.
    """
    planner = Planner(case, query, deterministic_limit)
    return planner.cheapest() if breaks_ties else planner.step(query.deadline)


class Planner:
    """Answers queries on one case with the same confidence, barred and forced sources."""

    def __init__(
        self,
        case: PlanningCase,
        query: Query,
        deterministic_limit: float = DETERMINISTIC_LIMIT,
        order: Sequence[str] = ("P0", "P1"),
    ) -> None:
        check_case(case)
        check_query(case, query)
        self.case = case
        self.query = query
        self.limit = deterministic_limit
        self.order = tuple(order)
        self.reader = CaseReader(case)
        self.slips: list[Slip] = []

    def cheapest(self) -> Solution:
        """Answer the query, ties broken."""
        solution = self.step(self.query.deadline)
        if solution.plan is None or not solution.report.is_proven:
            return solution
        return replace(solution, plan=self.first_among_equals(solution.plan, self.query.deadline))

    def step(self, deadline: int | None, cost_limit: int | None = None) -> Solution:
        """Cheapest plan ready by a day, ties left as they fall; cost at most ``cost_limit``."""
        while True:
            slips = len(self.slips)
            problem = self._problem(deadline)
            extra = [] if cost_limit is None else [Row(problem.aim, None, cost_limit)]
            outcome, plan = self._confirmed(problem, extra, deadline)
            if len(self.slips) == slips:
                return Solution(plan, _report(outcome, plan))

    def is_feasible(self, deadline: int | None, relaxed: frozenset[str] = frozenset()) -> bool:
        """Whether any plan is ready by a day, some requirements left out.

        Raises SolverStopped where the limit is reached first.
        """
        while True:
            problem = self._problem(deadline, relaxed)
            outcome = self._settled(problem, {}, ())
            if not outcome.is_proven:
                raise SolverStopped("The search for a feasible plan reached its limit.")
            if outcome.values is None:
                return False
            if "deadline" in relaxed or not self._note_slip(problem, outcome.values, deadline):
                return True

    def first_among_equals(self, plan: Plan, deadline: int | None) -> Plan:
        """Of all plans of this cost that are ready by a day: earliest, fewest charges, least ids.

        Where a search stops undecided, the best that was found.
        """
        if self._is_alone(plan, deadline):
            return plan
        while plan.ready_day > 0:
            earlier = self.step(plan.ready_day - 1, plan.objective).plan
            if earlier is None:
                break
            plan = earlier
        return self._least(plan)

    def _is_alone(self, plan: Plan, deadline: int | None) -> bool:
        """Whether no other plan is as cheap and ready by a day: so with most real amounts."""
        problem = self._problem(deadline)
        chosen = [problem.source_at[source_id] for source_id in plan.source_ids]
        other = Row(dict.fromkeys(chosen, 1), None, len(chosen) - 1)
        as_cheap = Row(problem.aim, None, plan.objective)
        return self._attempt(problem, problem.aim, (as_cheap, other)).status == "infeasible"

    def _least(self, plan: Plan) -> Plan:
        """Of all plans of this cost and ready day: fewest charges, then smallest ids."""
        problem = self._problem(plan.ready_day)
        rows = [Row(problem.aim, plan.objective, plan.objective)]
        values: Sequence[int] | None = None
        for aim in self._tie_stages(problem):
            outcome = self._attempt(problem, aim, rows, values)
            if outcome.values is None or outcome.status != "optimal":
                return plan
            values = outcome.values
            reached = _value(aim, values)
            rows.append(Row(aim, reached, reached))
        return plan if values is None else self._checked(problem, values, plan) or plan

    def _checked(self, problem: Formulation, values: Sequence[int], plan: Plan) -> Plan | None:
        """The plan of a tie-break, if arithmetic confirms that it ties."""
        other = evaluate(self.case, self._ids(problem, values), self.query.confidence)
        is_tie = (other.objective, other.ready_day) == (plan.objective, plan.ready_day)
        return other if is_tie else None

    def _tie_stages(self, problem: Formulation) -> list[dict[int, int]]:
        """Aims to be made least one after the other, each within the solver's arithmetic."""
        counted: dict[int, int] = Counter(
            problem.charge_at[charge.id]
            for charge in self.reader.charges.values()
            if not charge.is_open and charge.id in problem.charge_at
        )
        stages: list[dict[int, int]] = []
        ranks: dict[int, int] = {}
        scale = 1
        for position in reversed(self.reader.positions):
            ids = [s.id for s in self.reader.at[position.id] if s.id in problem.source_at]
            if scale * (len(ids) + 1) > RANK_LIMIT:
                stages.insert(0, ranks)
                ranks, scale = {}, 1
            # Not resolved at all stands after every source: a weight of 0 below minus the others.
            for rank, source_id in enumerate(ids):
                ranks[problem.source_at[source_id]] = (rank - len(ids)) * scale
            scale *= len(ids) + 1
        stages.insert(0, ranks)
        return [counted, *stages] if counted else stages

    def _problem(self, deadline: int | None, relaxed: frozenset[str] = frozenset()) -> Formulation:
        query = replace(self.query, deadline=deadline)
        return formulate(self.reader, query, relaxed, self.slips)

    def _confirmed(
        self, problem: Formulation, extra: Sequence[Row], deadline: int | None
    ) -> tuple[_Outcome, Plan | None]:
        """Solve, and have plain arithmetic confirm the plan; if it does not, solve otherwise."""
        outcome = self._settled(problem, problem.aim, extra)
        for order in (None, self.order[::-1]):
            if order is not None:
                outcome = self._settled(problem, problem.aim, extra, order)
            if outcome.values is None:
                if order is None:
                    return outcome, None
                break
            if self._note_slip(problem, outcome.values, deadline):
                return outcome, None
            plan = self._plan(problem, outcome.values, deadline)
            if plan is not None:
                return outcome, plan
        raise SolverMismatch("The solver's plan is not confirmed by plain arithmetic.")

    def _plan(
        self, problem: Formulation, values: Sequence[int], deadline: int | None
    ) -> Plan | None:
        """The plan of these values; None: arithmetic does not confirm it."""
        try:
            plan = evaluate(self.case, self._ids(problem, values), self.query.confidence)
        except PlanError:
            return None
        is_claimed = plan.objective == _value(problem.aim, values)
        return plan if is_claimed and plan.ready_day <= self._ready_by(deadline) else None

    def _note_slip(self, problem: Formulation, values: Sequence[int], deadline: int | None) -> bool:
        """Note what is awaited, if its true chance misses the confidence by more than is allowed.

        Rounded weights may hide that where very many things are awaited.
        """
        opened = [
            charge
            for charge in self.reader.charges.values()
            if not charge.is_open and _value_at(problem.charge_at, charge.id, values)
        ]
        minutes = sum(charge.bench_minutes for charge in opened) + sum(
            source.bench_minutes
            for source in self.reader.sources
            if _value_at(problem.source_at, source.id, values)
        )
        day = latest_arrival(self.case, minutes, self._ready_by(deadline))
        if day is None:
            return False
        chances = shipment_chances(self.case, opened, day)
        awaited = frozenset(charge.id for charge in opened if charge.lead_table_id is not None)
        slip = Slip(day, awaited)
        if meets_confidence(chances, self.query.confidence) or slip in self.slips:
            return False
        self.slips.append(slip)
        return True

    def _ready_by(self, deadline: int | None) -> int:
        return self.case.last_day if deadline is None else deadline

    def _ids(self, problem: Formulation, values: Sequence[int]) -> list[str]:
        return [source_id for source_id, index in problem.source_at.items() if values[index]]

    def _settled(
        self,
        problem: Formulation,
        aim: Mapping[int, int],
        extra: Sequence[Row],
        order: Sequence[str] | None = None,
    ) -> _Outcome:
        """Solve with one setting; the other confirms "infeasible" and takes over when undecided."""
        if not problem.is_possible:
            return _Outcome("infeasible", "none")
        first, second = order or self.order
        quick = min(self.limit, FIRST_ATTEMPT_LIMIT)
        outcome = _run(problem, aim, extra, settings=first, limit=quick)
        if outcome.status == "optimal":
            return outcome
        again = _run(problem, aim, extra, settings=second, limit=self.limit)
        if outcome.values is None or again.status == "optimal":
            return again
        # A plan in hand outweighs the claim that there is none; of two plans the cheaper counts.
        is_better = again.values is not None and _value(aim, again.values) < _value(
            aim, outcome.values
        )
        return again if is_better else outcome

    def _attempt(
        self,
        problem: Formulation,
        aim: Mapping[int, int],
        extra: Sequence[Row],
        hint: Sequence[int] | None = None,
    ) -> _Outcome:
        """One search of a tie-break, unconfirmed: only a choice between equals is at stake."""
        return _run(problem, aim, extra, hint, settings=self.order[0], limit=self.limit)


def _value_at(places: Mapping[str, int], record_id: str, values: Sequence[int]) -> int:
    """Value of a source's or charge's variable; 0 where it has none."""
    return values[places[record_id]] if record_id in places else 0


def _value(aim: Mapping[int, int], values: Sequence[int]) -> int:
    return sum(factor * values[index] for index, factor in aim.items())


def _report(outcome: _Outcome, plan: Plan | None) -> SolveReport:
    settings = SETTINGS.get(outcome.settings, {})
    written = " ".join(f"{name}={value}" for name, value in settings.items())
    status = outcome.status if plan is not None or outcome.values is None else "unknown"
    return SolveReport(
        status=status,
        is_proven=outcome.is_proven,
        bound=outcome.bound,
        solver=f"CP-SAT {version('ortools')}",
        settings=f"{outcome.settings}: {written}" if written else "settled without a search",
    )


def _run(
    problem: Formulation,
    aim: Mapping[int, int],
    extra: Sequence[Row],
    hint: Sequence[int] | None = None,
    *,
    settings: str,
    limit: float,
) -> _Outcome:
    """One search; the values come back whole, the bound rounded to a whole number."""
    from ortools.sat.python import cp_model  # noqa: PLC0415  slow to import, only here

    model = cp_model.CpModel()
    variables = [
        model.new_bool_var("") if high == 1 else model.new_int_var(0, high, "")
        for high in problem.highs
    ]
    for row in (*problem.rows, *extra):
        is_bool = all(problem.highs[index] == 1 for index in row.terms)
        _add_row(cp_model, model, variables, row, is_bool=is_bool)
    if aim:
        model.minimize(
            cp_model.LinearExpr.weighted_sum([variables[i] for i in aim], list(aim.values()))
        )
    if hint is not None:
        for variable, value in zip(variables, hint, strict=True):
            model.add_hint(variable, value)
    solver = cp_model.CpSolver()
    for name, value in SETTINGS[settings].items():
        setattr(solver.parameters, name, value)
    solver.parameters.max_deterministic_time = limit
    status = solver.solve(model)
    names = {
        cp_model.OPTIMAL: "optimal",
        cp_model.FEASIBLE: "feasible",
        cp_model.INFEASIBLE: "infeasible",
    }
    if status not in names or status == cp_model.INFEASIBLE:
        return _Outcome(names.get(status, "unknown"), settings)
    values = tuple(int(solver.value(variable)) for variable in variables)
    bound = round(solver.best_objective_bound) if aim else None
    return _Outcome(names[status], settings, values, bound)


def _add_row(
    cp_model: Any, model: Any, variables: Sequence[Any], row: Row, *, is_bool: bool
) -> None:
    """Hand one row over; rows of plain ones over choices as what they are, which is faster.

    A term -x counts as "not x" less one, so that such a row says how many literals may hold.
    """
    used = [variables[index] for index in row.terms]
    factors = list(row.terms.values())
    shift = -sum(factor for factor in factors if factor < 0)
    if is_bool and row.high is not None and all(factor in (1, -1) for factor in factors):
        literals = [x if f == 1 else x.negated() for x, f in zip(used, factors, strict=True)]
        most = row.high + shift
        if row.low == row.high and most == 1:
            model.add_exactly_one(literals)
            return
        if row.low is None and most == 1:
            model.add_at_most_one(literals)
            return
        if row.low is None and most == len(literals) - 1:
            model.add_bool_or([literal.negated() for literal in literals])
            return
    total = cp_model.LinearExpr.weighted_sum(used, factors)
    if row.low is not None and row.low == row.high:
        model.add(total == row.low)
    elif row.low is None:
        model.add(total <= row.high)
    else:
        model.add(total >= row.low)
