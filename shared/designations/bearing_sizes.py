"""Bearings written by their sizes: 25x52x15, bearing 1/2 x 1 1/8 x 1/4 in. Sizes in mm."""

from collections import defaultdict
from dataclasses import replace
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.designations.bearing_marks import WORDS
from shared.designations.bearings import plain_bearing
from shared.designations.measures import (
    find_sizes,
    is_in_inches,
    joined_by_x,
    words_of,
)
from shared.designations.model import Bearing
from shared.standards.bearings import BearingRow, bearing_rows
from shared.standards.thread_geometry import MM_PER_INCH

_UNITS: Final = frozenset({"mm", "in", "inch"})
_PLACES: Final = 2
_MOST: Final = 6
BY_SIZES: Final = (
    "By its sizes alone: they tell neither the kind of bearing nor its closure and clearance."
)


def read_bearing_by_sizes(text: str) -> tuple[Bearing, ...]:
    """Return the listed bearings of the sizes that tidied text gives, the commonest first.

    At most six; nothing where there are other words than those for a bearing.

    >>> [bearing.canonical for bearing in read_bearing_by_sizes("8x22x7")]
    ['608', '108 rolling bearing']
    """
    found = find_sizes(joined_by_x(text))
    if found is None or len(found[0]) != 3:
        return ()
    sizes, before, behind = found
    if any(word.casefold() not in WORDS | _UNITS for word in words_of(f"{before} {behind}")):
        return ()
    factor = MM_PER_INCH if is_in_inches(text) else 1.0
    bore, outside, width = (round(size * factor, _PLACES) for size in sizes)
    return tuple(
        replace(part, notes=(BY_SIZES, *part.notes))
        for row in _by_sizes().get((bore, outside, width), ())[:_MOST]
        for part in (plain_bearing(row.designation),)
    )


@cache
def _by_sizes() -> MappingProxyType[tuple[float, float, float], tuple[BearingRow, ...]]:
    found: dict[tuple[float, float, float], list[BearingRow]] = defaultdict(list)
    for row in sorted(bearing_rows(), key=lambda row: -row.commonness):
        for width in dict.fromkeys((row.width, row.width_sealed)):
            if width is not None:
                bore, outside, wide = (
                    round(size, _PLACES) for size in (row.bore, row.outside, width)
                )
                found[bore, outside, wide].append(row)
    return MappingProxyType({sizes: tuple(those) for sizes, those in found.items()})
