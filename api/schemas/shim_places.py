"""Places for shims in an assembly.

The members are the fields of ``shared/condition/shim_place.py``.
"""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    Flag,
    IdText,
    LongText,
    PiecesForOne,
    PositiveDecimalText,
    QuantityIn,
    ShortText,
    checked,
    to_domain_with_id,
    whole_between,
)
from api.schemas.records import RecordHead, SnapshotId
from shared.condition.model import ShimEffect
from shared.condition.shim_place import ShimAim, ShimPlace, ShimRounding
from shared.condition.shim_place_check import MOST_SHIMS, MOST_SIZES, check_shim_place

Digit = Annotated[int, whole_between(0, 9), Field(ge=0, le=9)]
UpToADecade = Annotated[int, whole_between(0, 10), Field(ge=0, le=10)]
ShimCount = Annotated[int, whole_between(1, MOST_SHIMS), Field(ge=1, le=MOST_SHIMS)]


def _mm(value: str) -> dict[str, str]:
    return {"value": value, "unit": "mm"}


class ShimSizeFields(Body):
    """A thickness that is sold for the place."""

    thickness: QuantityIn = Field(
        description="The thickness of one shim: more than 0, at most 50 mm.",
        examples=[_mm("0.15")],
    )
    part_id: IdText | None = Field(
        default=None, description="The part under which it is sold.", examples=["prt_1c3"]
    )
    is_discontinued: Flag = Field(
        default=False,
        description="Whether it is sold no more: only what is on hand counts.",
        examples=[False],
    )


class RoundingStepFields(Body):
    """A row of a maker's rounding table for the last digit of a wanted thickness."""

    first: Digit = Field(description="First digit of the row.", examples=[3])
    last: Digit = Field(description="Last digit of the row.", examples=[7])
    to: UpToADecade = Field(
        description="What these digits become; 10: the next decade.", examples=[5]
    )


class ShimRuleFields(Body):
    """How the maker chooses shims; what is not given is as the service does it."""

    aim: ShimAim = Field(
        default=ShimAim.MIDDLE,
        description="Where in the range of what is set the pack should come to.",
        examples=["middle"],
    )
    most_shims: ShimCount | None = Field(
        default=None, description="No more shims than that in a pack.", examples=[3]
    )
    step: QuantityIn | None = Field(
        default=None,
        description="The wanted thickness is rounded to multiples of it; with rounding.",
        examples=[_mm("0.05")],
    )
    rounding: ShimRounding | None = Field(
        default=None, description="Which way it is rounded; with step.", examples=["nearest"]
    )
    digits: tuple[RoundingStepFields, ...] = Field(
        default=(),
        max_length=10,
        description="Rounding table of the last digit, in rising order, each digit from 0 to 9"
        " once; with digits_unit.",
        examples=[
            [
                {"first": 0, "last": 2, "to": 0},
                {"first": 3, "last": 7, "to": 5},
                {"first": 8, "last": 9, "to": 10},
            ]
        ],
    )
    digits_unit: QuantityIn | None = Field(
        default=None, description="What one of these digits is.", examples=[_mm("0.01")]
    )
    thicker_by: QuantityIn | None = Field(
        default=None,
        description="Where no pack makes the thickness: so much is added, and again.",
        examples=[_mm("0.05")],
    )
    thicker_at_most: QuantityIn | None = Field(
        default=None, description="What is added in all at most.", examples=[_mm("0.10")]
    )
    mean_cut_to: QuantityIn | None = Field(
        default=None,
        description="A mean of readings is cut off, not rounded, to multiples of it.",
        examples=[_mm("0.01")],
    )
    source: LongText | None = Field(
        default=None, description="Where the rule stands.", examples=["Maker's book, page 41"]
    )


class AssortmentLineFields(Body):
    """Pieces of a part that are had at hand before anybody knows which are needed."""

    part_id: IdText = Field(description="The part.", examples=["prt_1c3"])
    quantity: PiecesForOne = Field(default=1, description="How many pieces.", examples=[2])


class ShimPlaceCreate(Body):
    """A place for shims: what they set, which sizes are sold, how the maker chooses.

    Knowledge of the design; the shims of one unit are its shim packs.
    """

    position_id: IdText = Field(
        description="The position of the shims in the parts list.", examples=["pos_4hd"]
    )
    name: ShortText = Field(description="Where they sit.", examples=["pinion depth"])
    effect: ShimEffect = Field(
        description="What more shims do to what they set.", examples=["more-shims-increase"]
    )
    factor: PositiveDecimalText = Field(
        default=Decimal(1),
        description="By how many mm it changes for each mm of shims; at most 1000.",
        examples=["1"],
    )
    sets_characteristic_id: IdText | None = Field(
        default=None,
        description="What they set: a length of the same assembly with limits or a derivation; its"
        " limits when new are the range.",
        examples=["chr_7kq"],
    )
    sizes: tuple[ShimSizeFields, ...] = Field(
        default=(),
        max_length=MOST_SIZES,
        description="The thicknesses sold for the place, each once.",
        examples=[[{"thickness": _mm("0.15")}, {"thickness": _mm("0.20")}]],
    )
    rule: ShimRuleFields | None = Field(default=None, description="The maker's rule, if there is.")
    assortment: tuple[AssortmentLineFields, ...] = Field(
        default=(),
        max_length=MOST_SIZES,
        description="What is had at hand where shims are measured anew.",
        examples=[[{"part_id": "prt_1c3", "quantity": 2}]],
    )
    disturbed_by_position_ids: tuple[IdText, ...] = Field(
        default=(),
        max_length=500,
        description="Positions of the assembly whose part, once it is another one, calls for"
        " measuring anew.",
        examples=[["pos_2f8"]],
    )
    seating: LongText | None = Field(
        default=None,
        description="What is done before it is measured.",
        examples=["Turn the shaft ten times each way: the bearings seat."],
    )
    source: LongText | None = Field(
        default=None, description="Where this is known from.", examples=["Maker's book, page 40"]
    )

    @model_validator(mode="after")
    def _holds_together(self) -> Self:
        checked(lambda: check_shim_place(to_domain_with_id(self, ShimPlace, "new")))
        return self


class ShimPlaceRead(RecordHead, ShimPlaceCreate):
    """A place for shims as stored."""


class ShimPlaceInSnapshot(SnapshotId, ShimPlaceCreate):
    """A place for shims inside a snapshot."""
