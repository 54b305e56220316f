"""What an inspection sheet is made from, and what stands on it."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    Characteristic,
    Grade,
    InspectionMethod,
    LabourOperation,
    Position,
    PositionSet,
    ReadingsCount,
    Ruling,
    ServiceLimitKind,
)
from shared.condition.model import (
    ConformityRule,
    Finding,
    Gauge,
    ShimEffect,
    ShimPack,
    Unit,
    Verdict,
    Zone,
)
from shared.condition.shim_place import ShimPlace
from shared.evidence import Caution
from shared.quantities import Quantity


@dataclass(frozen=True, slots=True)
class ToolCalledFor:
    """A special tool as far as a sheet names it: for a position, for operations, or both."""

    id: str
    name: str
    number: str | None = None
    position_id: str | None = None
    labour_operation_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetRecords:
    """What is on record of one unit and its design, and how this shop judges.

    Rulings are those that hold for the unit. ``opened_group_ids``: what stands open already.
    ``acceptance_probability`` from 0.5 to below 1. ``today`` is the day by the shop's calendar.
    """

    unit: Unit
    assembly: Assembly
    positions: tuple[Position, ...]
    today: date
    access_groups: tuple[AccessGroup, ...] = ()
    position_sets: tuple[PositionSet, ...] = ()
    operations: tuple[LabourOperation, ...] = ()
    characteristics: tuple[Characteristic, ...] = ()
    findings: tuple[Finding, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    shim_places: tuple[ShimPlace, ...] = ()
    shim_packs: tuple[ShimPack, ...] = ()
    tools: tuple[ToolCalledFor, ...] = ()
    opened_group_ids: tuple[str, ...] = ()
    rule: ConformityRule = ConformityRule.ISO_14253_1
    acceptance_probability: Decimal = Decimal("0.95")
    job_id: str | None = None
    is_cause_known: bool = False
    """Whether the job's cause of failure is on record; of no matter without a job."""


class Treatment(StrEnum):
    """How far a position is taken apart to be inspected, by the ruling that holds for the unit."""

    OPEN = "open"
    OPEN_TO_INSPECT = "open-to-inspect"
    OUTSIDE_ONLY = "outside-only"
    NEVER_REACHED = "never-reached"


class CalibrationState(StrEnum):
    """Whether a gauge's calibration holds on a day."""

    HOLDS = "holds"
    RUN_OUT = "run-out"
    UNKNOWN = "unknown"
    NOT_TOLD = "not-told"


class Fineness(StrEnum):
    """Whether a gauge leaves any reading that shows conformity; or it does not read such sizes."""

    FINE_ENOUGH = "fine-enough"
    TOO_COARSE = "too-coarse"
    OUT_OF_REACH = "out-of-reach"
    CANNOT_BE_TOLD = "cannot-be-told"


class MissingKind(StrEnum):
    """What is still to be recorded."""

    SERIAL_NUMBER = "serial-number"
    HOURS = "hours"
    VARIANT = "variant"
    CAUSE = "cause"
    FINDING = "finding"
    INPUT = "input"
    READINGS = "readings"
    SETTLING = "settling"
    LIMIT = "limit"
    SHIM_PACK = "shim-pack"


@dataclass(frozen=True, slots=True)
class OwnGauge:
    """One of the shop's gauges that may serve; ``runs_out_on`` is the last day of calibration."""

    gauge_id: str
    name: str
    standard_uncertainty: Quantity | None
    fineness: Fineness
    calibration: CalibrationState
    runs_out_on: date | None


@dataclass(frozen=True, slots=True)
class GaugeChoice:
    """A kind of gauge for one characteristic: how fine it usually is, and the shop's own of it.

    ``is_called_for``: the design names it. ``shows_conformity_from`` and ``shows_conformity_to``:
    readings between show conformity at its usual uncertainty; None: no end, or not known.
    """

    kind: str
    name: str
    is_called_for: bool
    usual_uncertainty: Quantity | None
    basis: str | None
    fineness: Fineness
    shows_conformity_from: Quantity | None
    shows_conformity_to: Quantity | None
    own: tuple[OwnGauge, ...]


@dataclass(frozen=True, slots=True)
class FollowsFrom:
    """A measure that another follows from, and what it is multiplied by."""

    characteristic_id: str
    name: str
    factor: Decimal
    piece: int | None


@dataclass(frozen=True, slots=True)
class FoundAlready:
    """What stands on record of a characteristic, and what it amounts to.

    ``finding_id`` of a derived measure is not on record: it follows from others. ``settled_by``:
    what would settle a reading that its doubt alone leaves open.
    """

    finding_id: str
    piece: int | None
    found_at: datetime
    is_derived: bool
    verdict: Verdict
    zone: Zone
    detail: str
    settled_by: str | None


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One characteristic to inspect: how, with what, against which limits, what is known.

    ``follows_from`` and ``derivation`` where it is worked out from others. ``open_pieces``: pieces
    of which nothing is found, None for the position as a whole.
    """

    characteristic_id: str
    name: str
    is_crack: bool
    how: str | None
    settling_method: InspectionMethod | None
    unit: str | None
    new_lower: Quantity | None
    new_upper: Quantity | None
    service_lower: Quantity | None
    service_upper: Quantity | None
    service_limit_is: ServiceLimitKind | None
    limits_source: str | None
    worst_acceptable_grade: Grade | None
    minimum_readings: int
    counted_by: ReadingsCount | None
    derivation: str | None
    follows_from: tuple[FollowsFrom, ...]
    gauges: tuple[GaugeChoice, ...]
    found: tuple[FoundAlready, ...]
    open_pieces: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class SheetShims:
    """Shims at a place of a position: measured and recorded on opening, kept with this unit."""

    shim_place_id: str
    name: str
    effect: ShimEffect
    sets_characteristic_id: str | None
    sets: str | None
    seating: str | None
    as_found_pack_id: str | None
    advice: str


@dataclass(frozen=True, slots=True)
class SheetSet:
    """A matched set that a position belongs to: it stays together."""

    set_id: str
    name: str
    other_position_ids: tuple[str, ...]
    advice: str


@dataclass(frozen=True, slots=True)
class SheetPosition:
    """A position on the sheet. ``is_due``: renewed whatever is found, as ``due`` says."""

    position_id: str
    name: str
    reference: str | None
    parent_id: str | None
    access_group_id: str | None
    part_id: str | None
    quantity: int
    is_safety_critical: bool
    ruling: Ruling
    ruling_reason: str | None
    treatment: Treatment
    treatment_told: str
    is_due: bool
    due: str | None
    select_fit: str | None
    verdict: Verdict | None
    matched_sets: tuple[SheetSet, ...]
    lines: tuple[SheetLine, ...]
    shims: tuple[SheetShims, ...]
    cautions: tuple[Caution, ...]
    p50_hours: Decimal
    p90_hours: Decimal
    tools: tuple[ToolCalledFor, ...]


@dataclass(frozen=True, slots=True)
class SheetStep:
    """One opening and what it gives reach to; ``access_group_id`` None: from outside.

    Hours are those of opening it, none where it stands open.
    """

    access_group_id: str | None
    name: str
    outer_group_id: str | None
    is_open: bool
    p50_hours: Decimal
    p90_hours: Decimal
    tools: tuple[ToolCalledFor, ...]
    positions: tuple[SheetPosition, ...]


@dataclass(frozen=True, slots=True)
class Missing:
    """Something still to be recorded: ``path`` and ``member`` say where, ``text`` what and why."""

    kind: MissingKind
    path: str
    member: str
    text: str
    position_id: str | None = None
    characteristic_id: str | None = None
    piece: int | None = None
    shim_place_id: str | None = None


@dataclass(frozen=True, slots=True)
class InspectionSheet:
    """What to look at and measure on one unit, in the order of dismantling."""

    unit_id: str
    assembly_id: str
    today: date
    rule: ConformityRule
    acceptance_probability: Decimal
    general: tuple[str, ...]
    cautions: tuple[Caution, ...]
    steps: tuple[SheetStep, ...]
    p50_hours: Decimal
    p90_hours: Decimal
    missing: tuple[Missing, ...]
