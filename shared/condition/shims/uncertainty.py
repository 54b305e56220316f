"""How far shims and what was measured over them may be off. Standard uncertainties in mm."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from math import fsum, sqrt

from shared.condition.gauges import usual_gauge
from shared.condition.shims.asked import MadeTo, ShimPackAsked
from shared.condition.shims.lengths import doubt_mm, exact_mm, plain_mm, told
from shared.condition.uncertainty import combined_uncertainty
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.standards.shims import shim_thicknesses

USUAL_HALF_WIDTH_MM = 0.005
"""How far a shim that nobody measured is off what it is sold as; common practice, no source."""

ShimDoubt = Callable[[Quantity], float]


def shim_doubt(asked: ShimPackAsked) -> tuple[ShimDoubt, tuple[str, ...]]:
    """Return what gives the standard uncertainty of one shim's thickness, and what is assumed.

    First that applies: stated with the shim; ``shim_uncertainty``; how far DIN 988 lets a ring be
    thinner, as half-width to both sides (a / sqrt(3), JCGM 100:2008 4.3.7: to the safe side, for a
    ring is never thicker); else ``USUAL_HALF_WIDTH_MM``, taken so too.
    """
    if asked.shim_uncertainty is not None:
        of_all = float(not_negative_mm(asked.shim_uncertainty, "/shim_uncertainty"))
        return (lambda shim: _stated(shim, of_all)), ()
    if asked.made_to is MadeTo.DIN_988:
        assumed = (
            "shims nobody measured may be off by as much as DIN 988 lets a ring be thinner (table"
            " from memory): measure them"
        )
        return (lambda shim: _stated(shim, _by_din_988(exact_mm(shim, "")))), (assumed,)
    usual = USUAL_HALF_WIDTH_MM / sqrt(3)
    assumed = (
        f"shims nobody measured are taken as off by up to {USUAL_HALF_WIDTH_MM} mm (common"
        " practice, no source): measure them"
    )
    return (lambda shim: _stated(shim, usual)), (assumed,)


def common_doubt(asked: ShimPackAsked) -> float:
    """Return the part of a shim's doubt that all share, mm; 0 where none is given.

    Raises InvalidInput where it is more than ``shim_uncertainty``, or that is not given.
    """
    if asked.shim_common_uncertainty is None:
        return 0.0
    pointer = "/shim_common_uncertainty"
    common = float(not_negative_mm(asked.shim_common_uncertainty, pointer))
    own = asked.shim_uncertainty
    if own is None or common > float(exact_mm(own, "/shim_uncertainty")):
        raise InvalidInput(
            pointer,
            "It is a part of shim_uncertainty, which is not given or less.",
            "Give shim_uncertainty, at least as much.",
            "contradiction",
        )
    return common


def pack_doubt(needed: float, shims: Sequence[float], common: float = 0.0) -> float:
    """Return the standard uncertainty of what is set, as thickness, mm.

    u^2 = u_m^2 + sum(u_i^2 - c^2) + (n c)^2: independent parts by root sum of squares, what n shims
    share n times (JCGM 100:2008 5.1.2 and 5.2.2, from memory). Without a common part it is
    u_m^2 + n u_shim^2.

    >>> round(pack_doubt(0.004, [0.0015, 0.0015]), 6)
    0.004528
    """
    own = fsum(max(0.0, u * u - common * common) for u in shims)
    return sqrt(needed * needed + own + (len(shims) * common) ** 2)


def measured_doubt(
    asked: ShimPackAsked, measured: Quantity, pointer: str
) -> tuple[float | None, tuple[str, ...]]:
    """Return the doubt of what was measured, mm, and what is assumed; None: it is not known."""
    exact_mm(measured, pointer)
    stated = doubt_mm(measured)
    if stated is not None:
        return stated, ()
    if asked.uncertainty is not None:
        return float(not_negative_mm(asked.uncertainty, "/uncertainty")), ()
    usual = usual_gauge(asked.gauge_kind)
    if usual is None:
        return None, ()
    return usual.u_mm, (f"u = {told(usual.u_mm)} as usual for {usual.name}: {usual.basis}",)


def grouped_doubt(parts: Sequence[tuple[float, str | None]]) -> float:
    """Return the doubt of a sum of signed parts ``f_i u_i``, each with the gauge it was read with.

    How far readings of one gauge go together is not known: whichever of not at all (root sum of
    squares) and wholly (plain sum) gives more is taken, gauge by gauge. Signs count: in a
    difference what is common falls out, and is not relied on.
    """
    groups: dict[str, list[float]] = {}
    alone: list[float] = []
    for part, gauge in parts:
        if gauge is None:
            alone.append(part)
        else:
            groups.setdefault(gauge, []).append(part)
    together = [max(combined_uncertainty(own), abs(fsum(own))) for own in groups.values()]
    return combined_uncertainty([*alone, *together])


def not_negative_mm(length: Quantity, pointer: str) -> Fraction:
    """Return a length in mm that states no doubt; raises InvalidInput below 0."""
    size = plain_mm(length, pointer)
    if size < 0:
        raise InvalidInput(
            f"{pointer}/value",
            f"It is {length.value:f} {length.unit}; wanted 0 or more.",
            "Give it without a sign.",
            "out-of-range",
        )
    return size


def _stated(shim: Quantity, otherwise: float) -> float:
    own = doubt_mm(shim)
    return otherwise if own is None else own


def _by_din_988(thickness: Fraction) -> float:
    """Half-width from the row of this thickness; of one that DIN 988 has not, the widest row's."""
    rows = shim_thicknesses()
    own = [row.under for row in rows if abs(row.thickness - float(thickness)) < 1e-9]
    return (own[0] if own else max(row.under for row in rows)) / sqrt(3)
