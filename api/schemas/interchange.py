"""Claims and supersessions; the members are those of ``shared/interchange/model.py``."""

from decimal import Decimal
from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    Flag,
    HoursText,
    IdText,
    LongText,
    MoneyIn,
    PiecesForOne,
    PositiveDecimalText,
    ShortText,
    WholeNumber,
    refuse,
)
from api.schemas.records import (
    RecordHead,
    SnapshotId,
    check_day_order,
    check_distinct,
    check_p90_not_below_p50,
    check_serial_range,
)
from shared.assemblies.traits import Hand
from shared.evidence import EvidenceKind
from shared.interchange.model import ClaimSays, DutyAspect, Sameness

_SAMENESS = "Whether the stand-in's {} is that of the part called for: same, differs, not-told."


class PartLineFields(Body):
    """A part, and how many of it, for one of the part that is spoken of."""

    part_id: IdText = Field(description="The part.", examples=["prt_2f8"])
    quantity: PiecesForOne = Field(default=1, description="How many of it.", examples=[1])


class DutyDifferenceFields(Body):
    """One difference between a stand-in and the part called for, and what comes of it."""

    aspect: DutyAspect = Field(
        description="In what it may not do the same duty.", examples=["clearance"]
    )
    difference: LongText = Field(
        description="What differs.", examples=["Greater clearance inside (C3)."]
    )
    effect: LongText = Field(
        description="What comes of it.", examples=["Runs a little louder while it is cold."]
    )


class _Bounded(Body):
    """For which units a record speaks; nothing given: for all."""

    assembly_id: IdText | None = Field(
        default=None, description="Holds in this assembly only.", examples=["asm_7kq"]
    )
    serial_from: ShortText | None = Field(
        default=None,
        description="Holds from this serial number on. Letters around the number are the series:"
        " numbers of another series are not compared.",
        examples=["10001"],
    )
    serial_to: ShortText | None = Field(
        default=None, description="Holds up to this serial number.", examples=["14999"]
    )
    built_from_on: CalendarDate | None = Field(
        default=None,
        description="Holds for units built on this day or later.",
        examples=["2027-01-01"],
    )
    built_to_on: CalendarDate | None = Field(
        default=None,
        description="Holds for units built up to this day.",
        examples=["2029-12-31"],
    )

    @model_validator(mode="after")
    def _ranges_in_order(self) -> Self:
        check_serial_range(self.serial_from, self.serial_to)
        check_day_order(self.built_from_on, self.built_to_on, "built_from_on", "built_to_on")
        return self


class InterchangeClaimCreate(_Bounded):
    """One part may be fitted where another is called for, or may not: one direction only."""

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
    says: ClaimSays = Field(
        default=ClaimSays.FITS,
        description="fits, or does-not-fit: then it is never offered where this holds.",
        examples=["fits"],
    )
    stated_on: CalendarDate | None = Field(
        default=None,
        description="The day of the evidence; asked for an earlier day, the claim does not hold.",
        examples=["2030-11-02"],
    )
    position_id: IdText | None = Field(
        default=None, description="Holds at this position only.", examples=["pos_4hd"]
    )
    hand: Hand | None = Field(
        default=None, description="Holds for units of this hand only.", examples=["left"]
    )
    ratio: PositiveDecimalText | None = Field(
        default=None,
        description="Holds for units of this ratio only: input turns to one output turn.",
        examples=["3.73"],
    )
    generation: ShortText | None = Field(
        default=None,
        description="Holds for units of this generation only, in the maker's words.",
        examples=["second"],
    )
    part_quantity: PiecesForOne = Field(
        default=1,
        description="So many of the part called for are replaced by stand_in_quantity.",
        examples=[1],
    )
    stand_in_quantity: PiecesForOne = Field(
        default=1, description="So many of the stand-in take their place.", examples=[1]
    )
    companion_lines: tuple[PartLineFields, ...] = Field(
        default=(),
        max_length=200,
        description="What goes in along with one of the stand-in.",
        examples=[[{"part_id": "prt_2f8", "quantity": 2}]],
    )
    rework_note: LongText | None = Field(
        default=None,
        description="What it takes to fit one of the stand-in.",
        examples=["Relieve the bore by 1 mm."],
    )
    rework_p50_hours: HoursText = Field(
        default=Decimal(0),
        description="Hours of rework for one of the stand-in, five in ten.",
        examples=["0.5"],
    )
    rework_p90_hours: HoursText = Field(
        default=Decimal(0), description="The same, nine in ten.", examples=["0.8"]
    )
    rework_cost: MoneyIn | None = Field(
        default=None,
        description="What the rework of one of the stand-in costs besides labour.",
        examples=[{"amount": "12.00", "currency": "EUR"}],
    )
    to_check: tuple[LongText, ...] = Field(
        default=(),
        max_length=20,
        description="What is looked at before it is fitted.",
        examples=[["Length of the keyway."]],
    )
    form: Sameness = Field(
        default=Sameness.NOT_TOLD, description=_SAMENESS.format("form"), examples=["same"]
    )
    fit: Sameness = Field(
        default=Sameness.NOT_TOLD, description=_SAMENESS.format("fit"), examples=["same"]
    )
    function: Sameness = Field(
        default=Sameness.NOT_TOLD, description=_SAMENESS.format("function"), examples=["not-told"]
    )
    differences: tuple[DutyDifferenceFields, ...] = Field(
        default=(), max_length=200, description="In what its duty differs, and what comes of it."
    )

    @model_validator(mode="after")
    def _two_parts(self) -> Self:
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
        check_distinct(self.to_check, "/to_check", "check")
        return self

    @model_validator(mode="after")
    def _companions_are_others(self) -> Self:
        _check_lines(self.companion_lines, "/companion_lines")
        for index, line in enumerate(self.companion_lines):
            if line.part_id in (self.part_id, self.stand_in_part_id):
                refuse(
                    "same-part",
                    f"The part {line.part_id} is one of the two that the claim is about.",
                    "Leave it out; how many of them are needed is said by stand_in_quantity.",
                    f"/companion_lines/{index}/part_id",
                )
        return self

    @model_validator(mode="after")
    def _no_has_no_work(self) -> Self:
        if self.says is ClaimSays.FITS:
            return self
        for name, nothing in (
            ("companion_lines", ()),
            ("rework_note", None),
            ("rework_p50_hours", Decimal(0)),
            ("rework_p90_hours", Decimal(0)),
            ("rework_cost", None),
        ):
            if getattr(self, name) != nothing:
                refuse(
                    "claim-says-no",
                    f"The claim says does-not-fit, and has {name}.",
                    f"Leave {name} out; if it fits with this, the claim says fits.",
                    f"/{name}",
                )
        return self


class InterchangeClaimRead(RecordHead, InterchangeClaimCreate):
    """An interchange claim as stored."""


class InterchangeClaimInSnapshot(SnapshotId, InterchangeClaimCreate):
    """An interchange claim inside a snapshot."""


class SupersessionCreate(_Bounded):
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
        description="What must be changed along with one of the earlier part.",
        examples=[[{"part_id": "prt_2f8", "quantity": 2}]],
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


class SupersessionRead(RecordHead, SupersessionCreate):
    """A supersession as stored."""


class SupersessionInSnapshot(SnapshotId, SupersessionCreate):
    """A supersession inside a snapshot."""


class FitmentCountFields(Body):
    """How the fitments that tried one claim turned out, as this shop has recorded them."""

    claim_id: IdText = Field(description="The claim tried.", examples=["clm-bearing"])
    served: WholeNumber = Field(
        default=0, description="Ran out the warranty, or failed after it.", examples=[3]
    )
    against: WholeNumber = Field(
        default=0, description="Did not fit, or failed within the warranty.", examples=[1]
    )
    running: WholeNumber = Field(
        default=0, description="Fitted and not settled yet; they do not count.", examples=[2]
    )


def _check_lines(lines: tuple[PartLineFields, ...], at: str) -> None:
    check_distinct(tuple(line.part_id for line in lines), at, "part")
