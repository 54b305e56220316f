"""A choice among plans, frozen."""

from datetime import date

from shared.decision.codec import to_bytes
from shared.decision.frozen import FrozenDecision
from shared.decision.result import DecisionResult, PlanView
from shared.decision.snapshot import Snapshot
from shared.errors import Conflict, InvalidInput


def freeze(
    decision_id: str,
    snapshot: Snapshot,
    result: DecisionResult,
    *,
    plan_id: str,
    decided_by: str,
    reason: str | None,
    expected_hash: str | None,
    today: date,
) -> FrozenDecision:
    """Return the decision that keeps a choice among the plans of a result.

    ``today`` is the shop's day of now, whatever the moment of the options: what is ordered is
    ordered at a price that holds today. Raises Conflict ("state-conflict") when the snapshot is not
    the one that the chooser saw, Conflict ("offer-lapsed") for a plan with an offer that holds no
    more, InvalidInput for a plan that is not in the result, and for an override without a reason.
    """
    if expected_hash is not None and expected_hash != result.snapshot_hash:
        raise Conflict(
            "state-conflict",
            "The records behind this job have changed since the options were computed, or something"
            f" else was asked: the snapshot now has the hash {result.snapshot_hash}.",
            "Read the options again and choose anew.",
            allowed_states=[],
        )
    plan = _chosen(result, plan_id)
    _check_offers_hold(snapshot, plan, today)
    is_override = plan_id != result.recommended
    if is_override and reason is None:
        raise InvalidInput(
            "/reason",
            f"The plan {plan_id} is not the recommended one ({result.recommended or 'none is'}),"
            " and no reason is given.",
            "Say why this plan was chosen.",
            "reason-missing",
        )
    return FrozenDecision(
        id=decision_id,
        job_id=snapshot.job.id,
        as_of=snapshot.as_of,
        plan_id=plan_id,
        recommended_plan_id=result.recommended,
        is_override=is_override,
        decided_by=decided_by,
        reason=reason,
        engine_version=result.engine_version,
        snapshot_hash=result.snapshot_hash,
        snapshot_json=to_bytes(snapshot).decode(),
        result_json=to_bytes(result).decode(),
    )


def _chosen(result: DecisionResult, plan_id: str) -> PlanView:
    found = next((plan for plan in result.plans if plan.id == plan_id), None)
    if found is None:
        known = ", ".join(plan.id for plan in result.plans)
        raise InvalidInput(
            "/plan_id",
            f"There is no plan {plan_id} in these options.",
            f"Choose one of: {known or 'there is no plan to choose'}.",
            "plan-unknown",
        )
    return found


def _check_offers_hold(snapshot: Snapshot, plan: PlanView, today: date) -> None:
    used = {line.offer_id for line in plan.lines}
    for offer in snapshot.offers:
        if offer.id in used and offer.valid_until is not None and offer.valid_until < today:
            raise Conflict(
                "offer-lapsed",
                f"The offer {offer.id} ({offer.description}) held until {offer.valid_until}; today"
                f" is {today}.",
                "Record the supplier's new offer, read the options of now and choose anew.",
                offer_id=offer.id,
            )
