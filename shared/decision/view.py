"""A plan as a service writer reads it: lines, amounts that add up, dates, risk, words."""

import hashlib
from decimal import Decimal

from shared.assemblies.model import MakerSupply
from shared.condition.model import Verdict
from shared.decision.build import Built
from shared.decision.case import CHANCE_ONE, AmountLine, Plan
from shared.decision.draft import SourceFacts
from shared.decision.evaluator import ready_chance
from shared.decision.planned import WHOLE, PlannedPosition
from shared.decision.result import AmountView, PlanLine, PlanView, Readiness, Risk, Route
from shared.decision.risk import cause_survival, common_cause, horizon_hours
from shared.decision.routes import route_of
from shared.decision.settings import SourceKind
from shared.life.series import expected_hours, series_survival
from shared.money import Money, times

_TITLES = {
    Route.REFIT: "Refit as found, renewing what is always due",
    Route.REBUILD: "Rebuild",
    Route.EXCHANGE: "Exchange unit",
    Route.USED: "Used unit",
    Route.NEW: "New unit",
    Route.SEND_OUT: "Send the unit out",
}


def plan_id(plan: Plan) -> str:
    """Name of a plan: the same choice has the same name in every answer."""
    digest = hashlib.sha256("\n".join(sorted(plan.source_ids)).encode()).hexdigest()
    return f"pln_{digest[:12]}"


def number(value: float) -> Decimal:
    """A computed number as a decimal with six significant digits.

    >>> number(0.12345678), number(1234.5678)
    (Decimal('0.123457'), Decimal('1234.57'))
    """
    rounded = Decimal(f"{value:.6g}")
    return Decimal(f"{rounded:f}")


def chance_number(value: float) -> Decimal:
    """A computed chance with six significant digits, never rounded up to certainty.

    >>> chance_number(0.99999999), chance_number(1.0), chance_number(0.5)
    (Decimal('0.999999'), Decimal('1'), Decimal('0.5'))
    """
    rounded = number(value)
    return Decimal("0.999999") if rounded == 1 and value < 1 else rounded


def plan_view(built: Built, plan: Plan) -> PlanView:
    """Everything a person is told of one plan."""
    bench = built.bench
    currency = bench.settings.currency
    route = route_of(built, plan)
    amounts = _amounts(plan.lines, currency)
    inspection = bench.job.inspection_price.minor if bench.job.inspection_price else 0
    net = plan.billed_price + inspection
    tax = times(net, bench.settings.pricing.tax_percent / 100)
    limit = bench.job.spending_limit
    is_within_limit = None if limit is None else net + tax <= limit.minor
    lines = _lines(built, plan)
    readiness = _readiness(built, plan)
    risk = _risk(built, plan)

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    return PlanView(
        id=plan_id(plan),
        route=route,
        title=_title(route, lines),
        summary=_summary(route, lines, readiness, risk),
        lines=lines,
        amounts=amounts,
        price=money(plan.billed_price),
        inspection=money(inspection),
        net_total=money(net),
        tax=money(tax),
        to_pay=money(net + tax),
        expected_total=money(plan.objective),
        cost=money(plan.billed_cost),
        margin=money(plan.billed_price - plan.billed_cost),
        readiness=readiness,
        risk=risk,
        meets_required_by=built.deadline is None or plan.ready_day <= built.deadline,
        is_within_spending_limit=is_within_limit,
        notes=_notes(built, plan, lines, is_within_limit),
    )


def _amounts(lines: tuple[AmountLine, ...], currency: str) -> tuple[AmountView, ...]:
    """Lines of the same class and label put together; the sums stay exact."""
    merged: dict[tuple[str, str, bool], tuple[int, int]] = {}
    for line in lines:
        key = (line.cost_class.value, line.label, line.is_billed)
        price, cost = merged.get(key, (0, 0))
        merged[key] = (price + line.price, cost + line.cost)
    return tuple(
        AmountView(
            cost_class,
            label,
            Money.of_minor(price, currency),
            Money.of_minor(cost, currency),
            billed,
        )
        for (cost_class, label, billed), (price, cost) in merged.items()
    )


def _lines(built: Built, plan: Plan) -> tuple[PlanLine, ...]:
    order = {planned.id: index for index, planned in enumerate(built.bench.planned)}
    sources = {source.id: source for source in built.case.sources}
    found = []
    for source_id in plan.source_ids:
        facts, source = built.draft.facts[source_id], sources[source_id]
        if source.resolves_children:
            continue
        found.append(
            (order.get(source.position_id, -1), _line(source.position_id, source_id, facts))
        )
    return tuple(line for _, line in sorted(found, key=lambda item: (item[0], item[1].source_id)))


def _line(position_id: str, source_id: str, facts: SourceFacts) -> PlanLine:
    return PlanLine(
        position_id=position_id,
        position_name=facts.position_name,
        piece=facts.piece,
        source_id=source_id,
        source_kind=facts.kind.value,
        disposition=facts.disposition,
        description=facts.description,
        supplier_name=facts.supplier_name,
        offer_id=facts.offer_id,
        donor_unit_id=facts.donor_unit_id,
        verdict=facts.verdict,
        notes=facts.notes,
        salvaged_part_ids=facts.salvaged_part_ids,
    )


def _readiness(built: Built, plan: Plan) -> Readiness:
    confidence = number(built.confidence / CHANCE_ONE)
    by_required = None
    if built.deadline is not None:
        chance = ready_chance(built.case, plan, built.deadline) if built.deadline >= 0 else 0.0
        by_required = chance_number(chance)
    return Readiness(
        promise_on=built.days[plan.ready_day],
        confidence=confidence,
        p50_on=built.days[_first_day(built, plan, 0.5)],
        p90_on=built.days[_first_day(built, plan, 0.9)],
        working_days=plan.ready_day,
        bench_hours=number(plan.bench_minutes / 60),
        probability_by_required=by_required,
    )


def _first_day(built: Built, plan: Plan, chance: float) -> int:
    for day in range(built.case.last_day + 1):
        if ready_chance(built.case, plan, day) >= chance - 1e-5:
            return day
    return built.case.last_day


def _risk(built: Built, plan: Plan) -> Risk:
    snapshot = built.bench.snapshot
    chosen = [built.draft.facts[source_id] for source_id in plan.source_ids]
    real = [facts for facts in chosen if facts.kind is not SourceKind.PART_BY_PART]
    specs = [facts.spec for facts in real if facts.spec is not None]
    warranty = snapshot.settings.warranty.warranty_hours
    horizon = horizon_hours(snapshot)
    cause = common_cause(snapshot)
    comeback = survival = service = None
    if specs:

        def survives(hours: float) -> float:
            return cause_survival(snapshot, hours) * series_survival(specs, hours)

        comeback = chance_number(1 - survives(float(warranty)))
        survival = chance_number(survives(horizon))
        service = number(expected_hours(survives, horizon, 1e-7))
    return Risk(
        comeback_probability=comeback,
        warranty_hours=warranty,
        survival_to_horizon=survival,
        horizon_hours=number(horizon),
        expected_service_hours=service,
        common_cause=cause,
        not_counted=tuple(facts.position_name for facts in real if facts.spec is None),
    )


def _title(route: Route, lines: tuple[PlanLine, ...]) -> str:
    title = _TITLES[route]
    if route is Route.REBUILD:
        counts = [
            f"{what} {sum(line.disposition == what for line in lines)}"
            for what in ("renew", "rework", "keep")
            if any(line.disposition == what for line in lines)
        ]
        return f"{title}: {', '.join(counts)}"
    if route is not Route.REFIT and lines:
        return f"{title}: {lines[0].description}"
    return title


def _summary(route: Route, lines: tuple[PlanLine, ...], readiness: Readiness, risk: Risk) -> str:
    """A few plain sentences from the plan's own facts."""
    told = [f"{_TITLES[route]}."]
    for what, word in (("renew", "Renewed"), ("rework", "Reworked"), ("keep", "Kept")):
        names = [line.position_name for line in lines if line.disposition == what]
        if names and route in (Route.REFIT, Route.REBUILD):
            told.append(f"{word}: {', '.join(names)}.")
    told.append(f"Ready by {readiness.promise_on} with a chance of {readiness.confidence:.0%}.")
    told.append(_comeback(risk))
    return " ".join(told)


def _comeback(risk: Risk) -> str:
    when = f"within {risk.warranty_hours:f} h of running"
    if risk.comeback_probability is None:
        return f"How likely a comeback {when} is, nothing on record tells."
    least = "at least " if risk.not_counted else ""
    return f"Chance of a comeback {when}: {least}{risk.comeback_probability:.1%}."


def _notes(
    built: Built, plan: Plan, lines: tuple[PlanLine, ...], is_within_limit: bool | None
) -> tuple[str, ...]:
    notes = []
    by_id = {planned.id: planned for planned in built.bench.planned}
    outside = [
        planned.name
        for line in lines
        if line.disposition != "keep"
        and (planned := by_id.get(line.position_id)) is not None
        and _is_outside_support(planned)
    ]
    if outside:
        notes.append(
            "Outside the maker's support: the maker does not sell singly: " + ", ".join(outside)
        )
    notes += [
        f"The whole unit: {'; '.join(line.notes)}."
        for line in lines
        if line.position_id == WHOLE and line.notes
    ]
    facts = [built.draft.facts[source_id] for source_id in plan.source_ids]
    doubtful = [
        f"{one.position_name} ({one.verdict})"
        for one in facts
        if one.disposition == "keep" and one.verdict not in (None, Verdict.CONFORMING)
    ]
    if doubtful:
        notes.append("Kept without proof that it conforms: " + ", ".join(doubtful))
    notes += _shelf_notes(facts)
    unproved = sorted(
        charge.label
        for charge in built.case.charges
        if charge.kind == "proof" and charge.id in plan.charge_ids
    )
    if unproved:
        notes.append(
            "The price holds only if this turns out: " + "; ".join(unproved) + ". Agree beforehand "
            "with the customer what is done if it does not."
        )
    unsettled = [
        one.position_name
        for one in facts
        if one.disposition == "rework" and any("not settled" in note for note in one.notes)
    ]
    if unsettled:
        notes.append("Reworked though not all of it is settled: " + ", ".join(unsettled))
    limit = built.bench.job.spending_limit
    if is_within_limit is not None and limit is not None:
        side = "Within" if is_within_limit else "ABOVE"
        notes.append(f"{side} the customer's spending limit of {limit.amount} {limit.currency}.")
    deposit = sum(
        line.price for line in plan.lines if line.cost_class == "core-deposit" and line.is_billed
    )
    if deposit:
        amount = Money.of_minor(deposit, built.bench.settings.currency)
        notes.append(
            f"{amount.amount} {amount.currency} of the price is a core deposit: paid now, credited "
            "only when the core is accepted."
        )
    return tuple(notes)


def _shelf_notes(facts: list[SourceFacts]) -> list[str]:
    """What to do about parts from the shelf, and which of them nothing proves good."""
    shelved = [one for one in facts if one.salvaged_part_ids]
    told = []
    if shelved:
        named = "; ".join(f"{one.position_name}: {one.description}" for one in shelved)
        told.append(f"Reserve for this job, unless that is done: {named}.")
    doubtful = [
        f"{one.position_name} ({one.verdict})"
        for one in shelved
        if one.verdict is not Verdict.CONFORMING
    ]
    if doubtful:
        told.append("From the shelf without proof that it conforms: " + ", ".join(doubtful))
    return told


def _is_outside_support(planned: PlannedPosition) -> bool:
    return planned.position.maker_supply is MakerSupply.WHOLE_ONLY
