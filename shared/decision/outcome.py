"""How a job ended: what it really cost and took, and whether it came back."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shared.evidence import CauseKind, FailureMechanism
from shared.money import Money


@dataclass(frozen=True, slots=True)
class Comeback:
    """The job returned within its warranty; ``cost`` is what it cost the shop.

    ``hours_run`` since hand-over; ``position_id`` where it failed, None: not known.
    """

    came_back_on: date
    hours_run: Decimal | None = None
    position_id: str | None = None
    cause: str | None = None
    cost: Money | None = None
    mechanism: FailureMechanism | None = None
    cause_kind: CauseKind | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one job, beside the decision that it followed.

    ``actual_cost`` is what the shop paid, ``actual_price`` what the customer paid, comebacks not
    counted in; ``bench_hours`` were worked.
    """

    id: str
    job_id: str
    decision_id: str | None = None
    handed_over_on: date | None = None
    actual_cost: Money | None = None
    actual_price: Money | None = None
    bench_hours: Decimal | None = None
    comebacks: tuple[Comeback, ...] = ()
    note: str | None = None
