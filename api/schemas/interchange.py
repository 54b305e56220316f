"""Parts, kits, claims, supersessions; the members are those of ``shared/interchange/model.py``."""

from decimal import Decimal
from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    Count,
    Flag,
    HoursText,
    IdText,
    LongText,
    MoneyIn,
    ShortText,
    refuse,
)
from api.schemas.records import (
    RecordHead,
    SnapshotId,
    check_distinct,
    check_p90_not_below_p50,
    check_serial_range,
)
from shared.evidence import EvidenceKind


class KitLineFields(Body):
    """One line of what a kit holds."""

    part_id: IdText = Field(description="The part in the kit.", examples=["prt_2f8"])
    quantity: Count = Field(default=1, description="How many of it.", examples=[2])


class PartCreate(Body):
    """An item with its maker's number; a kit is a part that holds others."""

    maker: ShortText = Field(description="Who makes it.", examples=["Oakhollow Drives"])
    number: ShortText = Field(description="The maker's number.", examples=["OH-4417"])
    name: ShortText = Field(description="What it is.", examples=["Input bearing"])
    kind: ShortText = Field(
        description="The shop's word for pricing and experience.", examples=["ball-bearing"]
    )
    generic_designation: ShortText | None = Field(
        default=None,
        description="Its name by a standard, as full as it can be: a part of equal designation may"
        " be planned in its place only where the name tells what matters (a screw's head, length"
        " and class, a seal's material).",
        examples=["6204-2RS"],
    )
    kit_lines: tuple[KitLineFields, ...] = Field(
        default=(), max_length=200, description="What the kit holds; empty for a single part."
    )

    @model_validator(mode="after")
    def _each_part_once(self) -> Self:
        check_distinct(tuple(line.part_id for line in self.kit_lines), "/kit_lines", "part")
        return self

    @model_validator(mode="after")
    def _kit_holds_something(self) -> Self:
        if self.is_kit_of_nothing:
            refuse_kit_of_nothing("/kit_lines")
        return self

    @property
    def is_kit_of_nothing(self) -> bool:
        """Whether it is called a kit and holds nothing."""
        return self.kind.strip().casefold() == "kit" and not self.kit_lines


def refuse_kit_of_nothing(at: str) -> None:
    """Refuse a part that is called a kit and would fill no position."""
    refuse(
        "kit-empty",
        "The part is a kit, and holds nothing.",
        "Give kit_lines: what it holds; or another kind, if it is a single part.",
        at,
    )


class PartRead(RecordHead, PartCreate):
    """A part as stored."""


class PartInSnapshot(SnapshotId, PartCreate):
    """A part inside a snapshot; what a kit inside a kit holds is not told in one."""

    @model_validator(mode="after")
    def _kit_holds_something(self) -> Self:
        return self

    @model_validator(mode="after")
    def _not_in_itself(self) -> Self:
        for index, line in enumerate(self.kit_lines):
            if line.part_id == self.id:
                refuse(
                    "cycle",
                    f"The kit {self.id} holds itself.",
                    "Take this line out of the kit.",
                    f"/kit_lines/{index}/part_id",
                )
        return self


class InterchangeClaimCreate(Body):
    """One part may be fitted where another is called for: one direction only."""

    part_id: IdText = Field(description="The part called for.", examples=["prt_7kq"])
    stand_in_part_id: IdText = Field(
        description="The part that may stand in.", examples=["prt_1c3"]
    )
    evidence_kind: EvidenceKind = Field(
        description="Where the claim comes from.", examples=["fitted-and-run"]
    )
    evidence: LongText = Field(
        description="What it stands on, in words.", examples=["Fitted in job 118, 400 h so far."]
    )
    assembly_id: IdText | None = Field(
        default=None, description="Holds in this assembly only.", examples=["asm_7kq"]
    )
    position_id: IdText | None = Field(
        default=None, description="Holds at this position only.", examples=["pos_4hd"]
    )
    serial_from: ShortText | None = Field(
        default=None, description="Holds from this serial number on.", examples=["10001"]
    )
    serial_to: ShortText | None = Field(
        default=None, description="Holds up to this serial number.", examples=["14999"]
    )
    rework_note: LongText | None = Field(
        default=None, description="What it takes to fit.", examples=["Relieve the bore by 1 mm."]
    )
    rework_p50_hours: HoursText = Field(
        default=Decimal(0), description="Hours of rework, five in ten.", examples=["0.5"]
    )
    rework_p90_hours: HoursText = Field(
        default=Decimal(0), description="Hours of rework, nine in ten.", examples=["0.8"]
    )
    rework_cost: MoneyIn | None = Field(
        default=None,
        description="What the rework costs besides labour.",
        examples=[{"amount": "12.00", "currency": "EUR"}],
    )

    @model_validator(mode="after")
    def _two_parts_and_ranges(self) -> Self:
        if self.part_id == self.stand_in_part_id:
            refuse(
                "same-part",
                f"The part {self.part_id} is claimed to stand in for itself.",
                "Name two different parts.",
                "/stand_in_part_id",
            )
        check_p90_not_below_p50(
            self.rework_p50_hours, self.rework_p90_hours, "rework_p50_hours", "rework_p90_hours"
        )
        check_serial_range(self.serial_from, self.serial_to)
        return self


class InterchangeClaimRead(RecordHead, InterchangeClaimCreate):
    """An interchange claim as stored."""


class InterchangeClaimInSnapshot(SnapshotId, InterchangeClaimCreate):
    """An interchange claim inside a snapshot."""


class PartLineFields(Body):
    """A part, and how many of it, for one of the earlier part."""

    part_id: IdText = Field(description="The part.", examples=["prt_2f8"])
    quantity: Count = Field(default=1, description="How many of it.", examples=[1])


class SupersessionCreate(Body):
    """The maker's later numbers for an earlier one, or that there is none."""

    earlier_part_id: IdText = Field(description="The part superseded.", examples=["prt_7kq"])
    evidence_kind: EvidenceKind = Field(
        description="Where that is known from.", examples=["maker-bulletin"]
    )
    evidence: LongText = Field(
        description="What it stands on, in words.", examples=["Maker's bulletin 12 of 2029."]
    )
    later_lines: tuple[PartLineFields, ...] = Field(
        default=(),
        max_length=200,
        description="What takes the place of one of the earlier part; empty: nothing, it ends.",
        examples=[[{"part_id": "prt_1c3", "quantity": 1}]],
    )
    companion_lines: tuple[PartLineFields, ...] = Field(
        default=(),
        max_length=200,
        description="What must be changed along with it.",
        examples=[[{"part_id": "prt_2f8", "quantity": 2}]],
    )
    assembly_id: IdText | None = Field(
        default=None, description="Holds in this assembly only.", examples=["asm_7kq"]
    )
    serial_from: ShortText | None = Field(
        default=None, description="Holds from this serial number on.", examples=["12500"]
    )
    serial_to: ShortText | None = Field(
        default=None, description="Holds up to this serial number.", examples=["14999"]
    )
    effective_on: CalendarDate | None = Field(
        default=None, description="The day from which it holds.", examples=["2029-04-01"]
    )
    may_go_back: Flag = Field(
        default=False,
        description="Whether the earlier part may serve where the later is called for.",
        examples=[False],
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Stronger cage."]
    )

    @model_validator(mode="after")
    def _serials_in_order(self) -> Self:
        check_serial_range(self.serial_from, self.serial_to)
        return self


class SupersessionRead(RecordHead, SupersessionCreate):
    """A supersession as stored."""
