"""A bar that a rod pulls against: its hole, and what it bears in its middle. mm, N, MPa.

Bending as of a bar on two supports, loaded in the middle, less what its holes take.
"""

from functools import lru_cache
from typing import Final, NamedTuple

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    clearance_hole,
    missing,
    ratio,
)
from shared.fasteners.substitutes.families.ring_fit import size_of
from shared.fasteners.substitutes.model import Check, Piece
from shared.fasteners.substitutes.screw_work import PartAllows
from shared.fasteners.substitutes.stresses import (
    BASIS,
    allowed_bending,
    allowed_shear,
    tool_material_check,
)
from shared.standards.hole_materials import HoleMaterial
from shared.standards.thread_model import Thread

LARGEST_HOLE: Final = 1.2
"""Hole per major diameter that a washer or nut still covers. Common practice, no source."""
_LEAST_WIDTH: Final = 3.0
"""Width of a bar per diameter of the rod. Common practice, no source."""
_PEAK: Final = 1.5
"""Greatest over mean shear stress of a rectangle."""


@lru_cache(maxsize=512)
def _drilled(thread: Thread) -> float:
    return clearance_hole(thread)


def hole_in(bar: Piece, thread: Thread) -> float:
    """Return the hole for the rod in a bar, mm: as drilled, or as it is there already."""
    return max(_drilled(thread), size_of(bar, FeatureKind.BORE) or 0.0)


class Flat(NamedTuple):
    """A bar whose sizes, mm, and metal are known; ``along`` is 0 where its length is not.

    ``lost`` is what its holes take of its width.
    """

    bar: Piece
    along: float
    width: float
    thick: float
    hole: float
    lost: float
    material: HoleMaterial


def flat_of(bar: Piece, thread: Thread) -> Flat | None:
    """Return a bar for a rod of a thread; None of one whose facts are not known."""
    width, thick = size_of(bar, FeatureKind.WIDTH), size_of(bar, FeatureKind.THICKNESS)
    if width is None or thick is None or bar.material is None:
        return None
    along, hole = size_of(bar, FeatureKind.LENGTH) or 0.0, hole_in(bar, thread)
    bore = size_of(bar, FeatureKind.BORE) or 0.0
    # A hole too narrow for the rod stays, wherever it is: the worst is beside the new one.
    lost = hole if bore > thread.major else hole + bore
    return Flat(bar, along, width, thick, hole, lost, bar.material)


def bar_checks(bar: Piece, thread: Thread, wanted: float) -> tuple[Check, ...]:
    """Return whether a bar is long and wide enough, of tough metal, and its hole not too wide."""
    found = [tool_material_check(bar, bends=True)]
    for kind in (FeatureKind.LENGTH, FeatureKind.WIDTH, FeatureKind.THICKNESS):
        if size_of(bar, kind) is None:
            found.append(missing("bar", kind.value, f"{bar.name}: state its {kind.value}."))
    along, width = size_of(bar, FeatureKind.LENGTH), size_of(bar, FeatureKind.WIDTH)
    if along is not None and wanted > 0:
        detail = f"{bar.name} is {along:.4g} mm long; {wanted:.4g} mm reach over and bear."
        found.append(ratio("bar length", along, wanted, detail, COMMON_PRACTICE))
    if width is not None:
        least = _LEAST_WIDTH * thread.major
        detail = f"{bar.name} is {width:.4g} mm wide; {least:.4g} mm leave metal beside the hole."
        found.append(ratio("bar width", width, least, detail, COMMON_PRACTICE))
    bore = size_of(bar, FeatureKind.BORE)
    if bore is not None and bore > LARGEST_HOLE * thread.major:
        detail = f"Its hole of {bore:.4g} mm is too wide for a rod of {thread.major:.4g} mm."
        found.append(Check("bar hole", False, detail, COMMON_PRACTICE))
    return tuple(found)


def bending(bar: Flat, span: float) -> tuple[PartAllows, ...]:
    """Return what a bar bears in its middle between two supports, N."""
    bends, sheared = bends_at(bar, span)
    told = f"{_left(bar, span):.4g} x {bar.thick:.4g} mm of {bar.material.title} beside the hole"
    return (
        PartAllows("bar bending", bends, f"{told}, span {span:.4g} mm, F l / 4; {BASIS}"),
        PartAllows("bar shear", sheared, f"{told}; {BASIS}"),
    )


def _left(bar: Flat, span: float) -> float:
    """Return the width that bends, mm: a plate wider than it spans does not over all of it."""
    return max(min(bar.width, span) - bar.lost, 0.0)


def bends_at(bar: Flat, span: float) -> tuple[float, float]:
    """Return what a bar bears in its middle, N, bent and sheared."""
    left = _left(bar, span)
    bends = allowed_bending(bar.material) * left * bar.thick**2 / 6 * 4 / span
    return bends, 2 * allowed_shear(bar.material) * left * bar.thick / _PEAK
