"""Retaining rings for shafts (DIN 471) and bores (DIN 472), 3 to 100 mm, and their grooves.

Lengths in millimetres. Tolerances are written as they stand: ``thickness_under`` is how far a ring
may be thinner than nominal; ``groove_over`` and ``groove_under`` are the deviations of the groove.
"""

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows

FOR_SHAFTS: Final = "DIN 471"
FOR_BORES: Final = "DIN 472"


@dataclass(frozen=True, slots=True, kw_only=True)
class RetainingRingRow(Sourced):
    """A ring of the normal type: ``nominal`` is the shaft's or bore's diameter.

    ``groove`` is the groove's diameter, ``groove_width`` the least width, ``groove_depth`` that on
    one side, ``edge_margin`` the least material beside the groove, ``free`` the diameter of the
    loose ring (inside of a ring for shafts, outside of one for bores).
    """

    standard: str
    nominal: float
    thickness: float
    thickness_under: float
    groove: float
    groove_over: float
    groove_under: float
    groove_width: float
    groove_depth: float
    edge_margin: float
    free: float
    free_over: float
    free_under: float

    @property
    def is_external(self) -> bool:
        """Whether it sits on a shaft."""
        return self.standard == FOR_SHAFTS


def retaining_rings() -> tuple[RetainingRingRow, ...]:
    """Return the rings: those for shafts first, by nominal size."""
    return rows("retaining_rings", RetainingRingRow, "standard", "nominal")


@cache
def retaining_rings_by_nominal() -> MappingProxyType[tuple[str, float], RetainingRingRow]:
    """Return the rings by standard ("DIN 471") and nominal size, mm."""
    return MappingProxyType({(row.standard, row.nominal): row for row in retaining_rings()})


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="retaining_rings",
        title="Retaining rings for shafts from 3 and bores from 8 to 100 mm, normal type",
        load=retaining_rings,
        note="The heavy type and sizes over 100 mm are not held. Where the second origin cannot be"
        " right the figures are from memory: the 48 mm shaft ring is 1.75 thick, the 82 mm bore"
        " ring 2.5, and shaft rings of 11 to 48 mm are 0 to 0.06 mm under their thickness; loose"
        " bore rings of 40 to 45 mm are +0.9/-0.39. Public tables differ on two figures: the 72 mm"
        " bore ring may be 76.5 loose, the groove of a 10 mm shaft ring 0 to 0.06 mm under.",
    ),
)
