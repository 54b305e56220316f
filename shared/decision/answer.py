"""One answer in the making: what is asked of the case, in the order of its weight.

The effort is shared: first the recommended plan and the routes, then the frontier and the reasons,
then the alternatives and what would change the answer. What it does not reach is told.
"""

from decimal import Decimal
from math import exp

from shared.decision.building.build import Built, asked_confidence
from shared.decision.building.risk import cause_survival
from shared.decision.building.risk_weights import WEIGHT_SCALE
from shared.decision.planning.alternatives import best_plans
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import FrontPoint, Plan, Query
from shared.decision.planning.frontier import earliest_ready_day, frontier
from shared.decision.planning.risk_frontier import RiskFrontPoint, risk_frontier
from shared.decision.planning.search import solver_name
from shared.decision.planning.solver import Solution, SolverStopped
from shared.decision.result import (
    BreakEven,
    DecisionResult,
    Effort,
    Exclusion,
    FrontierPoint,
    Infeasibility,
    PartOut,
    PlanView,
    RiskPoint,
    Settling,
)
from shared.decision.settings import SourceKind
from shared.decision.snapshot import Snapshot
from shared.decision.telling.figures import chance_number
from shared.decision.telling.lasting import not_counted
from shared.decision.telling.told import cautions, position_verdict
from shared.decision.telling.view import number, plan_id, plan_view
from shared.decision.weighing.break_even import break_evens
from shared.decision.weighing.part_out import part_out
from shared.decision.weighing.reasons import (
    NOT_LOOKED_FAR_ENOUGH,
    infeasibility,
    planner_of,
    source_exclusions,
)
from shared.decision.weighing.route_views import RouteAnswers
from shared.decision.weighing.settling import settlings
from shared.decision.weighing.ways import ways
from shared.money import Money

FRONTIER_SOURCES_AT_MOST = 600
"""Beyond this many sources a frontier takes longer than anyone waits at a counter."""


class Inquiry:
    """The questions put to one case, and the plans that answer them."""

    def __init__(self, snapshot: Snapshot, built: Built, budget: Budget) -> None:
        self.snapshot, self.built, self.budget = snapshot, built, budget
        self.asked = snapshot.asked
        self.planner = planner_of(built, budget)
        self.plans: dict[str, Plan] = {}

    def result(self, engine_version: str, snapshot_hash: str) -> DecisionResult:
        """The whole answer. Raises Cancelled."""
        built = self.built
        solution = self.planner.cheapest()
        best = solution.plan
        recommended = self._keep(best) if best is not None else None
        routes = RouteAnswers(built, self.planner, best)
        for plan in routes.plans():
            self._keep(plan)
        points = self._frontier()
        frontier_view = tuple(self._frontier_point(point) for point in points)
        next_best = routes.next_best()
        excluded = self._exclusions(best)
        alternatives = self._alternatives(best)
        risk_points = tuple(self._risk_point(point) for point in self._risk_frontier())
        return DecisionResult(
            engine_version=engine_version,
            snapshot_hash=snapshot_hash,
            as_of=self.snapshot.as_of,
            aim=self.snapshot.aim,
            confidence=asked_confidence(self.snapshot),
            required_by_on=self.snapshot.job.required_by_on,
            recommended=recommended,
            next_best=plan_id(next_best) if next_best is not None else None,
            gap_to_next_best=(
                self._money(next_best.objective - best.objective)
                if best is not None and next_best is not None
                else None
            ),
            routes=routes.views(),
            frontier=frontier_view,
            verdicts=tuple(position_verdict(built, planned) for planned in built.bench.planned),
            exclusions=excluded,
            infeasibility=self._infeasibility(solution, points),
            cautions=cautions(built),
            is_proven_optimal=solution.report.is_proven,
            alternatives=alternatives,
            risk_frontier=risk_points,
            break_evens=self._break_evens(best),
            settlings=self._settlings(best),
            part_out=self._part_out(),
            # Last: what is told of the whole comes to light on the way.
            plans=self._views(recommended),
            assumptions=built.draft.all_assumptions(),
            effort=Effort(
                used=number(self.budget.used),
                limit=self.asked.effort,
                solves=self.budget.solves,
                gap=None if solution.gap is None else self._money(solution.gap),
                left_out=self.budget.left_out,
                solver=solver_name(),
            ),
        )

    def _keep(self, plan: Plan) -> str:
        name = plan_id(plan)
        self.plans.setdefault(name, plan)
        return name

    def _frontier(self) -> tuple[FrontPoint, ...]:
        """The exact frontier, or none and the reason: a front with a gap is no front."""
        count = len(self.built.case.sources)
        if count > FRONTIER_SOURCES_AT_MOST:
            self.budget.leave_out(
                f"the price-against-date frontier: {count} sources are more than the "
                f"{FRONTIER_SOURCES_AT_MOST} for which it is worked out; the plans shown are exact "
                "for the date asked"
            )
            return ()
        try:
            return frontier(
                self.built.case, self.built.confidence, self._undated(), planner=self.planner
            )
        except SolverStopped:
            self.budget.leave_out("the price-against-date frontier")
            return ()

    def _undated(self) -> frozenset[str]:
        """Sources that no frontier of dates holds: when another machine is at hand is not known."""
        found = frozenset(s.id for s in self.built.case.sources if s.kind == SourceKind.RETIRE)
        if found:
            self.built.draft.assume(
                "The frontiers leave another machine out: when it is at hand is not on record."
            )
        return found

    def _frontier_point(self, point: FrontPoint) -> FrontierPoint:
        days, last_day = self.built.days, self.built.case.last_day
        return FrontierPoint(
            plan_id=self._keep(point.plan),
            expected_total=self._money(point.plan.objective),
            price=self._money(point.plan.billed_price),
            promise_on=days[point.plan.ready_day],
            valid_from_on=days[point.valid_from_day],
            valid_to_on=days[point.valid_to_day] if point.valid_to_day < last_day else None,
        )

    def _infeasibility(
        self, solution: Solution, points: tuple[FrontPoint, ...]
    ) -> Infeasibility | None:
        if solution.plan is not None:
            return None
        if not solution.report.is_proven:
            return NOT_LOOKED_FAR_ENOUGH
        return infeasibility(self.built, self._earliest_day(points), self.planner)

    def _earliest_day(self, points: tuple[FrontPoint, ...]) -> int | None:
        """First day by which anything is ready with the asked chance; None: nothing ever is."""
        if points:
            return points[0].plan.ready_day
        try:
            return earliest_ready_day(self.built.case, self.built.confidence, planner=self.planner)
        except SolverStopped:
            return None

    def _exclusions(self, best: Plan | None) -> tuple[Exclusion, ...]:
        weighed: tuple[Exclusion, ...] = ()
        if best is not None and self.asked.has_extras:
            weighed = source_exclusions(self.built, best, self.planner)
        elif best is not None:
            self.budget.leave_out("what each other source would cost more, which was not asked")
        return (*dict.fromkeys(self.built.draft.exclusions), *weighed)

    def _alternatives(self, best: Plan | None) -> tuple[str, ...]:
        if best is None:
            return ()
        found = best_plans(
            self.built.case,
            Query(self.built.confidence, self.built.deadline),
            self.asked.alternatives,
            ways(self.built),
            self.asked.differ_in,
            planner=self.planner,
            best=best,
        )
        return tuple(self._keep(plan) for plan in found)

    def _risk_frontier(self) -> tuple[RiskFrontPoint, ...]:
        if not self.asked.has_risk_axis:
            return ()
        case, confidence = self.built.case, self.built.confidence
        return risk_frontier(case, confidence, self._undated(), budget=self.budget)

    def _risk_point(self, point: RiskFrontPoint) -> RiskPoint:
        return RiskPoint(
            plan_id=self._keep(point.plan),
            outlay=self._money(point.outlay),
            promise_on=self.built.days[point.ready_day],
            comeback_probability=self._comeback(point),
        )

    def _comeback(self, point: RiskFrontPoint) -> Decimal | None:
        """Chance of a comeback in the warranty, by a plan's summed weight and the first cause.

        None where of some part nothing is on record: what stands in for it is no chance to tell.
        """
        if not_counted(self.built, point.plan):
            return None
        snapshot = self.built.bench.snapshot
        warranty = float(snapshot.settings.warranty.warranty_hours)
        survives = cause_survival(snapshot, warranty) * exp(-point.risk / WEIGHT_SCALE)
        return chance_number(1 - survives)

    def _break_evens(self, best: Plan | None) -> tuple[BreakEven, ...]:
        if best is None or self.asked.break_evens == 0:
            return ()
        answer = break_evens(
            self.snapshot,
            self.built,
            best,
            self.budget,
            rivals=tuple(self.plans.values()),
            most=self.asked.break_evens,
        )
        if answer.left_out:
            self.budget.leave_out(
                f"how far {answer.left_out} further inputs may move before the plan changes"
            )
        return answer.found

    def _settlings(self, best: Plan | None) -> tuple[Settling, ...]:
        if best is None or self.asked.settlings == 0:
            return ()
        answer = settlings(self.snapshot, self.built, best, self.budget, most=self.asked.settlings)
        if answer.left_out:
            self.budget.leave_out(
                f"what settling the open verdicts of {answer.left_out} further positions is worth"
            )
        return answer.found

    def _part_out(self) -> PartOut | None:
        try:
            return part_out(self.built, self.budget)
        except SolverStopped:
            self.budget.leave_out("what parting the unit out would yield")
            return None

    def _views(self, recommended: str | None) -> tuple[PlanView, ...]:
        """The recommended plan first, the others by what they come to."""
        ordered = sorted(
            self.plans.items(), key=lambda item: (item[0] != recommended, item[1].objective)
        )
        return tuple(plan_view(self.built, plan) for _, plan in ordered)

    def _money(self, minor: int) -> Money:
        return Money.of_minor(minor, self.built.bench.settings.currency)
