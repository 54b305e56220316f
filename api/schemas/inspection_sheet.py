"""The inspection sheet of a unit: the question in the address, and the sheet."""

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from api.schemas.base import (
    LARGEST_INTEGER,
    Answer,
    CalendarDate,
    DecimalOut,
    Flag,
    IdText,
    QuantityOut,
    UtcDateTime,
)
from api.schemas.candidates import CautionOut
from api.schemas.places import MomentQuery
from shared.assemblies.model import (
    Grade,
    InspectionMethod,
    ReadingsCount,
    Ruling,
    ServiceLimitKind,
)
from shared.condition.model import ConformityRule, ShimEffect, Verdict, Zone
from shared.condition.sheet.model import CalibrationState, Fineness, MissingKind, Treatment

_LONG = 4_000
_MOST = 10_000


def _bare(value: Any) -> Any:
    """Leave away what is not said of a limit or a gauge: a doubt of its own."""
    if isinstance(value, dict):
        return {"value": value["value"], "unit": value["unit"]}
    return value


BareQuantity = Annotated[QuantityOut, BeforeValidator(_bare)]


class InspectionSheetQuery(MomentQuery):
    """For which job a sheet is asked, and for which day."""

    job_id: IdText | None = Field(
        default=None,
        description="The job on the unit: what it left open costs no opening again.",
        examples=["job_5tz"],
    )


class ToolCalledForOut(Answer):
    """A special tool that is called for."""

    id: IdText = Field(description="The special tool.", examples=["stl_9a2"])
    name: str = Field(description="Its name.", examples=["Cover puller"], max_length=200)
    number: str | None = Field(
        description="The maker's number of it.", examples=["T-118"], max_length=200
    )
    position_id: IdText | None = Field(description="The position it is for.", examples=["pos_4hd"])
    labour_operation_ids: tuple[IdText, ...] = Field(
        description="The operations that call for it.", examples=[["opr_2f8"]], max_length=_MOST
    )


class OwnGaugeOut(Answer):
    """One of the shop's gauges."""

    gauge_id: IdText = Field(description="The gauge.", examples=["gge_3m1"])
    name: str = Field(
        description="What the shop calls it.", examples=["Bore gauge 35-60, No. 2"], max_length=200
    )
    standard_uncertainty: BareQuantity | None = Field(
        description="Of one reading with it; the usual one where none is on record, null where"
        " neither is.",
        examples=[{"value": "0.004", "unit": "mm"}],
    )
    fineness: Fineness = Field(
        description="Whether any reading with it can show conformity.", examples=["fine-enough"]
    )
    calibration: CalibrationState = Field(
        description="Whether its calibration holds on the day; not-told: it has no term; unknown:"
        " it has one, and no day of calibration is on record.",
        examples=["holds"],
    )
    runs_out_on: CalendarDate | None = Field(
        description="The last day of its calibration.", examples=["2031-07-12"]
    )


class GaugeChoiceOut(Answer):
    """A kind of gauge for one measure."""

    kind: str = Field(description="Its word.", examples=["bore-gauge"], max_length=200)
    name: str = Field(
        description="The same in words.",
        examples=["a dial bore gauge set to a micrometer"],
        max_length=200,
    )
    is_called_for: Flag = Field(
        description="Whether the design names it. Where not, whether it reaches the place nobody"
        " has said.",
        examples=[True],
    )
    usual_uncertainty: BareQuantity | None = Field(
        description="Usual standard uncertainty of one reading.",
        examples=[{"value": "0.005000", "unit": "mm"}],
    )
    basis: str | None = Field(
        description="Where that is from.", examples=["common practice, no source"], max_length=_LONG
    )
    fineness: Fineness = Field(
        description="fine-enough: some reading shows conformity at the usual uncertainty, by the"
        " guard band of ISO 14253-1 whatever the shop's rule; too-coarse: none does;"
        " out-of-reach: it does not read such sizes;"
        " cannot-be-told: no limit or no uncertainty is known.",
        examples=["fine-enough"],
    )
    shows_conformity_from: BareQuantity | None = Field(
        description="Least reading that shows conformity; null: no end, or not known.",
        examples=[{"value": "52.008224", "unit": "mm"}],
    )
    shows_conformity_to: BareQuantity | None = Field(
        description="Greatest reading that shows conformity; null: no end, or not known.",
        examples=[{"value": "52.041776", "unit": "mm"}],
    )
    own: tuple[OwnGaugeOut, ...] = Field(
        description="The shop's gauges of that kind.", max_length=_MOST
    )


class FollowsFromOut(Answer):
    """A measure that another follows from."""

    characteristic_id: IdText = Field(description="The characteristic.", examples=["chr_1c3"])
    name: str = Field(description="Its name.", examples=["Bore"], max_length=200)
    factor: DecimalOut = Field(description="What it is multiplied by.", examples=["-1"])
    piece: int | None = Field(description="Of which piece.", examples=[1], ge=1, le=LARGEST_INTEGER)


class FoundAlreadyOut(Answer):
    """What stands on record, and what it amounts to."""

    finding_id: IdText = Field(
        description="The finding; of a derived measure a name of its own, under which nothing is"
        " stored.",
        examples=["fnd_9a2"],
    )
    piece: int | None = Field(description="Of which piece.", examples=[1], ge=1, le=LARGEST_INTEGER)
    found_at: UtcDateTime = Field(description="When.", examples=["2031-03-04T09:15:00Z"])
    is_derived: Flag = Field(description="Whether it follows from others.", examples=[False])
    verdict: Verdict = Field(description="What it amounts to.", examples=["conforming"])
    zone: Zone = Field(description="Where it lies, doubt left aside.", examples=["within-service"])
    detail: str = Field(
        description="The same in words.",
        examples=["19.998 mm, at least 19.995 mm in service: indeterminate"],
        max_length=_LONG,
    )
    settled_by: str | None = Field(
        description="What would settle a reading that its doubt alone leaves open.",
        examples=["a gauge of u at most 0.00182 mm would settle it"],
        max_length=_LONG,
    )


class SheetLineOut(Answer):
    """One characteristic to inspect."""

    characteristic_id: IdText = Field(description="The characteristic.", examples=["chr_1c3"])
    name: str = Field(description="Its name.", examples=["Seat diameter"], max_length=200)
    is_crack: Flag = Field(description="Whether it looks for cracks.", examples=[False])
    how: str | None = Field(
        description="How it is measured.",
        examples=["Across the seat, in two directions."],
        max_length=_LONG,
    )
    settling_method: InspectionMethod | None = Field(
        description="The method that settles it; another leaves it open.", examples=["penetrant"]
    )
    unit: str | None = Field(
        description="What it is measured in, where no limit says so.",
        examples=["mm"],
        max_length=16,
    )
    new_lower: BareQuantity | None = Field(
        description="Lower limit when new.", examples=[{"value": "20.002", "unit": "mm"}]
    )
    new_upper: BareQuantity | None = Field(
        description="Upper limit when new.", examples=[{"value": "20.015", "unit": "mm"}]
    )
    service_lower: BareQuantity | None = Field(
        description="Lower limit for a kept part.", examples=[{"value": "19.995", "unit": "mm"}]
    )
    service_upper: BareQuantity | None = Field(
        description="Upper limit for a kept part.", examples=[{"value": "20.020", "unit": "mm"}]
    )
    service_limit_is: ServiceLimitKind | None = Field(
        description="Whether a part beyond it is serviced or thrown away; null: not said.",
        examples=["discard"],
    )
    limits_source: str | None = Field(
        description="Where the limits come from.", examples=["Shop's own record"], max_length=_LONG
    )
    worst_acceptable_grade: Grade | None = Field(
        description="The worst grade with which a part is kept.", examples=["light"]
    )
    minimum_readings: int = Field(
        description="How many readings are wanted.", examples=[1], ge=1, le=LARGEST_INTEGER
    )
    counted_by: ReadingsCount | None = Field(
        description="Which of several readings counts; null: each extreme is judged.",
        examples=["greatest"],
    )
    derivation: str | None = Field(
        description="How it is worked out from others; null: it is read itself.",
        examples=["worked out from the measures below, each times its factor"],
        max_length=_LONG,
    )
    follows_from: tuple[FollowsFromOut, ...] = Field(
        description="The measures that it follows from.", max_length=_MOST
    )
    gauges: tuple[GaugeChoiceOut, ...] = Field(
        description="With what it is measured: the kind called for, and usual kinds that are fine"
        " enough where none is called for or that one is too coarse. None for what is worked out"
        " from others: those have theirs.",
        max_length=_MOST,
    )
    found: tuple[FoundAlreadyOut, ...] = Field(
        description="What stands on record of it today.", max_length=LARGEST_INTEGER
    )
    open_pieces: tuple[int | None, ...] = Field(
        description="Pieces of which nothing is found; null: the position as a whole.",
        examples=[[2]],
        max_length=_MOST,
    )


class SheetShimsOut(Answer):
    """Shims at a place of the position."""

    shim_place_id: IdText = Field(description="The place.", examples=["shp_6wq"])
    name: str = Field(description="Its name.", examples=["Pinion depth"], max_length=200)
    effect: ShimEffect = Field(
        description="What more shims do to what they set.", examples=["more-shims-increase"]
    )
    sets_characteristic_id: IdText | None = Field(
        description="The characteristic that they set.", examples=["chr_1c3"]
    )
    sets: str | None = Field(
        description="The same by name.", examples=["End float"], max_length=200
    )
    seating: str | None = Field(
        description="What is done before it is measured.",
        examples=["Turn the shaft both ways to seat the bearings."],
        max_length=_LONG,
    )
    as_found_pack_id: IdText | None = Field(
        description="The pack recorded as found on this unit; null: none is.",
        examples=["shm_8k2"],
    )
    advice: str = Field(
        description="What is done with them.",
        examples=["the pack recorded on 2031-03-04 stays with this unit"],
        max_length=_LONG,
    )


class SheetSetOut(Answer):
    """A matched set that the position belongs to."""

    set_id: IdText = Field(description="The set.", examples=["set_2b7"])
    name: str = Field(description="Its name.", examples=["Gear pair"], max_length=200)
    other_position_ids: tuple[IdText, ...] = Field(
        description="The other positions of it.", examples=[["pos_8ue"]], max_length=_MOST
    )
    advice: str = Field(
        description="What is done with them.",
        examples=["keep together with Pinion: one that is not good condemns the set"],
        max_length=LARGEST_INTEGER,
    )


class SheetPositionOut(Answer):
    """A position on the sheet."""

    position_id: IdText = Field(description="The position.", examples=["pos_4hd"])
    name: str = Field(description="Its name.", examples=["Input shaft"], max_length=200)
    reference: str | None = Field(
        description="Its number in the drawing.", examples=["12"], max_length=200
    )
    parent_id: IdText | None = Field(
        description="The position that it lies in.", examples=["pos_9ka"]
    )
    access_group_id: IdText | None = Field(
        description="What has to be open to reach it.", examples=["acg_1w4"]
    )
    part_id: IdText | None = Field(description="The part called for.", examples=["prt_7kq"])
    quantity: int = Field(
        description="How many pieces it holds.", examples=[1], ge=1, le=LARGEST_INTEGER
    )
    is_safety_critical: Flag = Field(description="Whether safety hangs on it.", examples=[False])
    ruling: Ruling = Field(
        description="The ruling that holds for this unit.", examples=["serviceable"]
    )
    ruling_reason: str | None = Field(
        description="Why it was ruled so.", examples=["Set with a rig."], max_length=_LONG
    )
    treatment: Treatment = Field(
        description="How far it is taken apart to be inspected.", examples=["open"]
    )
    treatment_told: str = Field(
        description="The same in words.",
        examples=["from outside only, never opened"],
        max_length=_LONG,
    )
    is_due: Flag = Field(description="Whether it is renewed whatever is found.", examples=[False])
    due: str | None = Field(
        description="The same in words; null: it is not.",
        examples=["renewed whatever is found, as soon as 'Case parted' is opened"],
        max_length=_LONG,
    )
    select_fit: str | None = Field(
        description="What is done where it is chosen to fit this unit.",
        examples=["chosen to fit this unit: record what is found in place, keep it with this unit"],
        max_length=_LONG,
    )
    verdict: Verdict | None = Field(
        description="What all that is found amounts to; null: nothing is inspected there.",
        examples=["not-inspected"],
    )
    matched_sets: tuple[SheetSetOut, ...] = Field(
        description="Matched sets it belongs to.", max_length=_MOST
    )
    lines: tuple[SheetLineOut, ...] = Field(
        description="What is inspected; what others follow from comes first.", max_length=_MOST
    )
    shims: tuple[SheetShimsOut, ...] = Field(description="Places for shims here.", max_length=_MOST)
    cautions: tuple[CautionOut, ...] = Field(
        description="Warnings about it and about the part called for.", max_length=_MOST
    )
    p50_hours: DecimalOut = Field(description="Hours to inspect it, five in ten.", examples=["0.3"])
    p90_hours: DecimalOut = Field(description="The same, nine in ten.", examples=["0.5"])
    tools: tuple[ToolCalledForOut, ...] = Field(
        description="Special tools called for.", max_length=_MOST
    )


class SheetStepOut(Answer):
    """One opening, and what it gives reach to."""

    access_group_id: IdText | None = Field(
        description="What is opened; null: nothing, it is reached from outside.",
        examples=["acg_1w4"],
    )
    name: str = Field(description="The same in words.", examples=["Case parted"], max_length=200)
    outer_group_id: IdText | None = Field(
        description="What has to be open before.", examples=["acg_0f2"]
    )
    is_open: Flag = Field(description="Whether it stands open.", examples=[False])
    p50_hours: DecimalOut = Field(description="Hours to open it, five in ten.", examples=["0.7"])
    p90_hours: DecimalOut = Field(description="The same, nine in ten.", examples=["1.1"])
    tools: tuple[ToolCalledForOut, ...] = Field(
        description="Special tools that opening it calls for.", max_length=_MOST
    )
    positions: tuple[SheetPositionOut, ...] = Field(
        description="What is looked at then, outer before inner.", max_length=_MOST
    )


class MissingOut(Answer):
    """Something still to be recorded."""

    kind: MissingKind = Field(description="What it is.", examples=["finding"])
    path: str = Field(
        description="Where it is recorded.",
        examples=["/v1/units/unt_2f8/findings"],
        max_length=200,
    )
    member: str = Field(
        description="In which member there, as a JSON pointer.", examples=["/items"], max_length=200
    )
    text: str = Field(
        description="What is wanting, and how it is had.",
        examples=["Seat diameter not inspected: across the seat, in two directions"],
        max_length=LARGEST_INTEGER,
    )
    position_id: IdText | None = Field(description="At which position.", examples=["pos_4hd"])
    characteristic_id: IdText | None = Field(
        description="Which characteristic.", examples=["chr_1c3"]
    )
    piece: int | None = Field(description="Of which piece.", examples=[2], ge=1, le=LARGEST_INTEGER)
    shim_place_id: IdText | None = Field(
        description="At which place for shims.", examples=["shp_6wq"]
    )


class InspectionSheetOut(Answer):
    """What is looked at and measured on one unit, in the order of dismantling."""

    unit_id: IdText = Field(description="The unit.", examples=["unt_2f8"])
    assembly_id: IdText = Field(description="Its design.", examples=["asm_7kq"])
    today: CalendarDate = Field(
        description="The day by the shop's calendar at which calibrations are looked at.",
        examples=["2031-03-04"],
    )
    rule: ConformityRule = Field(
        description="How readings near a limit are judged.", examples=["iso-14253-1"]
    )
    acceptance_probability: DecimalOut = Field(
        description="Probability at which conformity counts as shown.", examples=["0.95"]
    )
    general: tuple[str, ...] = Field(
        description="What holds for every line.",
        examples=[["Local codes and licensed practice come first."]],
        max_length=_MOST,
    )
    cautions: tuple[CautionOut, ...] = Field(
        description="Warnings about the whole, its operations and special tools.", max_length=_MOST
    )
    steps: tuple[SheetStepOut, ...] = Field(
        description="Openings, outer before inner; between those that do not depend on one another"
        " no record tells the order.",
        max_length=_MOST,
    )
    p50_hours: DecimalOut = Field(
        description="Hours of all openings and inspections on record, five in ten each.",
        examples=["2.4"],
    )
    p90_hours: DecimalOut = Field(
        description="The same, nine in ten each: their sum is on the safe side.", examples=["3.6"]
    )
    missing: tuple[MissingOut, ...] = Field(
        description="What is still to be recorded, and where.", max_length=LARGEST_INTEGER
    )
