"""The snapshot: everything one decision needs, frozen and serialisable.

A decision stores it, a calculation accepts it, a test writes it by hand, the database fills it.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    Characteristic,
    LabourOperation,
    Position,
    PositionSet,
)
from shared.condition.model import Finding, Unit
from shared.decision.job_states import JobState
from shared.decision.settings import ShopSettings
from shared.interchange.model import InterchangeClaim, Part
from shared.money import Money
from shared.salvage.model import ShelvedPart
from shared.sourcing.model import Offer, Supplier


class Aim(StrEnum):
    """What is made least: the customer's expected price, or the shop's expected cost."""

    PRICE = "price"
    COST = "cost"


@dataclass(frozen=True, slots=True)
class Job:
    """One customer's unit and what is wanted of it.

    ``cause`` None: not known. ``opened_group_ids``: access groups that the inspection left open.
    ``inspection_price`` is spent already: billed on every route, compared on none.
    ``core_unit_id``: the unit that would go back as core (None: the customer's own).
    """

    id: str
    unit_id: str
    complaint: str
    state: JobState = JobState.BOOKED_IN
    cause: str | None = None
    horizon_hours: Decimal | None = None
    required_by_on: date | None = None
    confidence: Decimal | None = None
    spending_limit: Money | None = None
    opened_group_ids: tuple[str, ...] = ()
    inspection_price: Money | None = None
    core_unit_id: str | None = None
    notes: str | None = None


@dataclass(frozen=True, slots=True)
class Snapshot:
    """All records that one job's decision can depend on, and the moment it is taken.

    ``units`` holds the job's own unit, the donors and the stock units. Records that the job cannot
    reach (another assembly's) are left out by whoever fills it. ``salvaged_parts`` are those on the
    shelf that may fit here and are not held for another job; their donors are among the units.
    ``claims_left_out`` counts claims by other shops that the shop cannot reckon with: in another
    currency, beyond measure, or too many.
    """

    as_of: datetime
    job: Job
    settings: ShopSettings
    assembly: Assembly
    units: tuple[Unit, ...]
    positions: tuple[Position, ...] = ()
    access_groups: tuple[AccessGroup, ...] = ()
    position_sets: tuple[PositionSet, ...] = ()
    operations: tuple[LabourOperation, ...] = ()
    characteristics: tuple[Characteristic, ...] = ()
    parts: tuple[Part, ...] = ()
    claims: tuple[InterchangeClaim, ...] = ()
    findings: tuple[Finding, ...] = ()
    suppliers: tuple[Supplier, ...] = ()
    offers: tuple[Offer, ...] = ()
    salvaged_parts: tuple[ShelvedPart, ...] = ()
    claims_left_out: int = 0
    aim: Aim = Aim.PRICE
