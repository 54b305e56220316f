"""The cheapest plan of a case, exactly.

One setting of the optimiser (``search.py``) answers; the other confirms every "infeasible" and is
the second attempt where the first stops undecided. Every plan is worked out again by plain
arithmetic before it is given.

Ties: among cheapest plans the one that is ready first; then the one with the fewest charges; then,
position by position in the order of ids, the source with the smallest id.
"""

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from copy import copy
from dataclasses import replace

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Charge, Plan, PlanningCase, Query
from shared.decision.planning.case_check import check_case, check_query
from shared.decision.planning.evaluator import PlanError, evaluate, shipment_chances
from shared.decision.planning.formulation import CaseReader, Formulation, Row, Slip
from shared.decision.planning.search import P0, P1, SETTINGS, Change, Model, Outcome, value_of
from shared.decision.planning.solution import Solution, SolverMismatch, SolverStopped, report_of
from shared.decision.planning.ties import first_among_equals_each
from shared.decision.planning.timing import latest_arrival, meets_confidence
from shared.decision.planning.written import Cut, Problems, change_of, chosen_ids

__all__ = ["P0", "P1", "SETTINGS", "Solution", "SolverMismatch", "SolverStopped"]

DETERMINISTIC_LIMIT = 5.0
"""Of one search, in units of the solver's own deterministic time; about a second each."""
SIDE_BY_SIDE = 2
"""Independent searches that run at a time; no result depends on it."""
BATCH = 8
"""Searches among which what is left of the budget is divided beforehand."""


def solve(
    case: PlanningCase,
    query: Query,
    deterministic_limit: float = DETERMINISTIC_LIMIT,
    *,
    breaks_ties: bool = True,
    budget: Budget | None = None,
) -> Solution:
    """Cheapest plan that meets a query, ties broken as this module says.

    ``breaks_ties`` False takes half the time, for when only the amount is asked.
    ``deterministic_limit`` bounds each of the few searches, in the solver's deterministic time;
    ``budget`` all of them together.
    Raises InvalidInput or OutOfRange for an unsound case, SolverMismatch where the plan is not
    confirmed by plain arithmetic under either setting, Cancelled.
    """
    planner = Planner(case, query, deterministic_limit, budget=budget)
    return planner.cheapest() if breaks_ties else planner.step(query.deadline)


class Planner:
    """Answers queries on one case; what is written down for one query serves the next."""

    def __init__(
        self,
        case: PlanningCase,
        query: Query,
        deterministic_limit: float = DETERMINISTIC_LIMIT,
        order: Sequence[str] = ("P0", "P1"),
        budget: Budget | None = None,
    ) -> None:
        check_case(case)
        check_query(case, query)
        self.case = case
        self.query = query
        self.cuts: tuple[Cut, ...] = ()
        self.leaves_out = False
        self.limit = deterministic_limit
        self.order = tuple(order)
        self.budget = budget or Budget()
        self.reader = CaseReader(case)
        self.problems = Problems(self.reader)

    def asking(
        self, query: Query, cuts: Sequence[Cut] = (), *, leaves_out: bool = False
    ) -> "Planner":
        """A planner of the same case for another query; the two share budget and problems.

        ``leaves_out``: barred sources are not written down at all, which pays where many queries
        bar the same ones.
        """
        check_query(self.case, query)
        other = copy(self)
        other.query, other.cuts, other.leaves_out = query, tuple(cuts), leaves_out
        return other

    def on(self, case: PlanningCase, query: Query) -> "Planner":
        """A planner of another case, with the same limits and the same budget."""
        return Planner(case, query, self.limit, self.order, self.budget)

    def cheapest(self) -> Solution:
        """Answer the query, ties broken."""
        solution = self.step(self.query.deadline)
        if solution.plan is None or not solution.report.is_proven:
            return solution
        return replace(solution, plan=self.first_among_equals(solution.plan, self.query.deadline))

    def step(self, deadline: int | None, cost_limit: int | None = None) -> Solution:
        """Cheapest plan ready by a day, ties left as they fall; cost at most ``cost_limit``."""
        while True:
            slips = len(self._slips)
            model = self.model(deadline)
            extra = () if cost_limit is None else (Row(model.problem.aim, None, cost_limit),)
            outcome, plan = self._confirmed(model, self.change(model, extra), deadline)
            if len(self._slips) == slips:
                return Solution(plan, report_of(outcome, plan))

    def forced_each(self, source_ids: Sequence[str], deadline: int | None) -> dict[str, Solution]:
        """For each source the cheapest plan with it, ties left as they fall; side by side.

        Those that the budget does not reach are not proven.
        """
        model = self.model(deadline)
        asked = [self._forcing(source_id) for source_id in source_ids]
        changes = [(model, planner.change(model)) for planner in asked]
        outcomes = self.side_by_side(changes, confirms=True)
        return {
            source_id: planner._from_batch(model, outcome, deadline)
            for source_id, planner, outcome in zip(source_ids, asked, outcomes, strict=True)
        }

    def _forcing(self, source_id: str) -> "Planner":
        forced = self.query.forced_sources | {source_id}
        query = replace(self.query, forced_sources=forced)
        return self.asking(query, self.cuts, leaves_out=self.leaves_out)

    def _from_batch(self, model: Model, outcome: Outcome, deadline: int | None) -> Solution:
        """The plan of one search of a batch; where arithmetic does not confirm it, asked anew."""
        if outcome.values is None:
            return Solution(None, report_of(outcome, None))
        plan = self._plan(model.problem, outcome, deadline)
        if plan is None or self._note_slip(model.problem, outcome.values, deadline):
            return self.step(deadline)
        return Solution(plan, report_of(outcome, plan))

    def side_by_side(
        self, asked: Sequence[tuple[Model, Change]], *, confirms: bool
    ) -> list[Outcome]:
        """Independent searches, some at a time; in the order asked.

        What is left of the budget is divided among a batch before it is begun, so that neither
        results nor effort depend on which search ends first.
        """
        for model, _ in asked:
            if model.problem.is_possible:
                _ = model.written  # once, before several copy it
        search = self._settle if confirms else self._try
        found: list[Outcome] = []
        with ThreadPoolExecutor(SIDE_BY_SIDE, "search") as pool:
            for start in range(0, len(asked), BATCH):
                batch = asked[start : start + BATCH]
                self.budget.check()
                shares = [self.budget.left / len(batch)] * len(batch)
                found += pool.map(search, batch, shares)
                for outcome in found[start:]:
                    self._noted(outcome)
        return found

    def _settle(self, asked: tuple[Model, Change], total: float) -> Outcome:
        model, change = asked
        return model.settle(change, self.budget, self.order, self.limit, total)

    def _try(self, asked: tuple[Model, Change], total: float) -> Outcome:
        model, change = asked
        # With the cost fixed, presolve settles most of a tie: the second setting is the faster one.
        return model.search(change, self.budget, self.order[-1], min(self.limit, total))

    def is_feasible(self, deadline: int | None, relaxed: frozenset[str] = frozenset()) -> bool:
        """Whether any plan is ready by a day, some requirements left out.

        Raises SolverStopped where the limit is reached first.
        """
        while True:
            model = self.model(deadline, relaxed)
            outcome = self._settled(model, replace(self.change(model, (), relaxed), aim={}))
            if not outcome.is_proven:
                raise SolverStopped("The search for a feasible plan reached its limit.")
            if outcome.values is None:
                return False
            is_timeless = "deadline" in relaxed
            if is_timeless or not self._note_slip(model.problem, outcome.values, deadline):
                return True

    def first_among_equals(self, plan: Plan, deadline: int | None) -> Plan:
        """Of all plans of this cost that are ready by a day: earliest, fewest charges, least ids.

        Where a search stops undecided, the best that was found.
        """
        return first_among_equals_each([(self, plan, deadline)])[0]

    def model(self, deadline: int | None, relaxed: frozenset[str] = frozenset()) -> Model:
        """The query's problem for a deadline, written down."""
        asked = replace(self.query, deadline=deadline)
        return self.problems.model(asked, relaxed, leaves_out=self.leaves_out)

    def change(
        self, model: Model, extra: Iterable[Row] = (), relaxed: frozenset[str] = frozenset()
    ) -> Change:
        """What the query asks of its problem besides."""
        return change_of(self.reader, model.problem, self.query, self.cuts, extra, relaxed)

    def _confirmed(
        self, model: Model, change: Change, deadline: int | None
    ) -> tuple[Outcome, Plan | None]:
        """Solve, and have plain arithmetic confirm the plan; if it does not, solve otherwise."""
        for order in (self.order, self.order[::-1]):
            outcome = self._settled(model, change, order)
            if outcome.values is None:
                if order == self.order:
                    return outcome, None
                break
            if self._note_slip(model.problem, outcome.values, deadline):
                return outcome, None
            plan = self._plan(model.problem, outcome, deadline)
            if plan is not None:
                return outcome, plan
        raise SolverMismatch("The solver's plan is not confirmed by plain arithmetic.")

    def _plan(self, problem: Formulation, outcome: Outcome, deadline: int | None) -> Plan | None:
        """The plan of an outcome; None: arithmetic does not confirm it."""
        values = outcome.values or ()
        try:
            plan = evaluate(self.case, chosen_ids(problem, values), self.query.confidence)
        except PlanError:
            return None
        claimed = value_of(problem.aim, values)
        # Short of the optimum, what follows from the choice may still stand above its least.
        is_confirmed = plan.objective == claimed or (
            not outcome.is_proven and plan.objective < claimed
        )
        return plan if is_confirmed and plan.ready_day <= self._ready_by(deadline) else None

    def _note_slip(self, problem: Formulation, values: Sequence[int], deadline: int | None) -> bool:
        """Note what is awaited, if its true chance misses the confidence by more than is allowed.

        Rounded weights may hide that where very many things are awaited.
        """
        opened = self._opened(problem, values)
        minutes = sum(charge.bench_minutes for charge in opened) + sum(
            source.bench_minutes
            for source in self.reader.sources
            if _value_at(problem.source_at, source.id, values)
        )
        day = problem.planned_arrival(values)
        if day is None:
            day = latest_arrival(self.case, minutes, self._ready_by(deadline))
        if day is None:
            return False
        chances = shipment_chances(self.case, opened, day)
        awaited = frozenset(charge.id for charge in opened if charge.lead_table_id is not None)
        slip = Slip(day, awaited)
        dependence = self.case.arrival_dependence
        if meets_confidence(chances, self.query.confidence, dependence) or slip in self._slips:
            return False
        self._slips.append(slip)
        return True

    @property
    def _slips(self) -> list[Slip]:
        return self.problems.slips[self.query.confidence]

    def _opened(self, problem: Formulation, values: Sequence[int]) -> list[Charge]:
        return [
            charge
            for charge in self.reader.charges.values()
            if not charge.is_open and _value_at(problem.charge_at, charge.id, values)
        ]

    def _ready_by(self, deadline: int | None) -> int:
        return self.case.last_day if deadline is None else deadline

    def _settled(self, model: Model, change: Change, order: Sequence[str] | None = None) -> Outcome:
        """Search, confirmed where it says "infeasible"; noted in the budget."""
        self.budget.check()
        each, total = self.limit, self.budget.left
        return self._noted(model.settle(change, self.budget, order or self.order, each, total))

    def attempt(self, model: Model, change: Change) -> Outcome:
        """One search of a tie-break, unconfirmed: only a choice between equals is at stake."""
        self.budget.check()
        return self._noted(self._try((model, change), self.budget.left))

    def _noted(self, outcome: Outcome) -> Outcome:
        self.budget.spend(outcome.spent, outcome.solves)
        self.budget.check()
        return outcome


def _value_at(places: Mapping[str, int], record_id: str, values: Sequence[int]) -> int:
    """Value of a source's or charge's variable; 0 where it has none."""
    return values[places[record_id]] if record_id in places else 0
