"""Rotary shaft lip-type seals: sizes of ISO 6194-1, DIN 3760 and the trade; what seats they need.

Lengths in millimetres. A seal is written shaft x housing x width: the sizes of the seats, not of
the loose seal, whose outside is larger than its bore and whose lip is smaller than its shaft.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.iso286 import tolerance_grade
from shared.standards.reader import Sourced, rows


@dataclass(frozen=True, slots=True, kw_only=True)
class ShaftSealRow(Sourced):
    """A size: shaft, bore of the housing, width. ``commonness`` weighs how often it is met."""

    shaft: float
    housing: float
    width: float
    standard: str
    commonness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SealAllowanceRow(Sourced):
    """By how much a seal is larger outside than its bore, least and most, mm."""

    bore_over: float
    bore_up_to: float
    metal_least: float
    metal_most: float
    rubber_least: float
    rubber_most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SealLipRow(Sourced):
    """By how much a new lip with its spring is smaller than its shaft, least and most, mm."""

    shaft_over: float
    shaft_up_to: float
    least: float
    most: float


_UM_PER_MM: Final = 1000.0


def shaft_seals() -> tuple[ShaftSealRow, ...]:
    """Return the sizes, by shaft, housing and width."""
    return rows("shaft_seals", ShaftSealRow, "shaft", "housing", "width")


@cache
def shaft_seals_by_size() -> MappingProxyType[tuple[float, float, float], ShaftSealRow]:
    """Return the sizes by (shaft, housing, width), mm."""
    return MappingProxyType({(row.shaft, row.housing, row.width): row for row in shaft_seals()})


def seal_allowance(housing: float) -> SealAllowanceRow:
    """Return by how much a seal for this bore is larger than it; the last row holds beyond it."""
    table = _allowances()
    return next((row for row in table if housing <= row.bore_up_to), table[-1])


def lip_interference(shaft: float) -> SealLipRow:
    """Return by how much a new lip is smaller than this shaft; the last row holds beyond it."""
    table = _lips()
    return next((row for row in table if shaft <= row.shaft_up_to), table[-1])


def shaft_tolerance(shaft: float) -> float:
    """Return how far a shaft of h11 may lie under its nominal size, mm (ISO 286-1).

    Raises OutOfRange above 500 mm, as ``housing_tolerance`` does.

    >>> shaft_tolerance(25)
    0.13
    """
    return tolerance_grade(shaft, "11") / _UM_PER_MM


def housing_tolerance(housing: float) -> float:
    """Return how far a bore of H8 may lie over its nominal size, mm (ISO 286-1).

    >>> housing_tolerance(47)
    0.039
    """
    return tolerance_grade(housing, "8") / _UM_PER_MM


def width_tolerance(width: float) -> float:
    """Return the tolerance of a seal's width either way, mm: 0.2 up to 10 mm, 0.3 above."""
    return 0.2 if width <= 10 else 0.3


def _allowances() -> Sequence[SealAllowanceRow]:
    return rows("shaft_seal_allowances", SealAllowanceRow, "bore_over")


def _lips() -> Sequence[SealLipRow]:
    return rows("shaft_seal_lips", SealLipRow, "shaft_over")


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="shaft_seals",
        title="Rotary shaft seals for shafts from 6 to 200 mm: shaft x housing x width",
        load=shaft_seals,
        note="Nearly all from memory; sizes marked common practice are stocked by the trade and"
        " stand in no standard's list. Inch sizes are not held.",
    ),
    TableInfo(
        name="shaft_seal_allowances",
        title="How much larger than its bore a shaft seal is",
        load=_allowances,
        note="Bores over 180 mm from memory.",
    ),
    TableInfo(
        name="shaft_seal_lips",
        title="How much smaller than its shaft a new lip is",
        load=_lips,
        note="A rule of the trade, to find a shaft size from a loose seal; no source.",
    ),
)
