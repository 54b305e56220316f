"""The pack that sat there: its thickness with its doubt, and which shims of the list it may be."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations_with_replacement
from math import fsum

from shared.condition.model import Shim
from shared.condition.shims.lengths import above_zero_mm, doubt_mm, exact_mm, half_width_mm, told
from shared.condition.shims.uncertainty import ShimDoubt
from shared.condition.uncertainty import combined_uncertainty

_MOST_TOTALS = 60
_MOST_WAYS = 5000
_MOST_COULD_BE = 20


@dataclass(frozen=True, slots=True)
class Listed:
    """A thickness of the list, mm; ``is_had``: still sold, or on hand."""

    size: Fraction
    is_had: bool


@dataclass(frozen=True, slots=True)
class OldShim:
    """Shims of one thickness that sat there; ``could_be``: those of the list within its doubt."""

    thickness: Fraction
    quantity: int
    is_broken: bool
    lower: Fraction
    upper: Fraction
    could_be: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class OldPack:
    """What the old pack comes to, mm; ``u`` None: not known.

    ``lower`` and ``upper``: within which it lies as stated. ``listed_within``: thicknesses of the
    list, still had, that lie there. ``possible_totals``: what it comes to if each shim is one of
    the list. ``is_certain``: it does not matter which.
    """

    total: Fraction
    lower: Fraction
    upper: Fraction
    u: float | None
    shims: tuple[OldShim, ...] = ()
    listed_within: tuple[Fraction, ...] = ()
    possible_totals: tuple[Fraction, ...] = ()
    is_certain: bool = True
    cautions: tuple[str, ...] = ()


NO_PACK = OldPack(Fraction(0), Fraction(0), Fraction(0), 0.0)
"""None sat there."""


def read_old_pack(shims: Sequence[Shim], listed: Sequence[Listed], doubt: ShimDoubt) -> OldPack:
    """Add up an old pack; broken and unlisted shims count as measured, with their doubt.

    The doubts of shims that were measured are added up as they are: one gauge read them all, and
    what it has in common does not fall out of a sum (to the safe side). Shims of the list count as
    what they are sold as. Raises InvalidInput for a thickness not above 0.
    """
    if not shims:
        return NO_PACK
    read = tuple(_read(shim, listed, f"/old_pack/{place}") for place, shim in enumerate(shims))
    total = sum((one.thickness * one.quantity for one in read), Fraction(0))
    lower = sum((one.lower * one.quantity for one in read), Fraction(0))
    upper = sum((one.upper * one.quantity for one in read), Fraction(0))
    return OldPack(
        total,
        lower,
        upper,
        _doubt(shims, read, listed, doubt),
        read,
        tuple(one.size for one in listed if one.is_had and lower <= one.size <= upper),
        _possible_totals(read),
        all(_is_certain(shim, one) for shim, one in zip(shims, read, strict=True)),
        tuple(_cautions(shims, read, listed)),
    )


def _read(shim: Shim, listed: Sequence[Listed], pointer: str) -> OldShim:
    size = above_zero_mm(shim.thickness, f"{pointer}/thickness")
    off = half_width_mm(shim.thickness) or Fraction(0)
    lower, upper = max(Fraction(0), size - off), size + off
    within = tuple(one.size for one in listed if lower <= one.size <= upper)
    return OldShim(size, shim.quantity, shim.is_broken, lower, upper, within[:_MOST_COULD_BE])


def _doubt(
    shims: Sequence[Shim], read: Sequence[OldShim], listed: Sequence[Listed], doubt: ShimDoubt
) -> float | None:
    measured, nominal = [], []
    for shim, one in zip(shims, read, strict=True):
        own = doubt_mm(shim.thickness)
        if own is not None:
            measured.append(own * shim.quantity)
        elif shim.is_broken or (listed and not one.could_be):
            return None
        else:
            nominal += [doubt(shim.thickness)] * shim.quantity
    return combined_uncertainty([fsum(measured), *nominal])


def _is_certain(shim: Shim, read: OldShim) -> bool:
    if doubt_mm(shim.thickness) is None:
        return not shim.is_broken
    return len(read.could_be) <= 1


def _cautions(
    shims: Sequence[Shim], read: Sequence[OldShim], listed: Sequence[Listed]
) -> list[str]:
    said = []
    sizes = {one.size for one in listed}
    for shim, one in zip(shims, read, strict=True):
        unit = shim.thickness.unit
        name = told(exact_mm(shim.thickness, ""), unit)
        is_measured = doubt_mm(shim.thickness) is not None
        if one.is_broken and not is_measured:
            said.append(f"the broken shim of {name} states no doubt: say how far it may be off")
        if sizes and one.thickness not in sizes:
            if not one.could_be:
                said.append(f"{name} is not in the list of thicknesses: measure it again")
            else:
                which = ", ".join(told(size, unit) for size in one.could_be)
                said.append(f"{name} is not in the list: suspect; within its doubt lie {which}")
        elif is_measured and len(one.could_be) > 1:
            which = ", ".join(told(size, unit) for size in one.could_be)
            said.append(f"a shim read as {name} may be any of {which}")
    return said


def _possible_totals(read: Sequence[OldShim]) -> tuple[Fraction, ...]:
    """Return the sums if each shim is one of those it could be; none where one could be none."""
    if not all(one.could_be for one in read):
        return ()
    totals = {Fraction(0)}
    for one in read:
        if len(one.could_be) == 1:
            sums = {one.could_be[0] * one.quantity}
        elif one.quantity * len(one.could_be) > _MOST_TOTALS:
            return ()
        else:
            ways = combinations_with_replacement(one.could_be, min(one.quantity, 4))
            if one.quantity > 4:
                return ()
            sums = {sum(way, Fraction(0)) for way in ways}
        if len(totals) * len(sums) > _MOST_WAYS:
            return ()
        totals = {total + more for total in totals for more in sums}
    return tuple(sorted(totals)) if len(totals) <= _MOST_TOTALS else ()
