"""Units on the bench and in the yard, and what was found on them."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from shared.assemblies.model import Grade, InspectionMethod
from shared.assemblies.traits import Hand, Traits
from shared.evidence import FailureMechanism, ReasonRetired
from shared.money import Money
from shared.quantities import Quantity


class UnitKind(StrEnum):
    """Whose unit it is, and what for."""

    CUSTOMER = "customer"
    DONOR = "donor"
    STOCK = "stock"


class ConformityRule(StrEnum):
    """How a reading near a limit is judged."""

    ISO_14253_1 = "iso-14253-1"
    SIMPLE_ACCEPTANCE = "simple-acceptance"


class Verdict(StrEnum):
    """What a position's findings amount to (ISO 14253-1, JCGM 106)."""

    CONFORMING = "conforming"
    NONCONFORMING = "nonconforming"
    INDETERMINATE = "indeterminate"
    NOT_INSPECTED = "not-inspected"


class Zone(StrEnum):
    """Where a reading lies, doubt left aside."""

    WITHIN_NEW = "within-new"
    WITHIN_SERVICE = "within-service"
    BEYOND = "beyond"
    NO_LIMIT = "no-limit"


@dataclass(frozen=True, slots=True)
class PartWorth:
    """What one position's part counts for in the worth of a donor's complete rest."""

    position_id: str
    worth: Money


@dataclass(frozen=True, slots=True)
class DonorTerms:
    """What it takes to use a donor: its price, or its worth if the shop owns it, and the stripping.

    ``remainder_worth`` is what the rest fetches while nothing is missing from it; each part that is
    taken lessens it by its own ``part_worths``. A donor that has to be bought costs ``freight``
    besides, and arrives after ``p50_days`` / ``p90_days`` working days; one in the yard is there.
    """

    is_owned: bool
    price: Money | None = None
    undisturbed_worth: Money | None = None
    remainder_worth: Money | None = None
    strip_p50_hours: Decimal = Decimal(0)
    strip_p90_hours: Decimal = Decimal(0)
    p50_days: Decimal = Decimal(0)
    p90_days: Decimal = Decimal(0)
    freight: Money | None = None
    part_worths: tuple[PartWorth, ...] = ()


@dataclass(frozen=True, slots=True)
class Unit:
    """One physical assembly; its hours may be a range, ``variant`` is the maker's word."""

    id: str
    assembly_id: str
    kind: UnitKind
    serial_number: str | None = None
    lower_hours: Decimal | None = None
    upper_hours: Decimal | None = None
    variant: str | None = None
    provenance: str | None = None
    reason_retired: ReasonRetired | None = None
    released_on: date | None = None
    """When it was bought, or released in writing, as a donor; None: it is not."""
    donor: DonorTerms | None = None
    taken_position_ids: tuple[str, ...] = ()
    """Positions of which a piece has left it as a salvaged part; by rising id."""
    built_on: date | None = None
    hand: Hand | None = None
    ratio: Decimal | None = None
    """Input turns to one output turn."""
    generation: str | None = None

    @property
    def traits(self) -> Traits:
        """What tells it apart from other units of its design."""
        return Traits(
            self.serial_number, self.built_on, self.hand, self.ratio, self.generation, self.variant
        )


@dataclass(frozen=True, slots=True)
class Gauge:
    """One of the shop's gauges, and what is known of it.

    ``standard_uncertainty`` is that of one reading with the hand that takes it; the part of it
    that all its readings share (its calibration, its setting master) is ``common_uncertainty``.
    Gauges of one ``master`` share that part with one another. ``kind``: a word of the usual
    gauges. Calibration runs out ``calibration_months`` after ``calibrated_on``. It reads sizes from
    ``reads_from`` up to ``reads_up_to``.
    """

    id: str
    name: str
    kind: str | None = None
    serial_number: str | None = None
    standard_uncertainty: Quantity | None = None
    common_uncertainty: Quantity | None = None
    master: str | None = None
    calibrated_on: date | None = None
    calibration_months: int | None = None
    note: str | None = None
    reads_from: Quantity | None = None
    reads_up_to: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of several: its size, in which plane along the part, in which direction."""

    size: Quantity
    plane: str | None = None
    direction: str | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What was measured or seen; never changed, only superseded by a later one.

    Exactly one is there: ``measured`` (with its uncertainty, or a gauge that is known), several
    ``readings``, the ends of an interval (``at_least``, ``at_most`` or both: a go/no-go gauge,
    feeler blades), or ``grade``. ``unit_hours``: hours that the unit had run. ``mechanism``: how
    it failed, as it shows. ``client_id``: the caller's own word for it, once in a shop.
    """

    id: str
    unit_id: str
    position_id: str
    characteristic_id: str
    found_by: str
    found_at: datetime
    method: InspectionMethod
    measured: Quantity | None = None
    grade: Grade | None = None
    gauge: str | None = None
    part_temperature: Quantity | None = None
    is_cleaned: bool | None = None
    location: str | None = None
    piece: int | None = None
    note: str | None = None
    supersedes_id: str | None = None
    readings: tuple[Reading, ...] = ()
    at_least: Quantity | None = None
    at_most: Quantity | None = None
    gauge_id: str | None = None
    gauge_calibrated_on: date | None = None
    unit_hours: Decimal | None = None
    mechanism: FailureMechanism | None = None
    client_id: str | None = None


class ShimEffect(StrEnum):
    """The sign of a pack: what more shims do to what it sets."""

    MORE_SHIMS_INCREASE = "more-shims-increase"
    MORE_SHIMS_DECREASE = "more-shims-decrease"


class ShimStage(StrEnum):
    """Whether a pack is the one found on opening or the one fitted in the job."""

    AS_FOUND = "as-found"
    AS_FITTED = "as-fitted"


@dataclass(frozen=True, slots=True)
class Shim:
    """Shims of one thickness in a pack; a broken one is measured, never fitted again."""

    thickness: Quantity
    quantity: int = 1
    is_broken: bool = False


@dataclass(frozen=True, slots=True)
class ShimPack:
    """The shims at one place of one unit; they belong to that unit alone.

    ``place`` names the place ("pinion depth"), ``sets`` what the pack sets ("end float"). No shims:
    none sat there.
    """

    id: str
    unit_id: str
    place: str
    sets: str
    effect: ShimEffect
    stage: ShimStage
    recorded_by: str
    recorded_on: date
    shims: tuple[Shim, ...]
    position_id: str | None = None
    job_id: str | None = None
    note: str | None = None
    shim_place_id: str | None = None
