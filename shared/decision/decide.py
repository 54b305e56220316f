"""The decision: one snapshot in, every route side by side out, with the reasons.

Pure and reproducible: the same snapshot gives the same bytes for the same engine version.
"""

from collections.abc import Callable

from shared.decision.answer import Inquiry
from shared.decision.building.build import build
from shared.decision.check import check_snapshot
from shared.decision.codec import snapshot_hash
from shared.decision.planning.budget import Budget
from shared.decision.result import DecisionResult
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput, OutOfRange

ENGINE_VERSION = "5"
"""Raised whenever the same snapshot may give another answer."""


def decide(snapshot: Snapshot, *, is_cancelled: Callable[[], bool] | None = None) -> DecisionResult:
    """Answer a job: routes, plans, recommendation, frontier, verdicts, reasons, what would change.

    ``is_cancelled`` is asked now and then, also from another thread: once it says so, Cancelled is
    raised. It changes nothing else. Raises InvalidInput, naming the field and the mend, for a
    snapshot that contradicts itself.
    """
    check_snapshot(snapshot)
    built = build(snapshot)
    budget = Budget(float(snapshot.asked.effort), is_cancelled)
    try:
        inquiry = Inquiry(snapshot, built, budget)
    except OutOfRange as error:
        raise _beyond_reckoning(error) from None
    return inquiry.result(ENGINE_VERSION, snapshot_hash(snapshot))


def _beyond_reckoning(error: OutOfRange) -> InvalidInput:
    """Amounts possible one by one that together run beyond what a plan takes in.

    The error's own pointer leads into the planning case, which nobody outside has seen.
    """
    return InvalidInput(
        "/offers",
        "Together with quantities, hours and rates a figure of the plan runs too high "
        f"({error.detail.removesuffix('.')}).",
        "Look for an amount, a quantity or hours with too many digits.",
        "out-of-range",
    )
