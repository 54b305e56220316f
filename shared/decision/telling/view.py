"""A plan as a service writer reads it: lines, amounts that add up, dates, risk, words."""

from decimal import Decimal

from shared.decision.building.build import Built
from shared.decision.building.draft import SourceFacts
from shared.decision.building.routes import route_of
from shared.decision.economics.economics import MOST_YEARS, equivalent_annual_cost
from shared.decision.planning.case import AmountLine, CostClass, Plan
from shared.decision.result import (
    AmountView,
    ClassAmount,
    PlanLine,
    PlanView,
    Risk,
    Route,
)
from shared.decision.telling.customer import customer_plan
from shared.decision.telling.figures import chance_number, number, plan_id
from shared.decision.telling.hours import Labour
from shared.decision.telling.lasting import risk_of, survival_curve
from shared.decision.telling.notes import notes
from shared.decision.telling.readiness import Timing
from shared.decision.telling.spread import Bill, Gamble, total_spread
from shared.decision.telling.words import Told, summary, title, unproven
from shared.money import Money, round_half_up, times

__all__ = ["chance_number", "number", "plan_id", "plan_view"]


def plan_view(built: Built, plan: Plan) -> PlanView:
    """Everything a person is told of one plan."""
    bench = built.bench
    currency = bench.settings.currency
    inspection = bench.job.inspection_price.minor if bench.job.inspection_price else 0
    net = plan.billed_price + inspection
    tax = times(net, bench.settings.pricing.tax_percent / 100)
    limit = bench.job.spending_limit
    timing = Timing(built, plan)
    bill = _bill(built, plan, timing, net + tax)

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    told = Told(
        built=built,
        plan=plan,
        route=route_of(built, plan),
        lines=plan_lines(built, plan),
        inspection=money(inspection),
        tax=money(tax),
        to_pay=money(net + tax),
        is_within_limit=None if limit is None else net + tax <= limit.minor,
        breakdown=breakdown(plan.lines, currency),
        risk=risk_of(built, plan),
        promise_chance=timing.promise_chance,
        total=total_spread(
            built.case, bill, currency, tuple(_not_counted(built, plan, timing.labour))
        ),
        moves=_moves(bill),
    )
    return PlanView(
        id=plan_id(plan),
        route=told.route,
        title=title(told.route, told.lines),
        summary=summary(told),
        lines=told.lines,
        amounts=_amounts(plan.lines, currency),
        price=money(plan.billed_price),
        inspection=told.inspection,
        net_total=money(net),
        tax=told.tax,
        to_pay=told.to_pay,
        expected_total=money(plan.objective),
        cost=money(plan.billed_cost),
        margin=money(plan.billed_price - plan.billed_cost),
        readiness=timing.readiness(),
        risk=told.risk,
        meets_required_by=built.deadline is None or plan.ready_day <= built.deadline,
        is_within_spending_limit=told.is_within_limit,
        notes=notes(told),
        breakdown=told.breakdown,
        total_spread=told.total,
        finish_spread=None if told.route is Route.RETIRE else timing.spread(),
        survival=survival_curve(built, plan),
        price_per_expected_hour=_per_hour(money(plan.objective), told.risk),
        equivalent_annual_cost=_per_year(built, plan.objective, told.risk),
        customer=customer_plan(told, money(net)),
    )


def breakdown(lines: tuple[AmountLine, ...], currency: str) -> tuple[ClassAmount, ...]:
    """All lines by class of cost, in the order of the classes.

    The prices (where the aim is cost, the costs) add up to the expected total; what of the costs
    is billed adds up to the plan's cost.
    """
    found = []
    for cost_class in CostClass:
        own = [line for line in lines if line.cost_class == cost_class]
        if own:
            price, cost = sum(line.price for line in own), sum(line.cost for line in own)
            found.append(
                ClassAmount(
                    cost_class.value,
                    Money.of_minor(price, currency),
                    Money.of_minor(cost, currency),
                )
            )
    return tuple(found)


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


def plan_lines(built: Built, plan: Plan) -> tuple[PlanLine, ...]:
    """What happens at each position, the whole first, then in the order of planning."""
    order = {planned.id: index for index, planned in enumerate(built.bench.planned)}
    ids = set(plan.source_ids)
    found = [
        (
            order.get(source.position_id, -1),
            _line(source.position_id, source.id, built.draft.facts[source.id]),
        )
        for source in built.case.sources
        if source.id in ids and not source.resolves_children
    ]
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


def _bill(built: Built, plan: Plan, timing: Timing, to_pay: int) -> Bill:
    pricing = built.bench.settings.pricing
    limit = built.bench.job.spending_limit
    by_day = _waiting_prices(built)
    return Bill(
        to_pay=to_pay,
        tax_percent=pricing.tax_percent,
        labour_per_hour=pricing.labour_price_per_hour.minor
        * (1 + pricing.supplies_percent_of_labour / 100),
        labour=timing.labour,
        arrived=timing.arrived,
        gambles=_gambles(built, plan),
        waiting_by_day=by_day,
        waiting_quoted=by_day[plan.ready_day] if by_day else 0,
        limit=None if limit is None else limit.minor,
    )


def _moves(bill: Bill) -> tuple[str, ...]:
    """What the spread of a total counts, in words."""
    found = (
        (bool(bill.labour.uncertain), "hours billed as worked"),
        (bool(bill.gambles), "what may prove bad"),
        (bool(bill.waiting_by_day), "loan or hire to the day it is ready"),
    )
    return tuple(words for is_so, words in found if is_so)


def _waiting_prices(built: Built) -> tuple[int, ...]:
    """What loan or hire is billed at by ready day; empty: there is none."""
    tables = [one.price_by_day for one in built.case.waiting if one.is_billed]
    days = range(built.case.last_day + 1) if tables else ()
    return tuple(sum(table[min(day, len(table) - 1)] for table in tables) for day in days)


def _gambles(built: Built, plan: Plan) -> tuple[Gamble, ...]:
    """What is billed besides where a part of the plan proves bad."""
    proofs = (built.draft.proofs.get(charge_id) for charge_id in plan.charge_ids)
    return tuple(
        Gamble(proof.chance, proof.billed_price)
        for proof in proofs
        if proof is not None and proof.billed_price is not None
    )


def _not_counted(built: Built, plan: Plan, labour: Labour) -> list[str]:
    """What may move the total and is in no figure of its spread."""
    told = []
    if labour.uncertain:
        told.append(
            "Labour is taken as billed by the hours worked; where the quote is kept whatever the "
            "hours, the total does not move with them."
        )
    if labour.unquoted_hours:
        hours = f"{labour.unquoted_hours.normalize():f}"
        told.append(f"Work that is quoted at 0 h and may take {hours} h (P90).")
    facts = [built.draft.facts[source_id] for source_id in plan.source_ids]
    doubtful = unproven(facts)
    if doubtful:
        told.append("What may turn out bad at parts without proof: " + ", ".join(doubtful) + ".")
    proofs = built.draft.proofs
    open_ended = sorted(
        charge.label
        for charge in built.case.charges
        if charge.id in plan.charge_ids
        and charge.id in proofs
        and proofs[charge.id].billed_price is None
    )
    if open_ended:
        told.append(f"What it costs unless {'; '.join(open_ended)}: nothing else is on offer.")
    if any(line.cost_class == CostClass.CORE_DEPOSIT for line in plan.lines):
        told.append("What comes back of the core deposit after the unit is handed over.")
    if any(line.cost_class == CostClass.REPLACEMENT for line in plan.lines):
        return [*told, "The other machine itself."]
    told.append("Failures after the unit is handed over.")
    return told


def _per_hour(expected_total: Money, risk: Risk) -> Decimal | None:
    """Expected total per expected hour of service, up to the horizon."""
    hours = risk.expected_service_hours
    return number(float(expected_total.amount / hours)) if hours else None


def _per_year(built: Built, expected_total: int, risk: Risk) -> Money | None:
    """Even yearly cost worth the expected total: EAC = PV r / (1 - (1 + r)^-n).

    n years = expected hours of service / hours run per year; r the shop's interest. None where one
    of them is not given. Source: Principles of Corporate Finance (see ``economics.py``).
    """
    interest = built.bench.settings.rules.interest_percent_per_year
    per_year = built.bench.job.hours_per_year
    hours = risk.expected_service_hours
    if interest is None or not per_year or not hours:
        return None
    years = float(hours / per_year)
    if not 0 < years <= MOST_YEARS:
        return None
    cost = equivalent_annual_cost(float(expected_total), float(interest) / 100, years)
    return Money.of_minor(round_half_up(Decimal(repr(cost))), built.bench.settings.currency)
