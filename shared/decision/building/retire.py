"""Another machine in place of the unit: it competes only where the customer's cost of it is given.

It restores nothing of this unit, costs the shop nothing, and is not billed.
"""

from shared.decision.building import charges
from shared.decision.building.draft import Draft, SourceFacts
from shared.decision.building.planned import WHOLE
from shared.decision.planning.case import AmountLine, CostClass, Source
from shared.decision.settings import SourceKind
from shared.decision.snapshot import Aim, Snapshot

RETIRE = f"{WHOLE}:{SourceKind.RETIRE}"
"""Id of the source that stands for another machine."""


def why_not_weighed(snapshot: Snapshot) -> str | None:
    """Why another machine does not compete in an answer; None when it does."""
    if snapshot.job.replacement_cost is None:
        return "the customer's cost of another machine is not given"
    if snapshot.aim is Aim.COST:
        return "what another machine costs is the customer's: it is no cost of the shop's"
    return None


def add_retire(draft: Draft) -> None:
    """The customer buys another machine, where that is weighed."""
    cost = draft.bench.job.replacement_cost
    if cost is None or why_not_weighed(draft.bench.snapshot) is not None:
        return
    what = "another machine in place of this one"
    draft.add(
        Source(
            id=RETIRE,
            position_id=WHOLE,
            kind=SourceKind.RETIRE,
            lines=(
                AmountLine(
                    CostClass.REPLACEMENT,
                    f"{what}, the customer's cost",
                    0,
                    cost.minor,
                    is_billed=False,
                ),
            ),
            charges=charges.disposal_charge(draft),
            fits_another_part=True,
            is_unused=True,
        ),
        SourceFacts(
            kind=SourceKind.RETIRE,
            description=what,
            disposition="retire",
            position_name="the whole unit",
            notes=(
                "how likely the other machine fails is not on record: not counted",
                "when the other machine is at hand is not on record: counted as at once",
            ),
        ),
    )
    draft.assume(
        "Another machine: neither the chance that it fails nor the day on which it is at hand is "
        "on record; it counts as there at once and as not failing."
    )
