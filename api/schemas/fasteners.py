"""Special tools and stock items. The members are the fields of ``shared/fasteners/model.py``."""

from typing import Annotated

from pydantic import Field

from api.schemas.base import (
    Body,
    Count,
    IdText,
    LongText,
    MoneyIn,
    QuantityIn,
    ShortText,
    whole_between,
)
from api.schemas.records import RecordHead
from shared.fasteners.model import FeatureKind, ToolFunction

_MOST_PIECES = 1_000_000
Pieces = Annotated[int, whole_between(0, _MOST_PIECES), Field(ge=0, le=_MOST_PIECES)]


class ToolFeatureFields(Body):
    """One feature that the tool meets or the room that it needs: its designation, size, or both."""

    kind: FeatureKind = Field(description="What it is.", examples=["thread"])
    designation: ShortText | None = Field(
        default=None, description="Its name by a standard.", examples=["M8x1.25"]
    )
    size: QuantityIn | None = Field(
        default=None,
        description="Its length: a diameter, a depth, a distance.",
        examples=[{"value": "84", "unit": "mm"}],
    )
    count: Count = Field(default=1, description="How many of it.", examples=[2])


class SpecialToolCreate(Body):
    """A tool that a procedure calls for, described by what it does and what it must fit."""

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
    features: tuple[ToolFeatureFields, ...] = Field(
        default=(),
        max_length=100,
        description="What it must fit.",
        examples=[[{"kind": "thread", "designation": "M8x1.25", "count": 2}]],
    )
    force: QuantityIn | None = Field(
        default=None,
        description="The force that the work needs; not given: not known.",
        examples=[{"value": "12", "unit": "kN"}],
    )
    torque: QuantityIn | None = Field(
        default=None,
        description="The torque that the work needs; not given: not known.",
        examples=[{"value": "90", "unit": "N·m"}],
    )
    workpiece_material: ShortText | None = Field(
        default=None, description="What the workpiece is made of.", examples=["cast aluminium"]
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Turn both screws evenly."]
    )


class SpecialToolRead(RecordHead, SpecialToolCreate):
    """A special tool as stored."""


class StockItemCreate(Body):
    """Common hardware that the shop has: what, how many, where."""

    name: ShortText = Field(description="What it is.", examples=["Hexagon screw M8x60"])
    kind: ShortText = Field(description="The shop's word for it.", examples=["screw"])
    quantity: Pieces = Field(description="How many there are.", examples=[12])
    designation: ShortText | None = Field(
        default=None, description="Its name by a standard.", examples=["M8x1.25x60"]
    )
    part_id: IdText | None = Field(
        default=None, description="The part that it is, if it is recorded.", examples=["prt_1c3"]
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
        default=None, description="What it is made of.", examples=["steel"]
    )
    property_class: ShortText | None = Field(
        default=None, description="Its strength as marked on it.", examples=["8.8"]
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


class StockItemRead(RecordHead, StockItemCreate):
    """A stock item as stored."""
