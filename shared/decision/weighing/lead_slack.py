"""How much longer one delivery of a plan may take before the plan misses its day."""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from math import exp
from statistics import NormalDist

from shared.decision.building.build import Built
from shared.decision.planning.case import CHANCE_ONE, Plan
from shared.decision.planning.timing import chance_on, latest_arrival
from shared.sourcing.lead_time import LONGEST_LEAD_DAYS, Z_90, log_spread
from shared.sourcing.model import ArrivalDependence

_CERTAIN = 1 - 1e-12


@dataclass(frozen=True, slots=True)
class Delivery:
    """What a plan awaits under a charge: quotes in working days, ordered on a day."""

    charge_id: str
    p50_days: Decimal
    p90_days: Decimal
    order_day: int


def lead_guess(built: Built, plan: Plan, delivery: Delivery) -> Decimal | None:
    """Longest P90 (tenths of a working day, P50 in proportion) with which the plan is in time.

    All else that is awaited stays as it is: F = confidence over the product of the other chances
    (any dependence: confidence plus the sum of the others' shortfalls) is what the delivery must
    reach by the last arrival day, d days after its order; its P90 may be d exp(sigma (z90 - z(F))).
    Only where the search begins: packs, fallbacks and orders placed later are left aside. None:
    no day is asked, or the others alone miss it.
    Source: the quantile function of the lognormal distribution (any textbook).
    """
    if built.deadline is None or delivery.p90_days <= 0:
        return None
    last = latest_arrival(built.case, plan.bench_minutes, built.deadline)
    if last is None or last < delivery.order_day:
        return None
    needed = _needed(built, plan, delivery, last)
    if needed is None:
        return None
    sigma = log_spread(delivery.p50_days, delivery.p90_days)
    z = NormalDist().inv_cdf(min(max(needed, 1e-12), _CERTAIN))
    days = (last - delivery.order_day) * exp(sigma * (Z_90 - z))
    days = min(days, float(LONGEST_LEAD_DAYS))
    return Decimal(repr(days)).quantize(Decimal("0.1"), ROUND_FLOOR)


def _needed(built: Built, plan: Plan, delivery: Delivery, day: int) -> float | None:
    """Chance that a delivery must have by a day; None: no chance is enough."""
    opened = {c.id: c for c in built.case.charges if c.id in plan.charge_ids}
    own = opened.get(delivery.charge_id)
    if own is None:
        return None
    slowest: dict[str, float] = {}
    for charge in opened.values():
        shipment = charge.shipment or charge.id
        if charge.lead_table_id is None or shipment == (own.shipment or own.id):
            continue
        chance = chance_on(built.draft.lead_tables[charge.lead_table_id], day) / CHANCE_ONE
        slowest[shipment] = min(chance, slowest.get(shipment, 1.0))
    wanted = built.confidence / CHANCE_ONE
    if built.case.arrival_dependence is ArrivalDependence.ANY:
        wanted += sum(1 - chance for chance in slowest.values())
    else:
        for chance in slowest.values():
            wanted = wanted / chance if chance > 0 else 2.0
    return wanted if wanted <= 1 else None
