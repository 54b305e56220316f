"""Which shim or supporting ring it is: inside, outside and thickness measured on the ring."""

from collections.abc import Mapping
from functools import cache
from typing import Final

from shared.interchange.identification.model import (
    Change,
    MadeSize,
    Measured,
    PartState,
    StandardSize,
)
from shared.standards.shims import SUPPORTING_UNDER, ShimRow, shim_thicknesses, shims

DIMENSIONS: Final = ("inside", "outside", "thickness")

# Mean wear of a ring's faces by use, mm; common practice, no source.
_WORN: Final = {PartState.NEW: 0.0, PartState.UNKNOWN: 0.005, PartState.USED: 0.01}


@cache
def sizes(
    state: PartState = PartState.UNKNOWN, with_thickness: bool = True
) -> tuple[StandardSize, ...]:
    """Return the rings that it may be, mm: every thickness, or one item per inside and outside."""
    if not with_thickness:
        return tuple(_size(row, None, 0.0, state, "") for row in shims())
    return tuple(
        size
        for row in shims()
        for size in (
            *(_size(row, one.thickness, one.under, state, "") for one in shim_thicknesses()),
            _size(row, row.supporting_thickness, SUPPORTING_UNDER, state, "S "),
        )
    )


def _size(
    row: ShimRow, thickness: float | None, under: float, state: PartState, letter: str
) -> StandardSize:
    made = {
        "inside": MadeSize(row.inside + row.inside_over_least, row.inside + row.inside_over_most),
        "outside": MadeSize(
            row.outside - row.outside_under_most, row.outside - row.outside_under_least
        ),
    }
    nominal = {"inside": row.inside, "outside": row.outside}
    name = f"DIN 988 {letter}{row.inside:g}x{row.outside:g}"
    if thickness is not None:
        worn = _WORN[state]
        change = Change.SMALLER if worn else Change.NONE
        made["thickness"] = MadeSize(thickness - under, thickness, change, worn)
        nominal["thickness"] = thickness
        name += f"x{thickness:g}"
    return StandardSize(
        designation=name,
        standard="DIN 988",
        made=made,
        nominal=nominal,
        commonness=0.5 if letter else 1.0,
        notes=("A supporting ring, hard: not made up from shims.",) if letter else (),
    )


def advise(measured: Mapping[str, Measured], state: PartState) -> tuple[str, ...]:
    """Return which dimension to trust."""
    advice = [
        "Measure the thickness with a micrometer in four places, clean and free of burrs: a"
        " caliper cannot tell 0.10 from 0.15 mm.",
        "A shim pack belongs to its unit: keep what came out together, and write it down.",
    ]
    if state is not PartState.NEW and "thickness" in measured:
        advice.append("A used shim may be hammered thin: take the thickness where nothing bore.")
    return tuple(advice)
