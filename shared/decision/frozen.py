"""A decision as it is kept: inputs, answer, choice, who and why. Never changed afterwards."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class FrozenDecision:
    """``snapshot_json`` and ``result_json`` are the canonical bytes of ``codec.to_bytes`` as text.

    ``is_override``: the chosen plan is not the recommended one; ``reason`` is then required.
    """

    id: str
    job_id: str
    as_of: datetime
    plan_id: str
    recommended_plan_id: str | None
    is_override: bool
    decided_by: str
    reason: str | None
    engine_version: str
    snapshot_hash: str
    snapshot_json: str
    result_json: str
