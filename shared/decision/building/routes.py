"""Routes: which sources each may use, and which route a plan is."""

from shared.assemblies.model import RenewalRule
from shared.decision.building.build import Built
from shared.decision.building.planned import WHOLE
from shared.decision.planning.case import Plan, Source
from shared.decision.result import Route
from shared.decision.settings import SourceKind

_WHOLE_ROUTES = {
    SourceKind.EXCHANGE: Route.EXCHANGE,
    SourceKind.USED: Route.USED,
    SourceKind.NEW: Route.NEW,
    SourceKind.OLD_STOCK: Route.NEW,
    SourceKind.SEND_OUT: Route.SEND_OUT,
    SourceKind.RETIRE: Route.RETIRE,
}


def whole_route(source: Source) -> Route:
    """Route of a source of the whole unit."""
    return _WHOLE_ROUTES[SourceKind(source.kind)]


def is_refit_source(built: Built, source: Source) -> bool:
    """Whether a mere refit may use a source: keeping, and renewing what is always due."""
    if source.resolves_children or source.is_keep:
        return True
    if source.position_id == WHOLE:
        return False
    position = next(p.position for p in built.bench.planned if p.id == source.position_id)
    return position.renewal_rule is RenewalRule.ALWAYS and source.is_unused


def route_of(built: Built, plan: Plan) -> Route:
    """Which route a plan is."""
    chosen = [source for source in built.case.sources if source.id in set(plan.source_ids)]
    root = next(source for source in chosen if source.position_id == WHOLE)
    if not root.resolves_children:
        return whole_route(root)
    if all(is_refit_source(built, source) for source in chosen):
        return Route.REFIT
    return Route.REBUILD


def barred_on(built: Built, route: Route) -> frozenset[str]:
    """Sources that a route does not use."""
    return frozenset(
        source.id for source in built.case.sources if not _belongs(built, route, source)
    )


def _belongs(built: Built, route: Route, source: Source) -> bool:
    if route is Route.REFIT:
        return is_refit_source(built, source)
    if route is Route.REBUILD:
        return not source.refit_only and (source.position_id != WHOLE or source.resolves_children)
    return (
        source.position_id == WHOLE
        and not source.resolves_children
        and whole_route(source) is route
    )


def has_source(built: Built, route: Route) -> bool:
    """Whether anything at all is on offer for the whole unit along a route."""
    barred = barred_on(built, route)
    return any(s.position_id == WHOLE and s.id not in barred for s in built.case.sources)
