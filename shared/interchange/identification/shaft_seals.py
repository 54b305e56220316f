"""Which shaft seal it is: shaft, housing and width measured, on the seal or on its seats.

Allowances by ISO 6194-1, seats by ISO 286-1; how much smaller a loose lip is, is common practice.
"""

from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from typing import Final

from shared.interchange.identification.model import (
    Change,
    MadeSize,
    Measured,
    PartState,
    StandardSize,
)
from shared.standards.shaft_seals import (
    ShaftSealRow,
    housing_tolerance,
    lip_interference,
    seal_allowance,
    shaft_seals,
    shaft_tolerance,
    width_tolerance,
)

DIMENSIONS: Final = ("shaft", "housing", "width")


class MeasuredOn(StrEnum):
    """Where shaft and housing were measured."""

    SEAT = "seat"
    """The shaft and the bore of the housing."""
    SEAL = "seal"
    """The loose seal: inside its lip, and its outside."""
    NOT_SAID = "not said"


_WORN_SHAFT: Final = 0.05
_WORN_LIP: Final = 0.3
_LEAST_LIP: Final = 0.5


@cache
def sizes(
    state: PartState = PartState.UNKNOWN, measured_on: MeasuredOn = MeasuredOn.NOT_SAID
) -> tuple[StandardSize, ...]:
    """Return the seals that it may be, with the limits of what was measured, mm.

    Where it is not said whether seal or seats were measured, a size comes three times, as likely
    each: from the seats, from the loose seal, shaft from its seat and outside from the seal.
    """
    ways = _WAYS[measured_on]
    return tuple(
        _size(row, state, on_shaft, on_housing, row.commonness / len(ways))
        for row in shaft_seals()
        for on_shaft, on_housing in ways
    )


_SEAT, _SEAL = MeasuredOn.SEAT, MeasuredOn.SEAL
_WAYS: Final = {
    _SEAT: ((_SEAT, _SEAT),),
    _SEAL: ((_SEAL, _SEAL),),
    MeasuredOn.NOT_SAID: ((_SEAT, _SEAT), (_SEAL, _SEAL), (_SEAT, _SEAL)),
}
"""Where the shaft's and where the housing's diameter was taken."""


def _size(
    row: ShaftSealRow,
    state: PartState,
    on_shaft: MeasuredOn,
    on_housing: MeasuredOn,
    commonness: float,
) -> StandardSize:
    slack = width_tolerance(row.width)
    is_trade = row.standard == "common practice"
    return StandardSize(
        designation=f"shaft seal {row.shaft:g}x{row.housing:g}x{row.width:g}",
        standard=row.standard,
        made={
            "shaft": _shaft(row.shaft, state, on_shaft),
            "housing": _housing(row.housing, on_housing),
            "width": MadeSize(row.width - slack, row.width + slack),
        },
        nominal={"shaft": row.shaft, "housing": row.housing, "width": row.width},
        commonness=commonness,
        notes=("A size of the trade, not a standard's.",) if is_trade else (),
    )


def _shaft(shaft: float, state: PartState, measured_on: MeasuredOn) -> MadeSize:
    if measured_on is _SEAT:
        least = shaft - shaft_tolerance(shaft)
        if state is PartState.NEW:
            return MadeSize(least, shaft)
        return MadeSize(least, shaft, Change.SMALLER, _WORN_SHAFT)
    lip = lip_interference(shaft)
    least, most = max(shaft - lip.most, _LEAST_LIP), shaft - lip.least
    if state is PartState.NEW:
        return MadeSize(least, most)
    # A lip that has run is worn and set towards the size of its shaft.
    return MadeSize(least, most, Change.LARGER, _WORN_LIP)


def _housing(housing: float, measured_on: MeasuredOn) -> MadeSize:
    if measured_on is _SEAT:
        return MadeSize(housing, housing + housing_tolerance(housing))
    allowance = seal_allowance(housing)
    return MadeSize(housing + allowance.metal_least, housing + allowance.rubber_most)


def advise(measured: Mapping[str, Measured], state: PartState) -> tuple[str, ...]:
    """Return which dimension to trust."""
    advice = []
    if "shaft" in measured:
        advice.append(
            "Take the shaft size from the shaft, beside the worn track: a loose lip measures about"
            " 0.5 to 2 mm less than its shaft (common practice)."
        )
    if "housing" in measured:
        advice.append(
            "Take the housing size from the bore: a seal measures 0.10 to 0.45 mm more outside"
            " (ISO 6194-1)."
        )
    if state is not PartState.NEW:
        advice.append("Of a used seal trust the width first, then the bore it came from.")
    advice.append(
        "Three equal sizes do not prove the seal: look for arrows or slanting ribs, a dust lip,"
        " the material, and which way the shaft turns."
    )
    return tuple(advice)
