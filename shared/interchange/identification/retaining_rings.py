"""Which retaining ring it is: by shaft or bore, groove, thickness, or the loose ring."""

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
from shared.standards.retaining_rings import RetainingRingRow, retaining_rings

DIMENSIONS: Final = ("diameter", "groove", "thickness", "free")

# How far shaft or bore beside the groove may lie from nominal towards the loose side, mm: a usual
# running fit with room for wear; common practice, no source.
_FIT: Final = 0.1
_SET: Final = 0.2
_EVERYDAY: Final = frozenset(
    {10, 12, 15, 17, 20, 22, 25, 26, 28, 30, 32, 35, 40, 42, 45, 47, 50, 52, 55, 60, 62, 72, 80}
)


@cache
def sizes(
    state: PartState = PartState.UNKNOWN, is_external: bool | None = None
) -> tuple[StandardSize, ...]:
    """Return the rings that it may be, mm; ``is_external``: for shafts, for bores, None both.

    ``diameter`` is that of the shaft or bore beside the groove, ``groove`` the groove's, ``free``
    the loose ring's (inside of a shaft ring, outside of a bore ring).
    """
    return tuple(
        _size(row, state)
        for row in retaining_rings()
        if is_external is None or row.is_external == is_external
    )


def _size(row: RetainingRingRow, state: PartState) -> StandardSize:
    is_new = state is PartState.NEW
    below, above = (_FIT, 0.0) if row.is_external else (0.0, _FIT)
    # A ring that was fitted stays a little open (shaft) or closed (bore).
    set_change = Change.LARGER if row.is_external else Change.SMALLER
    return StandardSize(
        designation=f"{row.standard} {row.nominal:g}x{row.thickness:g}",
        standard=row.standard,
        made={
            "diameter": MadeSize(row.nominal - below, row.nominal + above),
            "groove": MadeSize(row.groove + row.groove_under, row.groove + row.groove_over),
            "thickness": MadeSize(row.thickness - row.thickness_under, row.thickness),
            "free": MadeSize(
                row.free + row.free_under,
                row.free + row.free_over,
                Change.NONE if is_new else set_change,
                0.0 if is_new else _SET,
            ),
        },
        nominal={
            "diameter": row.nominal,
            "groove": row.groove,
            "thickness": row.thickness,
            "free": row.free,
        },
        commonness=1.0 if row.nominal in _EVERYDAY else 0.5,
        notes=(
            f"Groove at least {row.groove_width:g} mm wide, at least {row.edge_margin:g} mm from"
            " the end.",
        ),
    )


def advise(measured: Mapping[str, Measured], state: PartState) -> tuple[str, ...]:
    """Return which dimension to trust."""
    advice = [
        "Trust the shaft or bore and its groove; a loose ring that was fitted before has taken a"
        " set. Thickness hardly wears: it tells sizes apart only in steps.",
    ]
    if set(measured) == {"thickness"}:
        advice.append("Thickness alone tells no size: measure the shaft or bore.")
    if state is not PartState.NEW:
        advice.append("Fit a new ring: a used one may have lost its spring. Wear eye protection.")
    return tuple(advice)
