"""The routes side by side: the best plan of each, or why there is none."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from shared.decision.building.build import Built
from shared.decision.building.routes import barred_on, route_of
from shared.decision.planning.case import Plan, Query
from shared.decision.planning.solver import Planner
from shared.decision.result import ReasonCode, Route, RouteView
from shared.decision.telling.figures import plan_id
from shared.decision.weighing.forced import difference_by_class
from shared.decision.weighing.reasons import NoPlan, why_no_plan
from shared.money import Money


@dataclass(frozen=True, slots=True)
class _Found:
    """A route's best plan, in time if there is one; else what stands against it."""

    plan: Plan | None
    reasons: tuple[str, ...] = ()
    nothing: NoPlan | None = None
    is_proven: bool = field(default=True)


class RouteAnswers:
    """What every route comes to, beside the recommended plan."""

    def __init__(self, built: Built, planner: Planner, best: Plan | None) -> None:
        self.built, self.planner, self.best = built, planner, best
        self.found = {route: self._find(route) for route in Route}

    def plans(self) -> Iterator[Plan]:
        """The best plan of each route that has one."""
        return (found.plan for found in self.found.values() if found.plan is not None)

    def next_best(self) -> Plan | None:
        """The cheapest plan in time along another route than the recommended one."""
        if self.best is None:
            return None
        own = route_of(self.built, self.best)
        others = [
            plan
            for plan in self.plans()
            if self._is_in_time(plan) and route_of(self.built, plan) is not own
        ]
        return min(others, key=lambda plan: (plan.objective, plan.source_ids), default=None)

    def views(self) -> tuple[RouteView, ...]:
        """Every route as it is told."""
        return tuple(self._view(route, found) for route, found in self.found.items())

    def _find(self, route: Route) -> _Found:
        """The best plan of a route by the required date, else the best late one, else why none."""
        built = self.built
        barred = barred_on(built, route)
        in_time = self.planner.asking(Query(built.confidence, built.deadline, barred)).cheapest()
        if in_time.plan is not None:
            return _Found(in_time.plan, is_proven=in_time.report.is_proven)
        late = self.planner.asking(Query(built.confidence, None, barred)).cheapest()
        if late.plan is not None:
            ready = built.days[late.plan.ready_day]
            told = f"not ready by {built.bench.job.required_by_on}: {ready} at the asked chance"
            return _Found(late.plan, (told,), is_proven=late.report.is_proven)
        if not late.report.is_proven:
            self.planner.budget.leave_out(f"the route '{route}'")
            return _Found(None, ("not worked out within the search limit",), is_proven=False)
        nothing = why_no_plan(built, route, barred, self.planner)
        return _Found(None, nothing.reasons, nothing)

    def _view(self, route: Route, found: _Found) -> RouteView:
        told, plan = list(found.reasons), found.plan
        if plan is not None and (is_like := route_of(self.built, plan)) is not route:
            told.append(f"nothing beyond it is worth doing: the same plan as {is_like}")
        is_compared = plan is not None and self.best is not None
        return RouteView(
            route=route,
            is_feasible=plan is not None,
            meets_required_by=plan is not None and self._is_in_time(plan),
            plan_id=plan_id(plan) if plan is not None else None,
            gap=(
                Money.of_minor(
                    plan.objective - self.best.objective, self.built.bench.settings.currency
                )
                if plan is not None and self.best is not None
                else None
            ),
            reasons=tuple(told),
            code=self._code(found),
            gap_by_class=(
                difference_by_class(self.built, plan, self.best)
                if plan is not None and self.best is not None and is_compared
                else ()
            ),
            requirements=found.nothing.requirements if found.nothing else (),
            relaxation=found.nothing.relaxation if found.nothing else None,
        )

    def _code(self, found: _Found) -> ReasonCode | None:
        if found.nothing is not None:
            return found.nothing.code
        if found.plan is None:
            return ReasonCode.NOT_WORKED_OUT
        if self.best is None or set(found.plan.source_ids) == set(self.best.source_ids):
            return None
        return ReasonCode.NOT_CHEAPEST if self._is_in_time(found.plan) else ReasonCode.TOO_LATE

    def _is_in_time(self, plan: Plan) -> bool:
        return self.built.deadline is None or plan.ready_day <= self.built.deadline
