"""Shim rings (DIN 988 PS) and supporting rings (DIN 988 S), 3 to 100 mm inside. Millimetres."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows


@dataclass(frozen=True, slots=True, kw_only=True)
class ShimRow(Sourced):
    """An inside and outside diameter: D12 and d12 as deviations, both away from the material.

    ``supporting_thickness`` is that of the supporting ring of this size.
    """

    inside: float
    outside: float
    inside_over_least: float
    inside_over_most: float
    outside_under_least: float
    outside_under_most: float
    supporting_thickness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShimThicknessRow(Sourced):
    """A thickness of shim rings, and how far a ring may be thinner."""

    thickness: float
    under: float


SUPPORTING_UNDER: Final = 0.05
"""How far a supporting ring may be thinner, mm; DIN 988 from memory."""


def shims() -> tuple[ShimRow, ...]:
    """Return the sizes, by inside diameter."""
    return rows("shims", ShimRow, "inside", "outside")


def shim_thicknesses() -> Sequence[ShimThicknessRow]:
    """Return the thicknesses of shim rings, the thinnest first."""
    return rows("shim_thicknesses", ShimThicknessRow, "thickness")


@cache
def shims_by_size() -> MappingProxyType[tuple[float, float], ShimRow]:
    """Return the sizes by inside and outside diameter, mm."""
    return MappingProxyType({(row.inside, row.outside): row for row in shims()})


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="shims",
        title="Shim and supporting rings from 3 to 100 mm inside",
        load=shims,
        note="From memory; thicknesses of supporting rings the least certain.",
    ),
    TableInfo(name="shim_thicknesses", title="Thicknesses of shim rings", load=shim_thicknesses),
)
