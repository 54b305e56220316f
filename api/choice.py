"""A choice among plans, frozen; and a frozen one computed again."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Final

import msgspec

from api.schemas.decision import Difference, ReplayAnswer
from shared.decision.codec import from_builtins, snapshot_from_bytes, to_bytes
from shared.decision.decide import ENGINE_VERSION, decide
from shared.decision.frozen import FrozenDecision
from shared.decision.result import DecisionResult
from shared.decision.snapshot import Snapshot
from shared.errors import Conflict, InvalidInput

_MOST_DIFFERENCES: Final = 100
_LONGEST: Final = 1000
_ABSENT: Final = object()


def freeze(
    decision_id: str,
    snapshot: Snapshot,
    result: DecisionResult,
    *,
    plan_id: str,
    decided_by: str,
    reason: str | None,
    expected_hash: str | None,
) -> FrozenDecision:
    """Return the decision that keeps a choice among the plans of a result.

    Raises Conflict ("state-conflict") when the snapshot is not the one that the chooser saw,
    InvalidInput for a plan that is not in the result, and for an override without a reason.
    """
    if expected_hash is not None and expected_hash != result.snapshot_hash:
        raise Conflict(
            "state-conflict",
            "The records behind this job have changed since the options were computed: the snapshot"
            f" now has the hash {result.snapshot_hash}.",
            "Read the options again and choose anew.",
            allowed_states=[],
        )
    known = [plan.id for plan in result.plans]
    if plan_id not in known:
        raise InvalidInput(
            "/plan_id",
            f"There is no plan {plan_id} in these options.",
            f"Choose one of: {', '.join(known) or 'there is no plan to choose'}.",
            "plan-unknown",
        )
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


def replay(decision: FrozenDecision) -> ReplayAnswer:
    """Compute a decision again from its stored snapshot and compare, member by member."""
    snapshot = snapshot_from_bytes(decision.snapshot_json.encode())
    # Of the bytes as they were stored: read and written again they would gain later members.
    found_hash = hashlib.sha256(decision.snapshot_json.encode()).hexdigest()
    again = json.loads(to_bytes(replace(decide(snapshot), snapshot_hash=found_hash)))
    differences = []
    for difference in _differences("", _stored_result(decision), again):
        differences.append(difference)
        if len(differences) == _MOST_DIFFERENCES:
            break
    return ReplayAnswer(
        decision_id=decision.id,
        agrees=not differences and found_hash == decision.snapshot_hash,
        differences=tuple(differences),
        engine_version=ENGINE_VERSION,
        stored_engine_version=decision.engine_version,
        snapshot_hash=found_hash,
        snapshot_is_intact=found_hash == decision.snapshot_hash,
    )


def _stored_result(decision: FrozenDecision) -> Any:
    """Return the stored result, members that it did not have then with what they stand for."""
    stored = json.loads(decision.result_json)
    try:
        return json.loads(to_bytes(from_builtins(stored, DecisionResult)))
    except msgspec.ValidationError:  # What does not read as a result is compared as it lies there.
        return stored


def _differences(pointer: str, stored: Any, again: Any) -> Iterator[Difference]:
    if isinstance(stored, dict) and isinstance(again, dict):
        for name in sorted(stored.keys() | again.keys()):
            yield from _differences(
                f"{pointer}/{name}", stored.get(name, _ABSENT), again.get(name, _ABSENT)
            )
    elif isinstance(stored, list) and isinstance(again, list):
        for index in range(max(len(stored), len(again))):
            yield from _differences(
                f"{pointer}/{index}",
                stored[index] if index < len(stored) else _ABSENT,
                again[index] if index < len(again) else _ABSENT,
            )
    elif stored != again or type(stored) is not type(again):
        yield Difference(pointer=pointer[:_LONGEST], stored=_text(stored), replayed=_text(again))


def _text(value: Any) -> str | None:
    if value is _ABSENT:
        return None
    return json.dumps(value, ensure_ascii=False)[:_LONGEST]
