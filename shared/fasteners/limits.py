"""What each part of a joint allows: screw, hole, nut, seat. Forces in N, torques in N·m.

All at the friction that is unluckiest for the part: for a part that force breaks the lowest, for
the screw, which torsion loads too, whichever corner of the range allows least.
"""

from typing import Final

from shared.fasteners.joint import Joint, PartLimit
from shared.fasteners.strength import ScrewStrength, largest_preload
from shared.fasteners.stripping import (
    effective_engagement,
    hole_strip_load,
    screw_strip_load,
    shear_areas,
)
from shared.fasteners.turning import MM_PER_M, arm

STRIP_SAFETY: Final = 1.25
"""Strip load over the greatest preload. Common practice, no source."""

SCREW: Final = "screw"
SCREW_THREAD: Final = "screw thread"
HOLE_THREAD: Final = "hole thread"
NUT: Final = "nut"
HEAD_SEAT: Final = "head seat"


def limits_of(joint: Joint, screw: ScrewStrength) -> tuple[PartLimit, ...]:
    """Return the limit of every part of a joint, checked or not."""
    return (
        screw_limit(joint, screw),
        *_thread_limits(joint, screw),
        _nut_limit(joint),
        _seat_limit(joint),
    )


def screw_limit(joint: Joint, screw: ScrewStrength) -> PartLimit:
    """Return what the screw itself allows: 90 % of yield in tension and torsion together."""
    thread, friction = joint.fastener.thread, joint.friction
    force, torque = min(
        (
            (force, force * arm(thread, joint.face, in_thread, at_head) / MM_PER_M)
            for in_thread in (friction.least, friction.most)
            for at_head in (friction.least, friction.most)
            for force in (largest_preload(thread, screw.strength.yield_least, in_thread),)
        ),
        key=lambda pair: pair[1],
    )
    return PartLimit(
        SCREW,
        force,
        torque,
        f"90 % of the yield of class {screw.counted_class}, tension and torsion together",
    )


def _thread_limits(joint: Joint, screw: ScrewStrength) -> tuple[PartLimit, PartLimit]:
    hole, thread = joint.hole, joint.fastener.thread
    if hole is None:
        why = "not checked: no hole material and engagement given"
        return PartLimit(HOLE_THREAD, None, None, why), PartLimit(SCREW_THREAD, None, None, why)
    engaged = effective_engagement(thread, hole.engagement, hole.chamfer, hole.incomplete)
    basis = (
        f"{engaged.counted:.4g} mm of full thread counted, {shear_areas(thread).basis},"
        f" divided by {STRIP_SAFETY:g}"
    )
    material = hole.material
    in_hole = hole_strip_load(thread, engaged.counted, material)
    on_screw = screw_strip_load(thread, engaged.counted, screw.strength.tensile_least)
    return (
        _by_force(
            joint,
            HOLE_THREAD,
            in_hole / STRIP_SAFETY,
            f"strip load in {material.title} at {material.tensile_least:g} MPa tensile: {basis}",
        ),
        _by_force(joint, SCREW_THREAD, on_screw / STRIP_SAFETY, f"its own strip load: {basis}"),
    )


def _nut_limit(joint: Joint) -> PartLimit:
    nut = joint.nut
    if nut is None:
        why = "not checked: no class of the nut given"
        if joint.hole is not None:
            why = "no nut: the screw goes into a tapped hole"
        return PartLimit(NUT, None, None, why)
    return _by_force(joint, NUT, nut.proof_load, f"proof load of a nut of class {nut.name}")


def _seat_limit(joint: Joint) -> PartLimit:
    seat, face = joint.seat, joint.face
    if seat is None:
        return PartLimit(HEAD_SEAT, None, None, "not checked: no material under the head given")
    return _by_force(
        joint,
        HEAD_SEAT,
        seat.seat_pressure * face.area,
        f"{seat.seat_pressure:g} MPa on {face.area:.4g} mm2 of {seat.title} ({face.note})",
    )


def _by_force(joint: Joint, part: str, force: float, note: str) -> PartLimit:
    low = joint.friction.least
    torque = force * arm(joint.fastener.thread, joint.face, low, low) / MM_PER_M
    return PartLimit(part, force, torque, note)
