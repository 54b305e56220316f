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
from shared.condition.model import Finding, Gauge, ShimPack, Unit
from shared.condition.shim_place import ShimPlace
from shared.decision.job_states import JobState
from shared.decision.settings import ShopSettings
from shared.evidence import CauseKind, FailureMechanism
from shared.interchange.model import FitmentCount, InterchangeClaim, Part, Supersession
from shared.money import Money
from shared.salvage.model import DonorGift, ShelvedPart
from shared.sourcing.model import ExchangeRate, Offer, Supplier


class Aim(StrEnum):
    """What is made least: the customer's expected price, or the shop's expected cost."""

    PRICE = "price"
    COST = "cost"


class WaitingKind(StrEnum):
    """What the customer runs until the unit is back."""

    LOAN = "loan"
    HIRE = "hire"


@dataclass(frozen=True, slots=True)
class Waiting:
    """A loan unit or a hired one, for every calendar day from the decision until the unit is ready.

    ``cost_per_day`` is the shop's, ``price_per_day`` the customer's.
    """

    kind: WaitingKind
    cost_per_day: Money
    price_per_day: Money
    description: str | None = None


@dataclass(frozen=True, slots=True)
class PartDemand:
    """Pieces of a part that other open jobs of the shop call for and have not been given yet."""

    part_id: str
    quantity: int
    jobs: int


@dataclass(frozen=True, slots=True)
class HeldPart:
    """A part on the shelf that would fit here and is held for another job."""

    id: str
    position_id: str
    part_id: str | None = None
    held_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """How much of an answer is wanted; the recommended plan does not depend on it.

    ``alternatives``: that many best plans which differ from one another in at least ``differ_in``
    ways a person would call different (1 to 10). ``effort`` bounds all searches together, in the
    solver's deterministic time (about a second each); what is not reached then is told.
    ``break_evens`` and ``settlings``: how many inputs, and how many open verdicts, are looked at;
    ``has_extras``: whether it is worked out what each unchosen source would cost more.
    """

    alternatives: int = 3
    differ_in: int = 1
    has_risk_axis: bool = False
    break_evens: int = 3
    settlings: int = 2
    has_extras: bool = True
    effort: Decimal = Decimal(20)


@dataclass(frozen=True, slots=True)
class Job:
    """One customer's unit and what is wanted of it.

    ``failure_mechanism`` is how it failed, ``cause`` and ``cause_kind`` why (None: not known),
    ``is_cause_removed`` whether that is put right with the job. ``opened_group_ids``: access groups
    that the inspection left open.
    ``inspection_price`` is spent already: billed on every route, compared on none.
    ``core_unit_id``: the unit that would go back as core (None: the customer's own); it cannot
    before ``core_back_on``. ``standstill_cost_per_day`` is what each calendar day without the unit
    costs the customer, ``replacement_cost`` what another machine would (neither is billed);
    ``hours_per_year`` the unit is run.
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
    core_back_on: date | None = None
    waiting: Waiting | None = None
    standstill_cost_per_day: Money | None = None
    replacement_cost: Money | None = None
    hours_per_year: Decimal | None = None
    failure_mechanism: FailureMechanism | None = None
    cause_kind: CauseKind | None = None
    is_cause_removed: bool | None = None


@dataclass(frozen=True, slots=True)
class Snapshot:
    """All records that one job's decision can depend on, and the moment it is taken.

    ``units`` holds the job's own unit, the donors and the stock units. Records that the job cannot
    reach (another assembly's) are left out by whoever fills it. ``salvaged_parts`` are those on the
    shelf that may fit here and are not held for another job; their donors are among the units.
    ``claims_left_out`` counts records on what may stand in that are not reckoned with: claims by
    other shops in another currency, records beyond measure, claims, supersessions, numbers and
    donors of other assemblies beyond those that one plan takes in. ``demands`` and ``held_parts``
    are other jobs' needs and holds. Amounts of suppliers and offers may be in another currency
    where ``exchange_rates`` has a rate for it of a day not after ``as_of``. ``gifts``: positions of
    donors of other assemblies whose parts may take a place here; those donors are among the units,
    the positions' characteristics among the characteristics.
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
    exchange_rates: tuple[ExchangeRate, ...] = ()
    demands: tuple[PartDemand, ...] = ()
    held_parts: tuple[HeldPart, ...] = ()
    asked: Asked = Asked()
    supersessions: tuple[Supersession, ...] = ()
    fitment_counts: tuple[FitmentCount, ...] = ()
    gifts: tuple[DonorGift, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    shim_places: tuple[ShimPlace, ...] = ()
    shim_packs: tuple[ShimPack, ...] = ()
