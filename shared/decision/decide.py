"""The decision: one snapshot in, every route side by side out, with the reasons.

Pure and reproducible: the same snapshot gives the same bytes for the same engine version.
"""

from shared.condition.verdict import PositionJudgement
from shared.decision.build import Built, asked_confidence, build
from shared.decision.case import FrontPoint, Plan, Query
from shared.decision.check import check_snapshot
from shared.decision.codec import snapshot_hash
from shared.decision.frontier import earliest_ready_day, frontier
from shared.decision.planned import PlannedPosition
from shared.decision.reasons import infeasibility, route_reasons, source_exclusions
from shared.decision.result import (
    DecisionResult,
    FindingVerdict,
    FrontierPoint,
    PlanView,
    PositionVerdict,
    Route,
    RouteView,
)
from shared.decision.routes import barred_on, route_of
from shared.decision.snapshot import Snapshot
from shared.decision.solver import SolverStopped, solve
from shared.decision.view import chance_number, plan_id, plan_view
from shared.evidence import Caution, CautionKind
from shared.money import Money

ENGINE_VERSION = "1"
"""Raised whenever the same snapshot may give another answer."""

FRONTIER_SOURCES_AT_MOST = 600
"""Beyond this many sources a frontier takes longer than anyone waits at a counter."""

_ALWAYS_TOLD = (
    Caution(
        CautionKind.LEGAL,
        "Local codes and licensed practice come first; this answer replaces neither.",
    ),
    Caution(
        CautionKind.LEGAL,
        "Tell the customer which parts are used, interchanged or kept without proof, and offer "
        "the old parts back, except cores and warranty returns.",
    ),
)


def decide(snapshot: Snapshot) -> DecisionResult:
    """Answer a job: routes, plans, recommendation, frontier, verdicts, reasons.

    Raises InvalidInput, naming the field and the mend, for a snapshot that contradicts itself.
    """
    check_snapshot(snapshot)
    built = build(snapshot)
    plans: dict[str, Plan] = {}

    def keep(plan: Plan) -> str:
        name = plan_id(plan)
        plans.setdefault(name, plan)
        return name

    best, is_proven = _solve(built)
    routes = {route: _route_plan(built, route) for route in Route}
    points = _frontier(built)
    recommended = keep(best) if best is not None else None
    for plan, _ in routes.values():
        if plan is not None:
            keep(plan)
    frontier_view = tuple(
        FrontierPoint(
            plan_id=keep(point.plan),
            expected_total=_money(built, point.plan.objective),
            price=_money(built, point.plan.billed_price),
            promise_on=built.days[point.plan.ready_day],
            valid_from_on=built.days[point.valid_from_day],
            valid_to_on=(
                built.days[point.valid_to_day] if point.valid_to_day < built.case.last_day else None
            ),
        )
        for point in points
    )
    next_best = _next_best(built, best, routes)
    return DecisionResult(
        engine_version=ENGINE_VERSION,
        snapshot_hash=snapshot_hash(snapshot),
        as_of=snapshot.as_of,
        aim=snapshot.aim,
        confidence=asked_confidence(snapshot),
        required_by_on=snapshot.job.required_by_on,
        recommended=recommended,
        next_best=plan_id(next_best) if next_best is not None else None,
        gap_to_next_best=(
            _money(built, next_best.objective - best.objective)
            if best is not None and next_best is not None
            else None
        ),
        routes=tuple(_route_view(built, route, *routes[route], best) for route in Route),
        plans=_views(built, plans, recommended),
        frontier=frontier_view,
        verdicts=tuple(_verdict(built, planned) for planned in built.bench.planned),
        exclusions=(
            *dict.fromkeys(built.draft.exclusions),
            *(source_exclusions(built, best) if best is not None else ()),
        ),
        infeasibility=(
            None if best is not None else infeasibility(built, _earliest_day(built, points))
        ),
        assumptions=built.draft.all_assumptions(),
        cautions=_cautions(built),
        is_proven_optimal=is_proven,
    )


def _frontier(built: Built) -> tuple[FrontPoint, ...]:
    """The exact frontier, or none and the reason: a front with a gap is no front."""
    if len(built.case.sources) > FRONTIER_SOURCES_AT_MOST:
        built.draft.assume(
            f"The price-against-date frontier is left out: {len(built.case.sources)} sources are "
            f"more than the {FRONTIER_SOURCES_AT_MOST} for which it is worked out. The plans shown "
            "are exact for the date asked."
        )
        return ()
    try:
        return frontier(built.case, built.confidence)
    except SolverStopped:
        built.draft.assume("The frontier was not finished within the search limit and is left out.")
        return ()


def _earliest_day(built: Built, points: tuple[FrontPoint, ...]) -> int | None:
    """First day by which anything is ready with the asked chance; None: nothing ever is."""
    if points:
        return points[0].plan.ready_day
    try:
        return earliest_ready_day(built.case, built.confidence)
    except SolverStopped:
        return None


def _solve(built: Built) -> tuple[Plan | None, bool]:
    solution = solve(built.case, Query(built.confidence, built.deadline))
    return solution.plan, solution.report.is_proven


def _route_plan(built: Built, route: Route) -> tuple[Plan | None, tuple[str, ...]]:
    """The best plan of a route by the required date, else the best late one, else why none."""
    barred = barred_on(built, route)
    in_time = solve(built.case, Query(built.confidence, built.deadline, barred)).plan
    if in_time is not None:
        return in_time, ()
    late = solve(built.case, Query(built.confidence, None, barred)).plan
    if late is not None:
        ready = built.days[late.ready_day]
        return late, (
            f"not ready by {built.bench.job.required_by_on}: {ready} at the asked chance",
        )
    return None, route_reasons(built, route, barred)


def _route_view(
    built: Built, route: Route, plan: Plan | None, reasons: tuple[str, ...], best: Plan | None
) -> RouteView:
    told = list(reasons)
    if plan is not None and (is_like := route_of(built, plan)) is not route:
        told.append(f"nothing beyond it is worth doing: the same plan as {is_like}")
    return RouteView(
        route=route,
        is_feasible=plan is not None,
        meets_required_by=plan is not None and _is_in_time(built, plan),
        plan_id=plan_id(plan) if plan is not None else None,
        gap=(
            _money(built, plan.objective - best.objective)
            if plan is not None and best is not None
            else None
        ),
        reasons=tuple(told),
    )


def _is_in_time(built: Built, plan: Plan) -> bool:
    return built.deadline is None or plan.ready_day <= built.deadline


def _next_best(
    built: Built, best: Plan | None, routes: dict[Route, tuple[Plan | None, tuple[str, ...]]]
) -> Plan | None:
    """The cheapest plan in time along another route than the recommended one."""
    if best is None:
        return None
    own = route_of(built, best)
    others = [
        plan
        for plan, _ in routes.values()
        if plan is not None and _is_in_time(built, plan) and route_of(built, plan) is not own
    ]
    return min(others, key=lambda plan: (plan.objective, plan.source_ids), default=None)


def _views(built: Built, plans: dict[str, Plan], recommended: str | None) -> tuple[PlanView, ...]:
    """The recommended plan first, the others by what they come to."""
    ordered = sorted(plans.items(), key=lambda item: (item[0] != recommended, item[1].objective))
    return tuple(plan_view(built, plan) for _, plan in ordered)


def _verdict(built: Built, planned: PlannedPosition) -> PositionVerdict:
    judged: PositionJudgement = built.bench.judgements[planned.id]
    return PositionVerdict(
        position_id=planned.id,
        name=planned.name,
        verdict=judged.verdict,
        probability=None if judged.probability is None else chance_number(judged.probability),
        findings=tuple(
            FindingVerdict(
                finding_id=one.finding_id,
                characteristic_id=one.characteristic_id,
                verdict=one.verdict,
                zone=one.zone,
                probability=None if one.probability is None else chance_number(one.probability),
                detail=one.detail,
            )
            for one in judged.findings
        ),
        not_inspected=judged.not_inspected,
    )


def _cautions(built: Built) -> tuple[Caution, ...]:
    """The assembly's, its positions' and the general cautions, each once."""
    own = built.bench.snapshot.assembly.cautions
    inside = tuple(c for p in built.bench.snapshot.positions for c in p.cautions)
    return tuple(dict.fromkeys((*own, *inside, *_ALWAYS_TOLD)))


def _money(built: Built, minor: int) -> Money:
    return Money.of_minor(minor, built.bench.settings.currency)
