"""Washers of a rod with nuts: those that bridge the press ring's bore, and the nuts' seats. mm, N.

A stack of washers is not bonded: each bends for itself.
"""

from math import pi
from typing import Final

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    face_allows,
    missing,
    weaker,
)
from shared.fasteners.substitutes.families.ring_fit import (
    INTO_THE_BORE,
    ON_THE_RING,
    along_of,
    size_of,
)
from shared.fasteners.substitutes.families.rod_bars import LARGEST_HOLE
from shared.fasteners.substitutes.families.rod_model import Facts
from shared.fasteners.substitutes.model import Check, Piece
from shared.fasteners.substitutes.screw_work import PartAllows
from shared.fasteners.substitutes.stresses import (
    BASIS,
    allowed_bending,
    allowed_shear,
    tool_material_check,
)
from shared.fasteners.turning import BearingFace
from shared.standards.thread_model import Thread

MOST_STACKED: Final = 4
"""Washers on the ring, one on the other. Common practice, no source."""
_LEAST_PLAY: Final = 0.1
_NUT_ACROSS: Final = 2.0
"""Width across corners of a nut per major diameter, rounded up. ISO 4032, from memory."""
_CLEAR_OF_THE_BORE: Final = 2.0


def washer_checks(washer: Piece, thread: Thread) -> tuple[Check, ...]:
    """Return whether a washer goes on a rod, has its sizes stated, and is of tough metal."""
    found = [tool_material_check(washer, bends=True)]
    for kind in (FeatureKind.OUTSIDE_DIAMETER, FeatureKind.THICKNESS):
        if size_of(washer, kind) is None:
            found.append(missing("washer", kind.value, f"{washer.name}: state its {kind.value}."))
    if not _goes_on(washer, thread):
        detail = f"{washer.name} is no washer for {thread.designation}."
        found.append(Check("washer", False, detail, STATED))
    return tuple(found)


def hole_of(washer: Piece, thread: Thread) -> float:
    """Return a washer's hole, mm: as stated, else the widest that still counts."""
    return size_of(washer, FeatureKind.BORE) or LARGEST_HOLE * thread.major


def lies_on(facts: Facts, thread: Thread, washer: Piece, ring: Piece) -> bool:
    """Whether the checks of a washer on a ring pass: the same, without their words."""
    across, circle = size_of(washer, FeatureKind.OUTSIDE_DIAMETER), _support(ring)
    if across is None or circle is None or across / circle < 1:
        return False
    return not _follows(facts, ring) or _into_the_bore(facts, thread, across) >= 1


def on_ring_checks(facts: Facts, thread: Thread, washer: Piece, ring: Piece) -> tuple[Check, ...]:
    """Return whether a washer lies on the ring, and does not foul the housing's bore."""
    across, circle = size_of(washer, FeatureKind.OUTSIDE_DIAMETER), _support(ring)
    if across is None or circle is None:
        return (Check("washer fit", False, "A size of washer or ring is not stated.", STATED),)
    detail = f"{washer.name} is {across:.4g} mm outside; to lie on the ring it needs {circle:.4g}."
    is_on = across / circle >= 1
    found = [
        Check("washer fit", is_on, detail, COMMON_PRACTICE, None if is_on else across / circle)
    ]
    if _follows(facts, ring):
        widest, share = _widest(thread, across), _into_the_bore(facts, thread, across)
        detail = f"Nut and washer go into the bore behind the ring: {widest:.4g} mm wide, the bore"
        detail += f" {facts.bore:.4g} mm."
        passes = share >= 1
        margin = None if passes else share
        found.append(Check("washer in the bore", passes, detail, COMMON_PRACTICE, margin))
    return tuple(found)


def washer_parts(
    thread: Thread, faces: tuple[BearingFace, ...], washer: Piece, ring: Piece, stacked: int
) -> tuple[PartAllows, ...]:
    """Return what washers bear, N, as they bridge the ring's bore, and their face on the ring.

    Half a washer is turned about its diameter by F (R - r) / pi, R the radius of the ring that
    bears it, r the mean radius of the nut's face. Equilibrium of a half ring; what is allowed on
    it is common practice, no source.
    """
    across = size_of(washer, FeatureKind.OUTSIDE_DIAMETER)
    thick = size_of(washer, FeatureKind.THICKNESS)
    circle, material, hole = _support(ring), washer.material, hole_of(washer, thread)
    outside = size_of(ring, FeatureKind.OUTSIDE_DIAMETER)
    inside = size_of(ring, FeatureKind.BORE)
    if across is None or thick is None or material is None or circle is None:
        return ()
    assert outside is not None and inside is not None, "the circle is of both"
    area = pi / 4 * (min(across, outside) ** 2 - max(inside, hole) ** 2)
    seat = face_allows("washer on ring", max(area, 0.0), weaker(ring.material, material))
    nut = min((face.outside + face.inside) / 4 for face in faces)
    apart = circle / 2 - nut
    if apart <= 0:
        return (seat,)
    bends = allowed_bending(material) * max(across - hole, 0.0) * thick**2 / 6 * pi / apart
    sheared = 2 * pi * nut * thick * allowed_shear(material)
    told = f"{stacked} of {thick:.4g} mm of {material.title} over {inside:.4g} mm; {BASIS}"
    return (PartAllows("washers", stacked * min(bends, sheared), told), seat)


def seat_of_nut(
    thread: Thread, faces: tuple[BearingFace, ...], washer: Piece, bar: Piece, hole: float
) -> PartAllows:
    """Return what the smallest of the faces that turn or hold bears on a washer over a hole, N."""
    widest = max(hole_of(washer, thread), hole)
    area = min(pi / 4 * (face.outside**2 - max(face.inside, widest) ** 2) for face in faces)
    return face_allows("nut seat", max(area, 0.0), weaker(washer.material, bar.material))


def _goes_on(washer: Piece, thread: Thread) -> bool:
    hole, named = size_of(washer, FeatureKind.BORE), washer.fastener
    if hole is not None:
        return thread.major + _LEAST_PLAY <= hole <= LARGEST_HOLE * thread.major
    return named is not None and named.thread.designation == thread.designation


def _follows(facts: Facts, ring: Piece) -> bool:
    """Whether nut and washer follow the ring into the housing's bore."""
    beyond = facts.travel + _CLEAR_OF_THE_BORE
    return facts.is_pull or (facts.enters and (along_of(ring) or 0.0) < beyond)


def _widest(thread: Thread, across: float) -> float:
    return max(across, _NUT_ACROSS * thread.major)


def _into_the_bore(facts: Facts, thread: Thread, across: float) -> float:
    return (facts.bore - INTO_THE_BORE) / _widest(thread, across)


def _support(ring: Piece) -> float | None:
    """Return the diameter of the circle on which a ring bears a washer, mm."""
    outside = size_of(ring, FeatureKind.OUTSIDE_DIAMETER)
    inside = size_of(ring, FeatureKind.BORE)
    if outside is None or inside is None:
        return None
    return inside + ON_THE_RING * (outside - inside)
