"""Parallel keys of DIN 6885-1 by shaft diameter, their keyways and lengths. Millimetres."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRow(Sourced):
    """A section of key: for shafts over ``shaft_over`` up to and including ``shaft_up_to``.

    ``width_under`` (h9) and ``height_under`` (h9 of square keys to 6 mm, else h11) are how far a
    key may be smaller; ``depth_over`` is the upper deviation of both keyway depths.
    """

    shaft_over: float
    shaft_up_to: float
    width: float
    height: float
    width_under: float
    height_under: float
    shaft_depth: float
    hub_depth: float
    depth_over: float
    length_least: float
    length_most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyLengthRow(Sourced):
    """A length of the list, and how far a key may be shorter."""

    length: float
    under: float


def keys() -> tuple[KeyRow, ...]:
    """Return the sections of key, the smallest first."""
    return rows("keys", KeyRow, "width", "height")


def key_lengths() -> Sequence[KeyLengthRow]:
    """Return the lengths of the list, the shortest first."""
    return rows("key_lengths", KeyLengthRow, "length")


@cache
def keys_by_section() -> MappingProxyType[tuple[float, float], KeyRow]:
    """Return the keys by width and height, mm."""
    return MappingProxyType({(row.width, row.height): row for row in keys()})


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="keys",
        title="Parallel keys for shafts over 6 up to 170 mm, with keyway depths",
        load=keys,
        note="Depths for sections over 22 x 14 agree with a public table, limits are from memory.",
    ),
    TableInfo(name="key_lengths", title="Lengths of parallel keys", load=key_lengths),
)
