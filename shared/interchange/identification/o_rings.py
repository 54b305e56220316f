"""Which O-ring it is: inside diameter and section measured on the ring."""

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
from shared.standards.o_rings import TRADE_SIZE, ORingSize, o_rings

DIMENSIONS: Final = ("inside", "section")

# Mean changes by use as a share of the size; common practice, no source.
_SECTION_CHANGE: Final = {PartState.NEW: 0.0, PartState.UNKNOWN: 0.02, PartState.USED: 0.04}
_INSIDE_CHANGE: Final = {PartState.NEW: 0.0, PartState.UNKNOWN: 0.005, PartState.USED: 0.01}
_LEAST_SIZE: Final = 0.1


@cache
def sizes(state: PartState = PartState.UNKNOWN) -> tuple[StandardSize, ...]:
    """Return the rings that it may be, mm; used ones are taken to be flattened or swollen."""
    return tuple(_size(ring, state) for ring in o_rings())


def _size(ring: ORingSize, state: PartState) -> StandardSize:
    notes = [f"The trade calls it {ring.nominal_inches} in."] if ring.nominal_inches else []
    if ring.standard == TRADE_SIZE:
        notes.append("A size that the trade stocks; no standard's list holds it.")
    return StandardSize(
        designation=ring.name,
        standard=ring.standard,
        made={
            "inside": _made(ring.inside, ring.inside_tolerance, _INSIDE_CHANGE[state]),
            "section": _made(ring.section, ring.section_tolerance, _SECTION_CHANGE[state]),
        },
        nominal={"inside": ring.inside, "section": ring.section},
        commonness=ring.commonness,
        notes=tuple(notes),
    )


def _made(size: float, tolerance: float, change: float) -> MadeSize:
    return MadeSize(
        max(size - tolerance, _LEAST_SIZE),
        size + tolerance,
        Change.EITHER if change else Change.NONE,
        change * size,
    )


def advise(measured: Mapping[str, Measured], state: PartState) -> tuple[str, ...]:
    """Return which dimension to trust."""
    advice = [
        "Trust the groove over the ring: its depth and diameter tell the size that was meant.",
        "The sections of the lists lie close together (1.78 and 1.8, 2.62 and 2.65, 3.53, 3.55 and"
        " 3.5): a ring in the hand rarely tells which list it is from; what the machine's other"
        " sizes are in, inches or millimetres, does.",
    ]
    if "section" in measured:
        advice.append(
            "Measure the section in two directions: pressed flat it is smaller in one, and the"
            " larger is nearer to what was made; swollen it is larger in both."
        )
    if state is not PartState.NEW:
        advice.append(
            "A used ring may have been stretched by its groove or swollen by its fluid: the inside"
            " diameter reads large; old and dry it reads small."
        )
    return tuple(advice)
