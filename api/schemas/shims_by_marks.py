"""Shims by the marks of cases and gears: the calculation's question and answer."""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema

from api.schemas.base import (
    Answer,
    Body,
    QuantityIn,
    QuantityOut,
    ShortText,
    plain,
    read_decimal,
    without_last_zeros,
)
from shared.condition.marks import Advice, PlaceByMarks, ShimsByMarks
from shared.condition.marks_asked import MOST_PLACES, MOST_SHIMS, Changed, LargerMark, MarkedOn
from shared.condition.shim_choice import ChoiceRule
from shared.quantities import Quantity

_NINE_PLACES = Decimal("1E-9")
_MM = {"value": "0.14", "unit": "mm"}


def _read_mark(value: object) -> Decimal:
    """Read a mark as it is stamped: a plus sign before it says nothing more."""
    if isinstance(value, str) and value[:1] == "+" and value[1:2].isdigit():
        value = value[1:]
    return read_decimal(value)


MarkText = Annotated[
    Decimal,
    BeforeValidator(_read_mark),
    PlainSerializer(plain, return_type=str),
    WithJsonSchema(
        {
            "type": "string",
            "pattern": r"^[+-]?(0|[1-9][0-9]{0,14})(\.[0-9]{0,5}[0-9])?$",
            "maxLength": 23,
        }
    ),
]


class MarkedPlaceIn(Body):
    """One place of a shim, with the marks that speak of it."""

    name: ShortText = Field(description="Which place.", examples=["pinion"])
    marked_on: MarkedOn = Field(
        description="What bears the marks. Where that was not changed they tell no shim: measure.",
        examples=["gears"],
    )
    old_mark: MarkText | None = Field(
        default=None, description="Mark of the case or gear that was there.", examples=["+8"]
    )
    new_mark: MarkText | None = Field(
        default=None,
        description="Mark of the one that comes in. A case mark that is missing counts as 0 and is"
        " to be checked; a gear without its mark is measured.",
        examples=["+22"],
    )
    old_shim: QuantityIn | None = Field(
        default=None,
        description="The shim that sat there; or base.",
        examples=[{"value": "1.00", "unit": "mm"}],
    )
    base: QuantityIn | None = Field(
        default=None,
        description="Base of the maker's formula, base + mark (base - mark where a larger mark"
        " wants a thinner shim); or old_shim.",
        examples=[{"value": "0.20", "unit": "mm"}],
    )


class ShimsByMarksQuestion(Body):
    """What is marked, what was changed, how the maker reads the marks."""

    mark_unit: QuantityIn = Field(
        description="The length that a mark of 1 stands for, by the maker.",
        examples=[{"value": "0.01", "unit": "mm"}],
    )
    changed: tuple[Changed, ...] = Field(
        max_length=3,
        description="What is no longer the original; empty: nothing.",
        examples=[["gears"]],
    )
    places: tuple[MarkedPlaceIn, ...] = Field(
        min_length=1, max_length=MOST_PLACES, description="Each place of a shim once."
    )
    larger_mark: LargerMark | None = Field(
        default=None,
        description="What a larger mark wants of the shim, by the maker; without it no thickness is"
        " told.",
        examples=["thicker"],
    )
    shims: tuple[QuantityIn, ...] = Field(
        default=(),
        max_length=MOST_SHIMS,
        description="Shims to choose from.",
        examples=[[{"value": "1.10", "unit": "mm"}, {"value": "1.15", "unit": "mm"}]],
    )
    rule: ChoiceRule | None = Field(
        default=None,
        description="Which of the shims is taken, by the maker; without it none is.",
        examples=["nearest-not-thicker"],
    )


class PlaceByMarksOut(Answer):
    """What the marks say of one place; null: they do not tell."""

    name: str = Field(description="Which place.", examples=["pinion"], max_length=200)
    advice: Advice = Field(description="What is to be done with its shim.", examples=["by-marks"])
    difference: QuantityOut | None = Field(
        description="New mark less old mark, as a length.", examples=[_MM]
    )
    change: QuantityOut | None = Field(
        description="What is added to the shim; negative: it gets thinner.", examples=[_MM]
    )
    old_target: QuantityOut | None = Field(
        description="What base and old mark come to.", examples=[{"value": "0.21", "unit": "mm"}]
    )
    new_target: QuantityOut | None = Field(
        description="What base and new mark come to.", examples=[{"value": "0.2", "unit": "mm"}]
    )
    new_shim: QuantityOut | None = Field(
        description="The thickness that is wanted.", examples=[{"value": "1.14", "unit": "mm"}]
    )
    chosen: QuantityOut | None = Field(
        description="The shim of the list that is taken.",
        examples=[{"value": "1.10", "unit": "mm"}],
    )
    chosen_over: QuantityOut | None = Field(
        description="By how much it is thicker than wanted.",
        examples=[{"value": "-0.04", "unit": "mm"}],
    )
    to_check: tuple[str, ...] = Field(
        description="What has to be looked at, asked or measured.",
        examples=[["measure anew: the marks alone are not enough here"]],
        max_length=10,
    )

    @classmethod
    def of(cls, found: PlaceByMarks) -> Self:
        """Carry it over the border."""
        return cls(
            name=found.name,
            advice=found.advice,
            difference=_length(found.difference),
            change=_length(found.change),
            old_target=_length(found.old_target),
            new_target=_length(found.new_target),
            new_shim=_length(found.new_shim),
            chosen=_length(found.chosen),
            chosen_over=_length(found.chosen_over),
            to_check=found.to_check,
        )


class ShimsByMarksAnswer(Answer):
    """What changed marks make of the shims, or that marks do not say enough."""

    advice: Advice = Field(
        description="no-change: all is the original; by-marks; measure-anew: the full selection.",
        examples=["by-marks"],
    )
    reason: str = Field(
        description="Why.",
        examples=["a bearing was changed, and no mark speaks of bearings"],
        max_length=300,
    )
    places: tuple[PlaceByMarksOut, ...] = Field(
        description="Place by place, in the order given.", max_length=MOST_PLACES
    )

    @classmethod
    def of(cls, found: ShimsByMarks) -> Self:
        """Carry it over the border."""
        return cls(
            advice=found.advice,
            reason=found.reason,
            places=tuple(PlaceByMarksOut.of(place) for place in found.places),
        )


def _length(length: Quantity | None) -> QuantityOut | None:
    """Return a length as it is reckoned: exact, but for what has no end in its unit."""
    if length is None:
        return None
    exponent = length.value.as_tuple().exponent
    is_long = isinstance(exponent, int) and exponent < -9
    value = length.value.quantize(_NINE_PLACES) if is_long else length.value
    return QuantityOut(value=without_last_zeros(value), unit=length.unit)
