"""What an assembly is made of, and what may be done with each part of it."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.evidence import Caution, CautionKind
from shared.quantities import Quantity


class MakerSupply(StrEnum):
    """Whether the maker sells what sits in a position."""

    SOLD = "sold"
    WHOLE_ONLY = "whole-only"
    DISCONTINUED = "discontinued"


class Ruling(StrEnum):
    """The shop's ruling: how far a position may be taken apart."""

    SERVICEABLE = "serviceable"
    INSPECT_ONLY = "inspect-only"
    REPLACE_AS_ASSEMBLY = "replace-as-assembly"


class RenewalRule(StrEnum):
    """When a position is renewed."""

    ALWAYS = "always"
    ON_CONDITION = "on-condition"
    SELECT_FIT = "select-fit"


class OperationKind(StrEnum):
    """What a labour operation does."""

    OPEN = "open"
    CLOSE = "close"
    RENEW = "renew"
    REFIT = "refit"
    HARVEST = "harvest"
    PROVE = "prove"
    INSPECT = "inspect"


class HoursBasis(StrEnum):
    """Where the hours of a labour operation come from."""

    MAKER_TIME = "maker-time"
    SHOP_RECORD = "shop-record"
    ESTIMATE = "estimate"


class SetKind(StrEnum):
    """Why positions belong together."""

    MATCHED = "matched"
    RENEWED_TOGETHER = "renewed-together"


class Grade(StrEnum):
    """An attribute graded in words, least first."""

    NONE = "none"
    LIGHT = "light"
    MODERATE = "moderate"
    HEAVY = "heavy"


class ReadingsCount(StrEnum):
    """Which of several readings of one size is the size that is judged."""

    GREATEST = "greatest"
    LEAST = "least"
    MEAN = "mean"


class DerivationKind(StrEnum):
    """How a measure follows from others.

    ``sum``: of the terms, each times its factor, plus the offset. The other three from the
    readings of one characteristic: ``out-of-round``, greatest less least reading of one plane, the
    plane with the most; ``out-of-round-overall``, greatest reading in one direction less the least
    in another, whatever the plane; ``taper``, greatest less least of the planes' greatest readings.
    """

    SUM = "sum"
    OUT_OF_ROUND = "out-of-round"
    OUT_OF_ROUND_OVERALL = "out-of-round-overall"
    TAPER = "taper"


class ServiceLimitKind(StrEnum):
    """What the maker's limit for a used part means."""

    SERVICE = "service"
    DISCARD = "discard"


class RollingKind(StrEnum):
    """What rolls in a bearing."""

    BALL = "ball"
    ROLLER = "roller"


class InspectionMethod(StrEnum):
    """How something was looked at or measured."""

    GAUGE = "gauge"
    BY_EYE = "by-eye"
    PENETRANT = "penetrant"
    MAGNETIC = "magnetic"
    PRESSURE_TEST = "pressure-test"


@dataclass(frozen=True, slots=True)
class Assembly:
    """A design: maker, model, range of serial numbers."""

    id: str
    maker: str
    model: str
    kind: str
    serial_from: str | None = None
    serial_to: str | None = None
    part_id: str | None = None
    """The part under which the whole assembly is sold, if any."""
    notes: str | None = None
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True)
class Serviceability:
    """A ruling with what it stands on."""

    ruling: Ruling
    reason: str | None = None
    evidence: str | None = None


@dataclass(frozen=True, slots=True)
class ServiceabilityRuling:
    """One ruling on a position as it is kept: never changed, only followed by a newer one.

    ``serial_from`` and ``serial_to`` limit it to units of that range; without, it holds for all.
    """

    id: str
    position_id: str
    ruling: Ruling
    reason: str | None = None
    evidence: str | None = None
    serial_from: str | None = None
    serial_to: str | None = None
    ruled_by: str | None = None


@dataclass(frozen=True, slots=True)
class BearingDuty:
    """What a rolling bearing carries, where that is known: for its rating life by ISO 281.

    ``equivalent_load`` is P = X Fr + Y Fa; ``basis`` says where load and speed come from.
    """

    rolling: RollingKind
    dynamic_rating: Quantity
    equivalent_load: Quantity
    speed: Quantity
    basis: str


@dataclass(frozen=True, slots=True)
class Position:
    """A line of the assembly's parts list; ``parent_id`` None means directly in the assembly."""

    id: str
    assembly_id: str
    name: str
    parent_id: str | None = None
    reference: str | None = None
    quantity: int = 1
    part_id: str | None = None
    maker_supply: MakerSupply = MakerSupply.SOLD
    maker_supply_source: str | None = None
    serviceability: Serviceability = Serviceability(Ruling.SERVICEABLE)
    renewal_rule: RenewalRule = RenewalRule.ON_CONDITION
    access_group_id: str | None = None
    is_safety_critical: bool = False
    is_variant_bound: bool = False
    """Depends on the unit's variant (ratio, hand, generation): no donor of another gives it."""
    cautions: tuple[Caution, ...] = ()
    duty: BearingDuty | None = None


@dataclass(frozen=True, slots=True)
class AccessGroup:
    """What one opening gives reach to; an inner group needs its outer one open."""

    id: str
    assembly_id: str
    name: str
    outer_group_id: str | None = None


@dataclass(frozen=True, slots=True)
class PositionSet:
    """Positions that come from one unit together, or are renewed in the same job."""

    id: str
    assembly_id: str
    kind: SetKind
    name: str
    position_ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LabourOperation:
    """A piece of work: at a group (open, close), a position (renew, refit, harvest) or the whole.

    Hours at a position are for all its pieces together. ``renew`` without a position is the fitting
    of a whole unit; ``prove`` is the test at the end; ``inspect`` settles a position's verdict.
    """

    id: str
    assembly_id: str
    kind: OperationKind
    name: str
    p50_hours: Decimal
    p90_hours: Decimal
    basis: HoursBasis
    position_id: str | None = None
    access_group_id: str | None = None


@dataclass(frozen=True, slots=True)
class DerivationTerm:
    """A characteristic that a derived measure is made of, and what it is multiplied by."""

    characteristic_id: str
    factor: Decimal = Decimal(1)
    piece: int | None = None
    """Of which piece, where its position holds several."""


@dataclass(frozen=True, slots=True)
class Derivation:
    """How a measure follows from others: a clearance from bore and journal, taper from readings."""

    kind: DerivationKind
    terms: tuple[DerivationTerm, ...] = ()
    offset: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Characteristic:
    """What a position is inspected for.

    A dimension has limits when new and in service; an attribute has the worst acceptable grade and
    the method that settles it. ``is_crack`` makes any grade but none nonconforming. ``unit``: what
    it is measured in where no limit is known. ``gauge_kind`` and ``how``: with what, and how, it is
    measured. ``counted_by``: which of several readings counts; None: each extreme is judged.
    """

    id: str
    position_id: str
    name: str
    new_lower: Quantity | None = None
    new_upper: Quantity | None = None
    service_lower: Quantity | None = None
    service_upper: Quantity | None = None
    worst_acceptable_grade: Grade | None = None
    settling_method: InspectionMethod | None = None
    is_crack: bool = False
    limits_source: str | None = None
    unit: str | None = None
    gauge_kind: str | None = None
    how: str | None = None
    counted_by: ReadingsCount | None = None
    minimum_readings: int = 1
    service_limit_is: ServiceLimitKind | None = None
    derivation: Derivation | None = None


@dataclass(frozen=True, slots=True)
class CautionNote:
    """A caution recorded by itself: travels with every answer that what it is about bears on.

    It is about exactly one thing. ``source`` tells where it comes from.
    """

    id: str
    kind: CautionKind
    text: str
    source: str
    assembly_id: str | None = None
    position_id: str | None = None
    labour_operation_id: str | None = None
    part_id: str | None = None
    special_tool_id: str | None = None
