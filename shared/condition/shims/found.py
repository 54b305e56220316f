"""What is told of a shim pack: the thickness wanted, the packs, and what to do first."""

from dataclasses import dataclass
from enum import StrEnum

from shared.quantities import Quantity


class ShimAdvice(StrEnum):
    """What is to be done."""

    FIT_AND_CHECK = "fit-and-check"
    """The first pack is likely enough: fit it, measure again, record it."""
    AS_THE_RULE_SAYS = "as-the-rule-says"
    """The maker's rule names the thickness, and packs make it."""
    MAKES_THE_THICKNESS = "makes-the-thickness"
    """Packs make the thickness; no range is known that they could be held against."""
    NOT_LIKELY_ENOUGH = "not-likely-enough"
    """Packs lie in the range, none likely enough: the likeliest come first."""
    DOUBT_NOT_KNOWN = "doubt-not-known"
    """Packs lie in the range; how sure that is cannot be told."""
    NONE_IN_RANGE = "none-in-range"
    """No pack makes it: the nearest are told."""
    MEASURE_AGAIN = "measure-again"
    """Even without shims there is too little room: the reading or the assembly is wrong."""
    MEASURE_FIRST = "measure-first"
    """What sat there is not known well enough: do not order yet."""
    OLD_PACK_STAYS = "old-pack-stays"
    """It was measured as right once fitted, or the change is too small to matter."""
    NOTHING_TO_CHOOSE_FROM = "nothing-to-choose-from"
    """No shims are given: the thickness alone is told."""


@dataclass(frozen=True, slots=True)
class ShimLine:
    """Shims of one thickness in a pack; ``from_stock`` of them are on hand."""

    thickness: Quantity
    quantity: int
    from_stock: int
    part_id: str | None = None


@dataclass(frozen=True, slots=True)
class PackFound:
    """A pack. ``comes_to``: what it sets. ``from_stock``: all its shims are on hand.

    ``probability_in_range``: that what it sets lies in its range; None: no range, or the doubt of
    what was measured is not known. ``is_likely_enough`` None: likewise.
    """

    shims: tuple[ShimLine, ...]
    total: Quantity
    comes_to: Quantity | None
    probability_in_range: float | None
    is_likely_enough: bool | None
    from_stock: bool


@dataclass(frozen=True, slots=True)
class NeededFound:
    """The thickness wanted. ``value`` is aimed at before any rounding, ``rounded`` by the rule.

    No range: both ends None. ``standard_uncertainty`` None: not known.
    """

    value: Quantity
    rounded: Quantity | None
    lower: Quantity | None
    upper: Quantity | None
    standard_uncertainty: Quantity | None
    how: str
    mean: Quantity | None = None
    measured: Quantity | None = None


@dataclass(frozen=True, slots=True)
class OldShimFound:
    """Shims of one thickness of the old pack, and which of the list they may be."""

    thickness: Quantity
    quantity: int
    is_broken: bool
    could_be: tuple[Quantity, ...]


@dataclass(frozen=True, slots=True)
class OldPackFound:
    """The old pack added up: total, within which it lies, which single shims lie there too."""

    total: Quantity
    lower: Quantity
    upper: Quantity
    standard_uncertainty: Quantity | None
    is_certain: bool
    listed_within: tuple[Quantity, ...]
    possible_totals: tuple[Quantity, ...]
    shims: tuple[OldShimFound, ...]


@dataclass(frozen=True, slots=True)
class ShimPackFound:
    """The answer; packs best first. ``is_complete``: every pack there is was looked at.

    ``nearest_below`` and ``nearest_above``: where no pack makes it. ``to_measure``: what to measure
    before anything is ordered or fitted.
    """

    advice: ShimAdvice
    reason: str
    needed: NeededFound
    packs: tuple[PackFound, ...] = ()
    nearest_below: PackFound | None = None
    nearest_above: PackFound | None = None
    old_pack: OldPackFound | None = None
    to_measure: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    is_complete: bool = True
