"""What is asked of a shim pack: one way to the thickness, the shims there are, the maker's rule."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Final

from shared.condition.marks_asked import LargerMark
from shared.condition.model import Shim, ShimEffect
from shared.condition.shim_place import ShimRule, ShimSize
from shared.quantities import Quantity

MOST_SHIMS: Final = 12
"""Shims of one pack that are looked at; more are no pack any more (common practice, no source)."""
MOST_SIZES: Final = 200
MOST_PACKS: Final = 20
MOST_TERMS: Final = 12


class MarkCounts(StrEnum):
    """What a larger mark does to the thickness that is wanted."""

    ADDS = "adds"
    SUBTRACTS = "subtracts"


class MadeTo(StrEnum):
    """A standard that says how far a shim may be off its thickness."""

    DIN_988 = "din-988"


@dataclass(frozen=True, slots=True)
class DepthTerm:
    """A length of a depth sum, times its factor (-1: taken off). ``gauge``: with what, by name."""

    name: str
    measured: Quantity
    factor: Decimal = Decimal(1)
    gauge: str | None = None


@dataclass(frozen=True, slots=True)
class DepthMark:
    """A mark that counts ``unit`` each; the maker says whether a larger one adds or subtracts."""

    name: str
    mark: Decimal
    unit: Quantity
    larger_mark: MarkCounts


@dataclass(frozen=True, slots=True)
class DepthSum:
    """Sum of the terms, the offset and the marks: the room that the shims fill."""

    terms: tuple[DepthTerm, ...]
    offset: Quantity | None = None
    marks: tuple[DepthMark, ...] = ()


@dataclass(frozen=True, slots=True)
class PartChange:
    """A part that was exchanged for one of another size, and what a larger one wants of the shim.

    A difference that is not more than ``threshold`` leaves the shims as they are.
    """

    old: Quantity
    new: Quantity
    larger_part: LargerMark
    threshold: Quantity | None = None


@dataclass(frozen=True, slots=True)
class StockShim:
    """Shims on hand; ``quantity`` None: as many as are needed."""

    thickness: Quantity
    quantity: int | None = None
    part_id: str | None = None


@dataclass(frozen=True, slots=True)
class ShimPackAsked:
    """One way to the thickness, which shims there are, how sure is sure enough.

    The ways: ``pack_lower`` and ``pack_upper``; ``measured_gap`` without shims; the old pack
    (``old_pack`` or ``old_total``) with what was ``measured`` over it, with a ``change`` of the
    pack, with a ``part_change``, or alone (as it was); a ``depth_sum``. ``readings`` may stand for
    ``measured_gap`` or ``measured``: their mean counts. ``clearance_lower`` and ``clearance_upper``
    are the range of what the shims set; a preload is a negative clearance. ``effect`` and
    ``factor``: what a mm of shim does to it. ``leeway``: how far a pack may be off a thickness that
    has no range. ``uncertainty``: standard uncertainty of what was measured, where it states none.
    ``shim_uncertainty`` is that of one shim's thickness, ``shim_common_uncertainty`` the part of it
    that all share (one micrometer).
    """

    pack_lower: Quantity | None = None
    pack_upper: Quantity | None = None
    measured_gap: Quantity | None = None
    clearance_lower: Quantity | None = None
    clearance_upper: Quantity | None = None
    old_pack: tuple[Shim, ...] | None = None
    old_total: Quantity | None = None
    measured: Quantity | None = None
    readings: tuple[Quantity, ...] = ()
    change: Quantity | None = None
    part_change: PartChange | None = None
    depth_sum: DepthSum | None = None
    effect: ShimEffect | None = None
    factor: Decimal = Decimal(1)
    leeway: Quantity | None = None
    stock: tuple[StockShim, ...] = ()
    sizes: tuple[ShimSize, ...] = ()
    max_shims: int = MOST_SHIMS
    rule: ShimRule | None = None
    uncertainty: Quantity | None = None
    gauge_kind: str | None = None
    gauge_step: Quantity | None = None
    shim_uncertainty: Quantity | None = None
    shim_common_uncertainty: Quantity | None = None
    made_to: MadeTo | None = None
    acceptance_probability: Decimal = Decimal("0.95")
    most_packs: int = 5
