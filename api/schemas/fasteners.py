"""Special tools and stock items. The members are the fields of ``shared/fasteners/model.py``."""

from typing import Annotated

from pydantic import Field

from api.schemas.base import (
    Body,
    Count,
    Flag,
    IdText,
    LongText,
    MoneyIn,
    QuantityIn,
    ShortText,
    whole_between,
)
from api.schemas.records import RecordHead
from shared.designations.model import Hand
from shared.fasteners.model import (
    FeatureKind,
    ItemForm,
    ScrewTip,
    TightRing,
    ToolFunction,
    ToolUse,
)

_MOST_PIECES = 1_000_000
Pieces = Annotated[int, whole_between(0, _MOST_PIECES), Field(ge=0, le=_MOST_PIECES)]


_KIND = (
    "What it is. thread: of the tapped holes, with their count. plate-thickness: of the threaded"
    " plate, or of the part that is held. reach: jacking screws: from the hole's entry face to the"
    " pushed face; bar across screws: from the hub's face out to the shaft's end; rod with nuts:"
    " between the outer faces at the start; counterhold bar: gap between holes' face and bar;"
    " studs, pins, sleeve: how far they have to stand out. travel: how far it has to move. wall:"
    " least metal between a hole and the next edge. depth: usable thread, or how deep pin holes or"
    " face slots are. spacing: between two holes, or the span of a bar. pin-circle: circle of the"
    " pin holes, or of three and more screws. face-inside, face-outside: of the ring-shaped face"
    " that takes the load. bore: of the housing, of a slotted nut, or the hole that slides over a"
    " stud or pin. outside-diameter: of the shaft's end, of the nut, over the splines."
    " clear-diameter: room round the tool; for a rod the clear hole right through part and housing."
    " clear-height: room above. pin, slot: of the nut to turn. tooth-space, pitch-diameter, width:"
    " of the gear to hold; width for a rod that pulls: of the part that goes into the tube. lip:"
    " shaft diameter that a seal lip is made for."
)


class ToolFeatureFields(Body):
    """One feature that the tool meets or the room that it needs: its designation, size, or both."""

    kind: FeatureKind = Field(description=_KIND, examples=["thread"])
    designation: ShortText | None = Field(
        default=None,
        description="Its name by a standard: of a thread, which has no size.",
        examples=["M8x1.25"],
    )
    size: QuantityIn | None = Field(
        default=None,
        description="Its length: a diameter, a depth, a distance, above 0; what is flush is"
        " stated as 0.01 mm.",
        examples=[{"value": "84", "unit": "mm"}],
    )
    count: Count = Field(default=1, description="How many of it.", examples=[2])


class PressFitFields(Body):
    """A press fit that the work overcomes: nominal size and classes by ISO 286."""

    diameter: QuantityIn = Field(
        description="Nominal diameter of the fit.", examples=[{"value": "40", "unit": "mm"}]
    )
    length: QuantityIn = Field(
        description="Length on which the two hold each other.",
        examples=[{"value": "18", "unit": "mm"}],
    )
    hole_class: ShortText = Field(
        description="Tolerance class of the hole, ISO 286.", examples=["H7"]
    )
    shaft_class: ShortText = Field(
        description="Tolerance class of the shaft, ISO 286.", examples=["p6"]
    )
    hub_outside: QuantityIn | None = Field(
        default=None,
        description="Outside diameter of the hub.",
        examples=[{"value": "70", "unit": "mm"}],
    )
    shaft_bore: QuantityIn | None = Field(
        default=None,
        description="Bore of a hollow shaft; not given: solid, which holds more.",
        examples=[{"value": "12", "unit": "mm"}],
    )
    hub_material: ShortText | None = Field(
        default=None, description="What the hub is made of.", examples=["cast iron"]
    )
    shaft_material: ShortText | None = Field(
        default=None, description="What the shaft is made of.", examples=["steel"]
    )


class ToolWork(Body):
    """What a tool has to do. What is left out counts as not known, and never helps."""

    features: tuple[ToolFeatureFields, ...] = Field(
        default=(),
        max_length=100,
        description="What it must fit, and the room there is. For a substitute each kind stands"
        " once. A changed list is sent whole. Of a spring, travel is from its free length;"
        " clear-diameter is that of the room round the tool, for a rod that goes through that of"
        " the clear hole.",
        examples=[[{"kind": "thread", "designation": "M8x1.25", "count": 2}]],
    )
    force: QuantityIn | None = Field(
        default=None,
        description="The force that the work needs, its least where it is a range; not given: not"
        " known.",
        examples=[{"value": "12", "unit": "kN"}],
    )
    torque: QuantityIn | None = Field(
        default=None,
        description="The torque that the work needs, its least where it is a range; not given: not"
        " known.",
        examples=[{"value": "90", "unit": "N·m"}],
    )
    workpiece_material: ShortText | None = Field(
        default=None,
        description="What the workpiece is made of: its holes, teeth or slots. A word of the table"
        " of materials; any other counts as not known.",
        examples=["cast aluminium"],
    )
    force_highest: QuantityIn | None = Field(
        default=None,
        description="The most that the force may come to: a substitute has to give it.",
        examples=[{"value": "15", "unit": "kN"}],
    )
    torque_highest: QuantityIn | None = Field(
        default=None,
        description="The most that the torque may come to.",
        examples=[{"value": "110", "unit": "N·m"}],
    )
    sealed_area: QuantityIn | None = Field(
        default=None,
        description="Area of a sealed joint that is to be parted: an estimate of the force is made"
        " of it.",
        examples=[{"value": "4200", "unit": "mm2"}],
    )
    sealant: ShortText | None = Field(
        default=None,
        description="What seals it, a word of the table; not given: the strongest.",
        examples=["silicone"],
    )
    press_fit: PressFitFields | None = Field(
        default=None, description="A press fit that the work overcomes."
    )
    workpiece_hardness: ShortText | None = Field(
        default=None,
        description="Hardness of the workpiece, with its scale.",
        examples=["58 HRC"],
    )
    pushed_material: ShortText | None = Field(
        default=None,
        description="What the tool pushes against is made of, a word of the same table.",
        examples=["S355"],
    )
    thread_hand: Hand | None = Field(
        default=None, description="Hand of the thread that is turned.", examples=["right"]
    )
    tight_ring: TightRing | None = Field(
        default=None,
        description="Which ring of a bearing sits tight: it takes the load, and face-inside and"
        " face-outside are those of its own face. Of any other part: no-bearing.",
        examples=["outer"],
    )
    is_symmetric: Flag | None = Field(
        default=None,
        description="Whether the points lie evenly round the axis; not given: not known.",
        examples=[True],
    )
    uses: tuple[ToolUse, ...] | None = Field(
        default=None,
        max_length=len(ToolUse),
        description="What hangs on it beyond the bench work; [] where nothing does. Not given:"
        " nobody said, and there is no yes.",
        examples=[[]],
    )
    in_the_way: LongText | None = Field(
        default=None,
        description="The word nothing, or what stays in the way of a tool.",
        examples=["nothing"],
    )
    lubrication: ShortText | None = Field(
        default=None,
        description="State of the threads that are turned, a word of the table: dry, oiled, ...",
        examples=["oiled"],
    )
    tolerance: QuantityIn | None = Field(
        default=None,
        description="The most that a position, or a measure, may be out.",
        examples=[{"value": "0.05", "unit": "mm"}],
    )


class _ToolIdentity(Body):
    name: ShortText = Field(description="What the tool is called.", examples=["Cover puller"])
    function: ToolFunction = Field(description="What it does.", examples=["separate"])
    number: ShortText | None = Field(
        default=None, description="The maker's number of the tool.", examples=["OH-T-17"]
    )
    maker: ShortText | None = Field(
        default=None, description="Whose number that is.", examples=["Oakhollow Drives"]
    )
    assembly_id: IdText | None = Field(
        default=None, description="The assembly it is for.", examples=["asm_7kq"]
    )
    position_id: IdText | None = Field(
        default=None, description="The position it works at.", examples=["pos_4hd"]
    )
    labour_operation_ids: tuple[IdText, ...] = Field(
        default=(),
        max_length=200,
        description="The labour operations that call for it.",
        examples=[["opr_2f8"]],
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Turn both screws evenly."]
    )
    part_id: IdText | None = Field(
        default=None,
        description="The tool itself as a part, so that offers for it can be compared.",
        examples=["prt_1c3"],
    )


class SpecialToolCreate(ToolWork, _ToolIdentity):
    """A tool that a procedure calls for, described by what it does and what it must fit."""


class SpecialToolRead(RecordHead, SpecialToolCreate):
    """A special tool as stored."""


class PieceFields(Body):
    """What a piece of common hardware is: its form, sizes and strength, as far as known."""

    designation: ShortText | None = Field(
        default=None, description="Its name by a standard.", examples=["M8x1.25x60"]
    )
    worth: MoneyIn | None = Field(
        default=None,
        description="What one piece is worth.",
        examples=[{"amount": "0.45", "currency": "EUR"}],
    )
    size: QuantityIn | None = Field(
        default=None,
        description="A measured length, such as a shim's thickness.",
        examples=[{"value": "0.15", "unit": "mm", "plus_minus": "0.005"}],
    )
    material: ShortText | None = Field(
        default=None,
        description="What it is made of, a word of the table of materials; any other counts as not"
        " known.",
        examples=["steel"],
    )
    property_class: ShortText | None = Field(
        default=None, description="Its strength as marked on it.", examples=["8.8"]
    )
    form: ItemForm | None = Field(
        default=None,
        description="What it is; not given: as designation, kind and name say.",
        examples=["screw"],
    )
    features: tuple[ToolFeatureFields, ...] = Field(
        default=(),
        max_length=100,
        description="Its sizes: length, width, thickness, bore, outside-diameter, thread-length."
        " Of a socket, bore is the widest inside at its open end, clear-diameter the narrowest hole"
        " right through. Of a hook spanner, face-inside and face-outside are the nut diameters that"
        " it spans, slot or pin the width of its hook or pin.",
        examples=[[{"kind": "length", "size": {"value": "60", "unit": "mm"}}]],
    )
    hardness: ShortText | None = Field(
        default=None, description="Its hardness, with its scale.", examples=["95 HV"]
    )
    tip: ScrewTip | None = Field(
        default=None, description="The end of a screw that pushes.", examples=["dog"]
    )
    certificate: ShortText | None = Field(
        default=None,
        description="By whom its size was measured, and the number of the certificate.",
        examples=["Calibration 118 of 2031"],
    )


class _StockPlace(Body):
    name: ShortText = Field(description="What it is.", examples=["Hexagon screw M8x60"])
    kind: ShortText = Field(description="The shop's word for it.", examples=["screw"])
    quantity: Pieces = Field(description="How many there are.", examples=[12])
    part_id: IdText | None = Field(
        default=None, description="The part that it is, if it is recorded.", examples=["prt_1c3"]
    )
    shelf: ShortText | None = Field(
        default=None, description="Where it lies.", examples=["drawer 4"]
    )
    minimum_quantity: Pieces | None = Field(
        default=None, description="How many there should be at least.", examples=[10]
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Tips ground flat."]
    )


class StockItemCreate(PieceFields, _StockPlace):
    """Common hardware that the shop has: what, how many, where."""


class StockItemRead(RecordHead, StockItemCreate):
    """A stock item as stored."""
