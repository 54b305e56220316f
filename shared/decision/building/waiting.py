"""What every day until the unit is ready costs: a loan unit, a hired one, the customer standing.

Calendar days count from the shop's local day of the decision to the day on which the unit is ready.
Amounts are integer minor units.
"""

from shared.decision.building.draft import Draft
from shared.decision.planning.case import CostClass, Waiting
from shared.decision.snapshot import WaitingKind

_WORDS = {WaitingKind.LOAN: "loan unit", WaitingKind.HIRE: "hired unit"}


def waiting_tables(draft: Draft) -> tuple[Waiting, ...]:
    """Costs by ready day: what is lent or hired (billed), what standing costs (not billed)."""
    job = draft.bench.job
    waited = [max(0, (day - draft.bench.today).days) for day in draft.days]
    found = []
    if job.waiting is not None:
        what = job.waiting.description or _WORDS[job.waiting.kind]
        cost, price = job.waiting.cost_per_day.minor, job.waiting.price_per_day.minor
        found.append(
            Waiting(
                id=f"waiting:{job.waiting.kind}",
                cost_class=CostClass.WAITING,
                label=f"{what}, for each day until the unit is ready",
                cost_by_day=tuple(cost * days for days in waited),
                price_by_day=tuple(price * days for days in waited),
            )
        )
    if job.standstill_cost_per_day is not None:
        each = job.standstill_cost_per_day.minor
        found.append(
            Waiting(
                id="waiting:standstill",
                cost_class=CostClass.STANDSTILL,
                label="the customer's standstill, for each day until the unit is ready",
                cost_by_day=tuple(0 for _ in waited),
                price_by_day=tuple(each * days for days in waited),
                is_billed=False,
            )
        )
    if found:
        draft.assume(
            f"Waiting counts in calendar days, from {draft.bench.today} to the day on which the "
            "unit is ready with the asked chance."
        )
    return tuple(found)
