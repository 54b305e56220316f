"""Quantities in trade notation, and the list of unit codes."""

from decimal import Decimal
from typing import Self

from pydantic import Field

from api.schemas.base import Answer, DecimalOut, QuantityOut
from shared.quantities import (
    UNIT_CODES,
    Quantity,
    Reading,
    StatedTwin,
    TwinBound,
    TwinStatus,
    canonical_unit,
)
from shared.quantities.printed import answered, factor_to_canonical


class TwinBoundOut(Answer):
    """One printed figure against the same figure of the quantity stated first."""

    bound: str = Field(
        description="Which figure: value, lower or upper.", examples=["lower"], max_length=5
    )
    printed: str = Field(
        description="The number as it stands, in the twin's unit.",
        examples=["0.016"],
        max_length=60,
    )
    expected: str = Field(
        description="The number that belongs there by the quantity stated first, to as many"
        " digits as were printed.",
        examples=["0.0016"],
        max_length=60,
    )
    difference_percent: DecimalOut | None = Field(
        description="How far the printed figure lies above the first, in per cent of the first;"
        " null where the first is zero.",
        examples=["916.00"],
    )
    status: TwinStatus = Field(description="How this figure agrees.", examples=["contradiction"])

    @classmethod
    def of(cls, bound: TwinBound) -> Self:
        """Carry a compared figure over the border."""
        return cls(
            bound=bound.bound,
            printed=bound.printed,
            expected=bound.expected,
            difference_percent=bound.difference_percent,
            status=bound.status,
        )


class StatedTwinOut(Answer):
    """The same quantity printed beside the first in another unit, and whether it agrees."""

    text: str = Field(
        description="The twin as it stands.", examples=["0.016-0.0039 in."], max_length=200
    )
    unit: str = Field(description="Its unit code.", examples=["in"], max_length=16)
    status: TwinStatus = Field(
        description="The worst of its figures: agrees; rounding, within 2.5 % or half the last"
        " printed digit; coarse-rounding and contradiction need a look at the page.",
        examples=["contradiction"],
    )
    needs_checking: bool = Field(
        description="Whether a person should compare the page before using either figure.",
        examples=[True],
    )
    bounds: tuple[TwinBoundOut, ...] = Field(
        description="Figure by figure.", min_length=1, max_length=3
    )

    @classmethod
    def of(cls, twin: StatedTwin) -> Self:
        """Carry a twin over the border."""
        return cls(
            text=twin.text,
            unit=twin.unit,
            status=twin.status,
            needs_checking=twin.status.needs_checking,
            bounds=tuple(TwinBoundOut.of(bound) for bound in twin.bounds),
        )


class ReadingOut(Answer):
    """A quantity as the trade writes it, read. Quantities are in the canonical unit of the kind."""

    text: str = Field(description="The text asked.", examples=["22 ft-lb"], max_length=200)
    kind: str = Field(description="Kind of quantity.", examples=["torque"], max_length=30)
    value: QuantityOut | None = Field(
        description="The value; null for a range or a limit.",
        examples=[{"value": "29.8280", "unit": "N·m"}],
    )
    lower: QuantityOut | None = Field(
        description="Lower bound of a range, a tolerance or a limit, else null.",
        examples=[{"value": "0.0500000", "unit": "mm"}],
    )
    upper: QuantityOut | None = Field(
        description="Upper bound of a range, a tolerance or a limit, else null.",
        examples=[{"value": "0.100000", "unit": "mm"}],
    )
    then: tuple[QuantityOut, ...] = Field(
        description="Angles turned after the torque (20 N·m + 90°), in their order.",
        examples=[[]],
        max_length=4,
    )
    metric: str = Field(
        description="As a metric book prints it.", examples=["29.8 N·m"], max_length=200
    )
    customary: str = Field(
        description="As an inch-pound book prints it.", examples=["22 ft-lb"], max_length=200
    )
    stated_twins: tuple[StatedTwinOut, ...] = Field(
        description="The same quantity in other units as printed beside it; the figure stated"
        " first leads.",
        examples=[[]],
        max_length=100,
    )
    needs_checking: bool = Field(
        description="Whether a twin disagrees by more than fair rounding.", examples=[False]
    )
    notes: tuple[str, ...] = Field(
        description="How customs of the trade were read.", examples=[[]], max_length=20
    )

    @classmethod
    def of(cls, reading: Reading) -> Self:
        """Carry a reading over the border."""
        return cls(
            text=reading.text,
            kind=reading.kind,
            value=_out(reading.value),
            lower=_out(reading.lower),
            upper=_out(reading.upper),
            then=tuple(_computed(step) for step in reading.then),
            metric=reading.metric,
            customary=reading.customary,
            stated_twins=tuple(StatedTwinOut.of(twin) for twin in reading.stated_twins),
            needs_checking=reading.needs_checking,
            notes=reading.notes,
        )


class UnitCodeOut(Answer):
    """A unit code: the only spelling that a quantity in a body may use."""

    code: str = Field(description="The code, matched exactly.", examples=["ft-lb"], max_length=16)
    kind: str = Field(
        description="Kind of quantity it measures.", examples=["torque"], max_length=30
    )
    canonical_unit: str = Field(
        description="Unit in which this kind is stored.", examples=["N·m"], max_length=16
    )
    factor_or_note: str = Field(
        description="Factor to the canonical unit, or the rule where a factor is not enough.",
        examples=["1.35581794833140"],
        max_length=60,
    )


class UnitCodesOut(Answer):
    """All unit codes."""

    items: tuple[UnitCodeOut, ...] = Field(description="Kind by kind.", max_length=200)

    @classmethod
    def all(cls) -> Self:
        """List every code of the closed list, in its order."""
        return cls(
            items=tuple(
                UnitCodeOut(
                    code=code,
                    kind=kind,
                    canonical_unit=canonical_unit(kind),
                    factor_or_note=factor_to_canonical(code),
                )
                for code, kind in UNIT_CODES.items()
            )
        )


def _computed(quantity: Quantity) -> QuantityOut:
    return QuantityOut(value=Decimal(answered(quantity.value)), unit=quantity.unit)


def _out(quantity: Quantity | None) -> QuantityOut | None:
    return None if quantity is None else _computed(quantity)
