"""From the whole answer to what a customer may see of it."""

from datetime import date

from api.schemas.customer import CustomerOption, CustomerOptions
from shared.decision.result import DecisionResult, PlanView
from shared.decision.snapshot import Snapshot
from shared.decision.telling.told import TELL_THE_CUSTOMER


def customer_options(snapshot: Snapshot, result: DecisionResult) -> CustomerOptions:
    """Return the plans that are ready in time as the customer is told them, recommended first.

    Only what was written for the customer goes out: a plan without such a version is left out.
    """
    plans = [plan for plan in result.plans if plan.meets_required_by]
    plans.sort(key=lambda plan: plan.id != result.recommended)
    missed = result.infeasibility
    return CustomerOptions(
        job_id=snapshot.job.id,
        as_of=result.as_of,
        required_by_on=result.required_by_on,
        earliest_promise_on=None if missed is None else missed.earliest_promise_on,
        items=tuple(
            CustomerOption(
                plan_id=plan.id,
                route=plan.route,
                is_recommended=plan.id == result.recommended,
                holds_until=_holds_until(snapshot, plan),
                plan=plan.customer,
            )
            for plan in plans
            if plan.customer is not None
        ),
        cautions=tuple(one for one in result.cautions if one != TELL_THE_CUSTOMER),
    )


def _holds_until(snapshot: Snapshot, plan: PlanView) -> date | None:
    used = {line.offer_id for line in plan.lines}
    ends = [one.valid_until for one in snapshot.offers if one.id in used and one.valid_until]
    return min(ends, default=None)
