"""What the shop knows of parts taken from donors."""

from dataclasses import dataclass
from decimal import Decimal

from shared.evidence import ReasonRetired


@dataclass(frozen=True, slots=True)
class SalvageExperience:
    """How often a part taken from a donor proves good, by why the donor was retired."""

    prior_mean: Decimal
    prior_weight: Decimal
    good: int = 0
    trials: int = 0
    reason_retired: ReasonRetired | None = None
    part_kind: str | None = None
    basis: str | None = None
