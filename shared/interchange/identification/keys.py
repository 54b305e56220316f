"""Which parallel key it is: width, height and length measured on the key."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Final

from shared.interchange.identification.model import (
    Change,
    MadeSize,
    Measured,
    PartState,
    StandardSize,
)
from shared.standards.keys import KeyLengthRow, KeyRow, key_lengths, keys

DIMENSIONS: Final = ("width", "height", "length")

_CUT: Final = 0.2
"""Share of the keys on a bench that are cut to a length off the list; common practice."""
_CUT_NOTE: Final = "The length is none of the list: cut from a longer key."
# Mean wear of a key's sides by use, mm; common practice, no source.
_WORN: Final = {PartState.NEW: 0.0, PartState.UNKNOWN: 0.02, PartState.USED: 0.05}


@cache
def sizes(
    state: PartState = PartState.UNKNOWN, with_length: bool = False
) -> tuple[StandardSize, ...]:
    """Return the keys that it may be, mm: by section alone, or every length of every section.

    With length, each section also stands once without: a key cut to some other length.
    """
    every = tuple(_size(row, None, state) for row in keys())
    if not with_length:
        return every
    lengths = {
        row: [
            length
            for length in key_lengths()
            if row.length_least <= length.length <= row.length_most
        ]
        for row in keys()
    }
    listed = (
        _size(row, length, state, (1 - _CUT) / len(those))
        for row, those in lengths.items()
        for length in those
    )
    cut = (
        replace(size, commonness=_CUT * size.commonness, notes=(*size.notes, _CUT_NOTE))
        for size in every
    )
    return (*listed, *cut)


def _size(
    row: KeyRow, length: KeyLengthRow | None, state: PartState, share: float = 1.0
) -> StandardSize:
    worn = _WORN[state]
    made = {
        "width": MadeSize(
            row.width - row.width_under,
            row.width,
            Change.SMALLER if worn else Change.NONE,
            worn,
        ),
        "height": MadeSize(row.height - row.height_under, row.height),
    }
    nominal = {"width": row.width, "height": row.height}
    name = f"DIN 6885 {row.width:g}x{row.height:g}"
    if length is not None:
        made["length"] = MadeSize(length.length - length.under, length.length)
        nominal["length"] = length.length
        name += f"x{length.length:g}"
    return StandardSize(
        designation=name,
        standard="DIN 6885-1",
        made=made,
        nominal=nominal,
        commonness=share * (1.0 if row.width <= 14 else 0.6),
        notes=(f"For shafts over {row.shaft_over:g} up to {row.shaft_up_to:g} mm.",),
    )


def advise(measured: Mapping[str, Measured], state: PartState) -> tuple[str, ...]:
    """Return which dimension to trust."""
    advice = [
        "The sides of a key wear, its height does not: trust the height, and the unworn end.",
        "Check against the shaft's diameter; a worn keyway wants a stepped key or new work, not a"
        " filed one.",
    ]
    if "length" in measured:
        advice.append("Keys are cut to length: a length off the list does not speak against it.")
    return tuple(advice)
