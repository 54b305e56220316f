"""Pins, screws and bars that are pushed sideways; the facts that such set-ups need. mm, N, MPa."""

from collections.abc import Iterable, Mapping
from math import isfinite, pi, sqrt
from typing import Final, NamedTuple

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    SEAT_SAFETY,
    fits,
    missing,
    pressed_material,
    ratio,
)
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.fasteners.substitutes.stresses import BENDING_SAFETY, allowed_bending
from shared.standards.hole_materials import HoleMaterial

Sizes = Mapping[FeatureKind, float]

SIDEWAYS_BASIS: Final = (
    "narrow cantilever with its load at the end (Timoshenko, from memory), over 3:"
    " common practice, no source"
)
HOLD_BASIS: Final = (
    "equilibrium of a stiff pin under even pressure; pressure over 1.25: common practice, no source"
)


def hold(arm: float, depth: float) -> float:
    """Return the depth, mm, that counts of a stiff pin ``depth`` deep in a hole, pushed sideways.

    ``arm`` is the distance, mm, of the push from where the hole begins to bear. The pin turns in
    its hole, so that front and back of it bear against each other: the push that it bears is this
    depth times its diameter times the pressure that the hole bears. From equilibrium of forces and
    moments under even pressure; 0.414 of the depth without an arm.

    >>> round(hold(0, 10), 2), round(hold(5, 10), 2)
    (4.14, 2.36)
    """
    if depth <= 0:
        return 0.0
    return max(2 * sqrt(arm * arm + arm * depth + depth * depth / 2) - 2 * arm - depth, 0.0)


def pressed(material: HoleMaterial | None) -> float:
    """Return the pressure, MPa, that a surface may bear; unknown material: the table's weakest."""
    return pressed_material(material)[0].seat_pressure / SEAT_SAFETY


def material_text(material: HoleMaterial | None) -> str:
    """Name the material that is counted."""
    return pressed_material(material)[1]


def round_modulus(diameter: float) -> float:
    """Return the section modulus of a round bar, mm3."""
    return pi * diameter**3 / 32


def drilled_modulus(width: float, thickness: float, hole: float) -> float:
    """Return the section modulus, mm3, of a flat bar bent on edge, a hole through its middle."""
    return thickness * (width**3 - hole**3) / (6 * width) if width > hole else 0.0


class FlatBar(NamedTuple):
    """What a flat bar bears, bent on edge beside a hole: N·mm up to its bending, N·mm up to its
    giving way sideways, N at the hole's edge."""

    bends: float
    stays: float
    torn: float

    def margins(self, moment: float, push: float) -> tuple[float, ...]:
        """Return the margins of ``flat_bar_checks``."""
        return self.bends / moment, self.stays / moment, self.torn / push


def flat_bar(material: HoleMaterial, size: Sizes, hole: float) -> FlatBar:
    """Return what a flat bar bears on edge, with holes of ``hole`` mm in its middle.

    ``size`` holds its LENGTH, WIDTH and THICKNESS.
    """
    length, wide, thick = (
        size[kind] for kind in (FeatureKind.LENGTH, FeatureKind.WIDTH, FeatureKind.THICKNESS)
    )
    modulus, contraction = material.elastic_modulus, material.poisson_ratio
    stays = 4.013 * modulus * wide * thick**3 / (length * sqrt(72 * (1 + contraction)))
    return FlatBar(
        bends=drilled_modulus(wide, thick, hole) * allowed_bending(material),
        stays=stays / BENDING_SAFETY,
        torn=max(wide - hole, 0.0) * thick * material.tensile_least / 5,
    )


def flat_bar_checks(
    bar: Piece, what: str, size: Sizes, moment: float, hole: float, push: float
) -> tuple[Check, ...]:
    """Return the checks of a flat bar bent on edge by ``moment``, N·mm, with holes in its middle.

    ``size`` and ``hole`` as for ``flat_bar``; ``push``, N, is what a pin in the hole puts on it
    towards its edge; ``what`` names it. Its material is known.
    """
    assert bar.material is not None, "checked before"
    bends, stays, torn = flat_bar(bar.material, size, hole)
    asked = f"{moment / 1000:.3g} N·m on it"
    return (
        ratio(
            f"{what} bending",
            bends,
            moment,
            f"On edge it bears {bends / 1000:.3g} N·m beside the hole; {asked}.",
            "least tensile strength over 3: common practice, no source",
        ),
        ratio(
            f"{what} sideways",
            stays,
            moment,
            f"It stays straight on edge up to {stays / 1000:.3g} N·m; {asked}.",
            SIDEWAYS_BASIS,
        ),
        ratio(
            f"{what} edge",
            torn,
            push,
            f"Its edge bears {torn:.4g} N beside the hole, {push:.4g} N on it.",
            "least tensile strength over 5: common practice, no source",
        ),
    )


def fit(name: str, there: float, wanted: float, detail: str) -> Check:
    """Return a check of a size that suits or does not: no reserve when it passes."""
    return fits(name, there, wanted, detail, COMMON_PRACTICE)


def needed(
    requirement: Requirement, wanted: Mapping[FeatureKind, str]
) -> tuple[Sizes, tuple[Check, ...]]:
    """Return the sizes that a set-up needs, and a failing check for each that is not stated.

    ``wanted`` says of each what to state.
    """
    sizes = {kind: requirement.size(kind) for kind in wanted}
    lacking = (missing(kind, kind, wanted[kind]) for kind, size in sizes.items() if _no(size))
    return _known(sizes), tuple(lacking)


def needed_of(piece: Piece, kinds: Iterable[FeatureKind]) -> tuple[Sizes, tuple[Check, ...]]:
    """Return the sizes that are needed of a piece, and a failing check for each not stated."""
    sizes = {
        kind: piece.length if kind is FeatureKind.LENGTH else piece.size(kind) for kind in kinds
    }
    lacking = (
        missing(kind, kind, f"State the {kind.replace('-', ' ')} of {piece.name}.")
        for kind, size in sizes.items()
        if _no(size)
    )
    return _known(sizes), tuple(lacking)


def torque_needed(requirement: Requirement) -> tuple[float, tuple[Check, ...]]:
    """Return the most torque that may be needed, N·mm, and a failing check where it is not known.

    What is not known is 0, which no candidate passes with.
    """
    most = 0.0 if requirement.torque is None else requirement.torque.amount.most
    if isfinite(most) and most > 0:
        return most * 1000, ()
    told = "State the torque: the most that the work may put on it."
    return 0.0, (missing("torque", "torque", told),)


def _no(size: float | None) -> bool:
    return size is None or not (isfinite(size) and size > 0)


def _known(sizes: Mapping[FeatureKind, float | None]) -> Sizes:
    return {kind: size for kind, size in sizes.items() if size is not None and not _no(size)}
