"""Assemblies and what hangs on them: positions, rulings, groups, sets, operations.

The members are the fields of ``shared/assemblies/model.py``.
"""

from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    Count,
    Flag,
    HoursText,
    IdText,
    LongText,
    QuantityIn,
    ShortText,
    checked,
    refuse,
    to_domain,
)
from api.schemas.records import (
    RecordHead,
    SnapshotId,
    check_distinct,
    check_p90_not_below_p50,
    check_serial_range,
)
from shared.assemblies.duty import check_duty
from shared.assemblies.model import (
    BearingDuty,
    HoursBasis,
    MakerSupply,
    OperationKind,
    RenewalRule,
    RollingKind,
    Ruling,
    SetKind,
)
from shared.evidence import CautionKind


class CautionFields(Body):
    """A warning that travels with every answer it bears on."""

    kind: CautionKind = Field(
        description="What it protects: people, the parts, or the shop's standing in law.",
        examples=["hazard"],
    )
    text: LongText = Field(
        description="The warning, in a sentence.",
        examples=["Relieve the spring pack before the cover comes off."],
    )


Cautions = tuple[CautionFields, ...]
_MOST_IN_SNAPSHOT = 5000
"""Cautions that a snapshot carries: the record's own, and those recorded by themselves."""


class AssemblyCreate(Body):
    """A design: maker, model, range of serial numbers."""

    maker: ShortText = Field(description="Who makes it.", examples=["Oakhollow Drives"])
    model: ShortText = Field(description="The maker's name of the design.", examples=["LF-2"])
    kind: ShortText = Field(description="What it is.", examples=["two-speed reduction drive"])
    serial_from: ShortText | None = Field(
        default=None, description="First serial number of the design.", examples=["10001"]
    )
    serial_to: ShortText | None = Field(
        default=None, description="Last serial number of the design.", examples=["14999"]
    )
    part_id: IdText | None = Field(
        default=None,
        description="The part under which the whole assembly is sold, if any.",
        examples=["prt_7kq"],
    )
    notes: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Oil: 0.9 L."]
    )
    cautions: Cautions = Field(
        default=(), max_length=50, description="Warnings for the whole assembly."
    )

    @model_validator(mode="after")
    def _serials_in_order(self) -> Self:
        check_serial_range(self.serial_from, self.serial_to)
        return self


class AssemblyRead(RecordHead, AssemblyCreate):
    """An assembly as stored."""


class AssemblyInSnapshot(SnapshotId, AssemblyCreate):
    """An assembly inside a snapshot."""

    cautions: Cautions = Field(
        default=(), max_length=_MOST_IN_SNAPSHOT, description="Warnings for the whole assembly."
    )


def check_ruling(ruling: Ruling, reason: str | None) -> None:
    """Refuse a ruling that forbids work and does not say why."""
    if ruling is not Ruling.SERVICEABLE and reason is None:
        refuse(
            "reason-missing",
            f"The ruling {ruling} has no reason.",
            "Say why: matched and set with a rig, stored energy, factory-sealed ...",
            "/reason",
        )


class ServiceabilityFields(Body):
    """How far a position may be taken apart, and what the ruling stands on."""

    ruling: Ruling = Field(description="The ruling.", examples=["serviceable"])
    reason: LongText | None = Field(
        default=None,
        description="Why; needed unless the ruling is serviceable.",
        examples=["Gear pair lapped and set together."],
    )
    evidence: LongText | None = Field(
        default=None,
        description="What the ruling stands on; needed where the maker sells the position whole.",
        examples=["Bearing seats measured: standard sizes."],
    )

    @model_validator(mode="after")
    def _reason_where_it_forbids(self) -> Self:
        check_ruling(self.ruling, self.reason)
        return self


class BearingDutyFields(Body):
    """Load and speed of a rolling bearing, for its rating life by ISO 281."""

    rolling: RollingKind = Field(description="What rolls in it.", examples=["ball"])
    dynamic_rating: QuantityIn = Field(
        description="Basic dynamic load rating C of the bearing called for.",
        examples=[{"value": "14.0", "unit": "kN"}],
    )
    equivalent_load: QuantityIn = Field(
        description="Equivalent dynamic load P = X Fr + Y Fa.",
        examples=[{"value": "1.2", "unit": "kN"}],
    )
    speed: QuantityIn = Field(
        description="Speed of rotation.", examples=[{"value": "1450", "unit": "1/min"}]
    )
    basis: LongText = Field(
        description="Where load and speed come from.",
        examples=["Power and ratio of the name plate, gear forces worked out"],
    )

    @model_validator(mode="after")
    def _forces_and_a_speed(self) -> Self:
        checked(lambda: check_duty(to_domain(self, BearingDuty)))
        return self


class PositionCreate(Body):
    """A line of an assembly's parts list: what sits there, how many, below which parent."""

    assembly_id: IdText = Field(description="The assembly it belongs to.", examples=["asm_7kq"])
    name: ShortText = Field(description="What sits here.", examples=["Input bearing"])
    parent_id: IdText | None = Field(
        default=None,
        description="The position it is part of; none means directly in the assembly.",
        examples=["pos_2f8"],
    )
    reference: ShortText | None = Field(
        default=None, description="Its number in the maker's drawing.", examples=["17"]
    )
    quantity: Count = Field(default=1, description="How many pieces sit here.", examples=[1])
    part_id: IdText | None = Field(
        default=None, description="The part called for.", examples=["prt_1c3"]
    )
    maker_supply: MakerSupply = Field(
        default=MakerSupply.SOLD, description="Whether the maker sells it.", examples=["whole-only"]
    )
    maker_supply_source: LongText | None = Field(
        default=None,
        description="Where that is known from.",
        examples=["Parts book, plate 4, edition of 2028"],
    )
    serviceability: ServiceabilityFields = Field(
        default_factory=lambda: ServiceabilityFields(ruling=Ruling.SERVICEABLE),
        description="The ruling and what it stands on.",
    )
    renewal_rule: RenewalRule = Field(
        default=RenewalRule.ON_CONDITION,
        description="When it is renewed.",
        examples=["always"],
    )
    access_group_id: IdText | None = Field(
        default=None, description="The opening that gives reach to it.", examples=["acg_9a2"]
    )
    is_safety_critical: Flag = Field(
        default=False, description="Whether a life hangs on it.", examples=[False]
    )
    is_variant_bound: Flag = Field(
        default=False,
        description="Whether it depends on the unit's variant (ratio, hand, generation).",
        examples=[False],
    )
    cautions: Cautions = Field(default=(), max_length=50, description="Warnings for the position.")
    duty: BearingDutyFields | None = Field(
        default=None, description="What a rolling bearing carries here, where that is known."
    )

    @model_validator(mode="after")
    def _evidence_where_the_maker_sells_it_whole(self) -> Self:
        ruling = self.serviceability
        if (
            self.maker_supply is MakerSupply.WHOLE_ONLY
            and ruling.ruling is Ruling.SERVICEABLE
            and ruling.evidence is None
        ):
            refuse(
                "evidence-missing",
                "The maker sells this position whole, it is ruled serviceable, without evidence.",
                "State the evidence (standard sizes measured, done before ...), or rule otherwise.",
                "/serviceability/evidence",
            )
        return self


class PositionRead(RecordHead, PositionCreate):
    """A position as stored."""


class PositionInSnapshot(SnapshotId, PositionCreate):
    """A position inside a snapshot."""

    cautions: Cautions = Field(
        default=(), max_length=_MOST_IN_SNAPSHOT, description="Warnings for the position."
    )


class ServiceabilityRulingCreate(Body):
    """A new ruling for a position; the ones before it are kept."""

    position_id: IdText = Field(description="The position ruled on.", examples=["pos_4hd"])
    ruling: Ruling = Field(description="The ruling.", examples=["inspect-only"])
    reason: LongText | None = Field(
        default=None,
        description="Why; needed unless the ruling is serviceable.",
        examples=["Preload is set with a rig we do not have."],
    )
    evidence: LongText | None = Field(
        default=None,
        description="What the ruling stands on.",
        examples=["Job 118: seats measured, standard sizes."],
    )
    serial_from: ShortText | None = Field(
        default=None, description="First serial number it holds for.", examples=["10001"]
    )
    serial_to: ShortText | None = Field(
        default=None, description="Last serial number it holds for.", examples=["14999"]
    )
    ruled_by: ShortText | None = Field(
        default=None, description="Who rules.", examples=["the foreman"]
    )

    @model_validator(mode="after")
    def _reason_and_range(self) -> Self:
        check_ruling(self.ruling, self.reason)
        check_serial_range(self.serial_from, self.serial_to)
        return self


class ServiceabilityRulingRead(RecordHead, ServiceabilityRulingCreate):
    """A ruling as stored."""


class AccessGroupCreate(Body):
    """What one opening gives reach to; its labour is paid once."""

    assembly_id: IdText = Field(description="The assembly it belongs to.", examples=["asm_7kq"])
    name: ShortText = Field(description="What is opened.", examples=["Case halves parted"])
    outer_group_id: IdText | None = Field(
        default=None,
        description="The group that must be open before this one.",
        examples=["acg_1aa"],
    )


class AccessGroupRead(RecordHead, AccessGroupCreate):
    """An access group as stored."""


class AccessGroupInSnapshot(SnapshotId, AccessGroupCreate):
    """An access group inside a snapshot."""


class PositionSetCreate(Body):
    """Positions that come from one unit together, or are renewed in the same job."""

    assembly_id: IdText = Field(description="The assembly it belongs to.", examples=["asm_7kq"])
    kind: SetKind = Field(description="Why they belong together.", examples=["matched"])
    name: ShortText = Field(description="What the set is.", examples=["Gear pair"])
    position_ids: tuple[IdText, ...] = Field(
        min_length=2,
        max_length=100,
        description="The positions of the set.",
        examples=[["pos_2f8", "pos_1c3"]],
    )

    @model_validator(mode="after")
    def _each_position_once(self) -> Self:
        check_distinct(self.position_ids, "/position_ids", "position")
        return self


class PositionSetRead(RecordHead, PositionSetCreate):
    """A set of positions as stored."""


class PositionSetInSnapshot(SnapshotId, PositionSetCreate):
    """A set of positions inside a snapshot."""


_NEEDS_GROUP = (OperationKind.OPEN, OperationKind.CLOSE)
_NEEDS_POSITION = (OperationKind.REFIT, OperationKind.HARVEST, OperationKind.INSPECT)


class LabourOperationCreate(Body):
    """A piece of work: at a group (open, close), a position (renew, inspect), or the whole."""

    assembly_id: IdText = Field(description="The assembly it belongs to.", examples=["asm_7kq"])
    kind: OperationKind = Field(description="What it does.", examples=["renew"])
    name: ShortText = Field(description="The work in words.", examples=["Renew input bearing"])
    p50_hours: HoursText = Field(
        description="Hours that five jobs in ten need at most, for all pieces of a position.",
        examples=["0.6"],
    )
    p90_hours: HoursText = Field(
        description="Hours that nine jobs in ten need at most.", examples=["0.9"]
    )
    basis: HoursBasis = Field(description="Where the hours come from.", examples=["shop-record"])
    position_id: IdText | None = Field(
        default=None, description="The position worked on.", examples=["pos_4hd"]
    )
    access_group_id: IdText | None = Field(
        default=None, description="The group opened or closed.", examples=["acg_9a2"]
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        check_p90_not_below_p50(self.p50_hours, self.p90_hours, "p50_hours", "p90_hours")
        if self.kind in _NEEDS_GROUP and self.access_group_id is None:
            refuse(
                "target-missing",
                f"An operation of kind {self.kind} names no access group.",
                "Give access_group_id.",
                "/access_group_id",
            )
        if self.kind in _NEEDS_POSITION and self.position_id is None:
            refuse(
                "target-missing",
                f"An operation of kind {self.kind} names no position.",
                "Give position_id.",
                "/position_id",
            )
        return self


class LabourOperationRead(RecordHead, LabourOperationCreate):
    """A labour operation as stored."""


class LabourOperationInSnapshot(SnapshotId, LabourOperationCreate):
    """A labour operation inside a snapshot."""


class CautionNoteCreate(CautionFields):
    """A warning about one thing, told with every answer that it bears on."""

    source: LongText = Field(
        description="Where it comes from.", examples=["Maker's book, chapter 3"]
    )
    assembly_id: IdText | None = Field(
        default=None, description="The assembly it is about.", examples=["asm_7kq"]
    )
    position_id: IdText | None = Field(
        default=None, description="The position it is about.", examples=["pos_4hd"]
    )
    labour_operation_id: IdText | None = Field(
        default=None, description="The labour operation it is about.", examples=["opr_2f8"]
    )
    part_id: IdText | None = Field(
        default=None,
        description="The part it is about; told wherever that part is called for.",
        examples=["prt_1c3"],
    )
    special_tool_id: IdText | None = Field(
        default=None, description="The special tool it is about.", examples=["stl_9a2"]
    )


class CautionNoteRead(RecordHead, CautionNoteCreate):
    """A caution as stored."""
