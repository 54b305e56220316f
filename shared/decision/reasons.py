"""Why: what bars a route, what an unchosen source costs more, what rules everything out."""

from collections.abc import Iterable
from decimal import Decimal

from shared.decision.build import Built
from shared.decision.case import CHANCE_ONE, Plan, Query, Source
from shared.decision.infeasible import explain_infeasible
from shared.decision.planned import WHOLE
from shared.decision.result import Exclusion, Infeasibility, ReasonCode, Route
from shared.decision.routes import has_source
from shared.decision.solver import solve
from shared.money import Money

FORCED_SOLVES_AT_MOST = 120
"""Beyond this many unchosen sources their exact extra cost is not worked out."""

_NOT_OFFERED = {
    Route.EXCHANGE: "no exchange unit is on offer",
    Route.USED: "no used unit is on offer or in stock",
    Route.NEW: "no new unit is on offer",
    Route.SEND_OUT: "no rebuilder's offer for the customer's own unit",
}


def route_reasons(built: Built, route: Route, barred: frozenset[str]) -> tuple[str, ...]:
    """Why a route has no plan at all, dates left aside."""
    if not has_source(built, route):
        own = [e for e in built.draft.exclusions if e.position_id in (WHOLE, None)]
        told = [_NOT_OFFERED.get(route, "the assembly has no positions on record")]
        if route in _NOT_OFFERED:
            told += [f"{e.subject}: {e.detail}" for e in own if "donor" not in e.subject]
        return tuple(told)
    query = Query(built.confidence, None, barred)
    return _requirements(built, query, route)


def _requirements(built: Built, query: Query, route: Route | None = None) -> tuple[str, ...]:
    """Requirements that cannot hold together; that something must be done goes without saying."""
    keys = explain_infeasible(built.case, query)
    telling = [key for key in keys if key != f"position:{WHOLE}"] or keys
    return tuple(requirement(built, key, route) for key in telling)


def requirement(built: Built, key: str, route: Route | None = None) -> str:
    """One requirement in words, with what stands against it."""
    kind, _, rest = key.partition(":")
    if kind == "deadline":
        by = built.bench.job.required_by_on
        chance = Decimal(built.confidence) * 100 / CHANCE_ONE
        return f"ready by {by}" if by is not None else f"ready, with a chance of {chance:g} %"
    if kind == "position":
        return _position_requirement(built, rest, route)
    names = {planned.id: planned.name for planned in built.bench.planned}
    sets = {s.id: s.name for s in built.bench.snapshot.position_sets}
    return {
        "matched": f"the matched set '{sets.get(rest, rest)}' comes from one unit",
        "together": f"'{sets.get(rest, rest)}' are renewed together",
        "always": f"{names.get(rest, rest)} is renewed whenever its access group is open",
        "physical": "a donor's part is used once",
        "capacity": "a kit holds only so many of a part",
        "refit": "a nonconforming part is kept only where nothing else is done",
    }.get(kind, key)


def _position_requirement(built: Built, position_id: str, route: Route | None) -> str:
    if position_id == WHOLE:
        return "the whole unit must be dealt with"
    name = next(p.name for p in built.bench.planned if p.id == position_id)
    against = [e for e in built.draft.exclusions if e.position_id == position_id]
    if route is Route.REFIT:
        against = [e for e in against if e.subject.startswith("keep ")]
    if not against:
        return f"{name} must be filled, and nothing is on offer for it"
    told = "; ".join(f"{e.subject}: {e.detail}" for e in against)
    return f"{name} must be filled ({told})"


def infeasibility(built: Built, earliest_day: int | None) -> Infeasibility:
    """What rules everything out: requirements that cannot hold together, none of them idle."""
    told = _requirements(built, Query(built.confidence, built.deadline))
    promise = built.days[earliest_day] if earliest_day is not None else None
    if promise is not None:
        detail = f"Nothing is ready in time with the asked chance; the earliest is {promise}."
    else:
        detail = "Nothing meets these requirements together, whatever the date."
    return Infeasibility(told, detail, promise)


def source_exclusions(built: Built, best: Plan) -> tuple[Exclusion, ...]:
    """For each unchosen source of a position: why not, and exactly how much dearer when forced."""
    unchosen = [
        source
        for source in built.case.sources
        if source.id not in best.source_ids
        and source.position_id != WHOLE
        and not source.resolves_children
    ]
    if len(unchosen) > FORCED_SOLVES_AT_MOST:
        built.draft.assume(
            f"{len(unchosen)} other sources are not in the plan; with so many, why each of them "
            "lost is not worked out."
        )
        return ()
    return tuple(_why_not(built, source, best) for source in unchosen)


def _why_not(built: Built, source: Source, best: Plan) -> Exclusion:
    facts = built.draft.facts[source.id]
    by = f" from {facts.supplier_name}" if facts.supplier_name else ""
    subject = f"{facts.position_name}: {facts.description}{by}"
    late = _too_late(built, source)
    if late is not None:
        return Exclusion(subject, source.position_id, ReasonCode.TOO_LATE, late)
    forced = solve(
        built.case,
        Query(built.confidence, built.deadline, forced_sources=frozenset({source.id})),
        breaks_ties=False,
    ).plan
    if forced is None:
        return Exclusion(
            subject,
            source.position_id,
            ReasonCode.INFEASIBLE,
            "no complete plan with it meets the rules and the date",
        )
    extra = Money.of_minor(forced.objective - best.objective, built.bench.settings.currency)
    return Exclusion(
        subject,
        source.position_id,
        ReasonCode.NOT_CHEAPEST,
        f"{extra.amount} {extra.currency} dearer in expected total when forced"
        if extra.minor
        else "equally dear; the tie goes to fewer charges",
    )


def _too_late(built: Built, source: Source) -> str | None:
    """Why a source cannot be there in time even when nothing else is awaited."""
    deadline = built.deadline
    if deadline is None:
        return None
    for charge in awaited(built, source.charges):
        table = built.draft.lead_tables[charge]
        chance = table.chance_by_day[deadline] if 0 <= deadline < len(table.chance_by_day) else 0
        if chance < built.confidence - 10_000:
            return (
                f"there by {built.bench.job.required_by_on} with a chance of only "
                f"{chance / CHANCE_ONE:.1%}"
            )
    return None


def awaited(built: Built, charge_ids: Iterable[str]) -> set[str]:
    """Lead tables behind a source's charges."""
    waiting, seen, tables = list(charge_ids), set(), set()
    while waiting:
        key = waiting.pop()
        if key in seen:
            continue
        seen.add(key)
        charge = built.draft.charges[key]
        waiting.extend(charge.requires)
        if charge.lead_table_id is not None:
            tables.add(charge.lead_table_id)
    return tables
