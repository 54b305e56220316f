"""Hardness from one scale to another, and to tensile strength, for steel: ISO 18265 table A.1.

The table is that of unalloyed and low-alloy steels and cast steels. It says nothing of cold-worked
or case-hardened steel, stainless or tool steel, cast iron, or metals that are not steel, and no
conversion stands for a test: two test pieces that agree on one scale differ on another. So every
answer comes with the band within which the true reading is to be looked for.
"""

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import isfinite
from types import MappingProxyType
from typing import Final

from shared.errors import InvalidInput
from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows


class HardnessScale(StrEnum):
    """A scale of hardness; tensile strength (MPa) stands beside them in the table."""

    HV = "HV"
    HBW = "HBW"
    HRB = "HRB"
    HRC = "HRC"
    TENSILE = "MPa"


_COLUMN: Final = MappingProxyType(
    {
        HardnessScale.HV: "vickers",
        HardnessScale.HBW: "brinell",
        HardnessScale.HRB: "rockwell_b",
        HardnessScale.HRC: "rockwell_c",
        HardnessScale.TENSILE: "tensile",
    }
)

_SHARE: Final = MappingProxyType(
    {HardnessScale.HV: 0.05, HardnessScale.HBW: 0.05, HardnessScale.TENSILE: 0.1}
)
_POINTS: Final = MappingProxyType({HardnessScale.HRB: 3.0, HardnessScale.HRC: 2.0})
"""Half-width of the band around a converted figure. Common practice, no source: the standard has
its own curves of confidence, which the house does not hold."""

LIMITS: Final = (
    "Holds for unalloyed and low-alloy steel and cast steel alone: not for cold-worked,"
    " case-hardened, stainless or tool steel, cast iron or metals that are not steel.",
    "A conversion is no test: decide on a reading taken on the scale that the limit is stated in.",
    "The band is common practice (5 % of HV and HBW, 10 % of tensile strength, 3 HRB, 2 HRC),"
    " not the standard's own figure.",
)
"""What goes with every converted figure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HardnessRow(Sourced):
    """One node of the table; None where the scale does not reach. Tensile strength in MPa."""

    vickers: float
    tensile: float | None
    brinell: float | None
    rockwell_b: float | None
    rockwell_c: float | None


@dataclass(frozen=True, slots=True)
class Converted:
    """A converted figure on ``scale`` with the band in which the true one is to be looked for."""

    value: float
    scale: HardnessScale
    least: float
    most: float


def hardness_rows() -> tuple[HardnessRow, ...]:
    """Return the nodes of the table, softest first."""
    return rows("hardness", HardnessRow, "vickers")


def convert_hardness(value: float, scale_from: HardnessScale, scale_to: HardnessScale) -> Converted:
    """Turn a hardness into another scale: linear between the nodes, never beyond them.

    Raises InvalidInput with a pointer: /value (outside the table, or no finite number), /to (the
    scale does not reach there, or is the same one). Source: ISO 18265:2013 table A.1 (from
    memory).

    >>> convert_hardness(32, HardnessScale.HRC, HardnessScale.HV).value > 300
    True
    """
    if scale_from is scale_to:
        raise InvalidInput("/to", f"{scale_to} is the scale given.", "Ask for another scale.")
    own = _reach(scale_from)
    if not isfinite(value) or not own[0] <= value <= own[1]:
        raise InvalidInput(
            "/value",
            f"Got {value:g} {scale_from}; the table reaches from {own[0]:g} to {own[1]:g}.",
            "Give a value within the table; there is no fair conversion beyond it.",
            "out-of-range",
        )
    nodes = _nodes(scale_from, scale_to)
    if not nodes or not nodes[0][0] <= value <= nodes[-1][0]:
        reach = f"from {nodes[0][0]:g} to {nodes[-1][0]:g}" if nodes else "nowhere"
        raise InvalidInput(
            "/to",
            f"{value:g} {scale_from} has no {scale_to}: the two stand side by side {reach}.",
            "Ask for another scale.",
            "out-of-range",
        )
    found = _between(nodes, value)
    half = _POINTS.get(scale_to) or found * _SHARE[scale_to]
    return Converted(found, scale_to, found - half, found + half)


def _reach(scale: HardnessScale) -> tuple[float, float]:
    found = [figure for row in hardness_rows() if (figure := _figure(row, scale)) is not None]
    return found[0], found[-1]


def _nodes(scale_from: HardnessScale, scale_to: HardnessScale) -> tuple[tuple[float, float], ...]:
    pairs = ((_figure(row, scale_from), _figure(row, scale_to)) for row in hardness_rows())
    return tuple((x, y) for x, y in pairs if x is not None and y is not None)


def _figure(row: HardnessRow, scale: HardnessScale) -> float | None:
    figure: float | None = getattr(row, _COLUMN[scale])
    return figure


def _between(nodes: tuple[tuple[float, float], ...], value: float) -> float:
    for (x0, y0), (x1, y1) in pairwise(nodes):
        if x0 <= value <= x1:
            return y0 + (y1 - y0) * (value - x0) / (x1 - x0)
    return nodes[0][1]


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="hardness",
        title="Hardness conversion for unalloyed and low-alloy steel, 80 to 940 HV",
        load=hardness_rows,
        note="From memory. HRB above 100, HRC below 20 and HBW above 450 lie outside the scales'"
        " range and are left out.",
    ),
)
