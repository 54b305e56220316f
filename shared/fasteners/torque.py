"""What a joint may be turned to, what governs that, and what force it surely gives.

N·m and N. What a screw may be turned to is computed at the lowest friction, what force it can be
counted on to give at the highest.
"""

from dataclasses import replace
from math import isfinite
from typing import Final

from shared.designations.model import Fastener, FastenerForm
from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.cautions import cautions_for
from shared.fasteners.joint import Joint, PermittedTorque
from shared.fasteners.limits import HEAD_SEAT, HOLE_THREAD, NUT, limits_of
from shared.fasteners.strength import ScrewStrength, screw_strength
from shared.fasteners.stripping import effective_engagement
from shared.fasteners.turning import force_by_friction

WRENCH_DEVIATION: Final = 0.06
"""How far a sound torque wrench may read wrong. ISO 6789-1:2017 (6 % to 10 N·m, 4 % above; from
memory): the larger is taken for all."""
MOST_FACTOR: Final = 5.0
_STEPS: Final = (0.3, 0.6, 1.0)
"""Shares in which a joint of several screws is turned up, crosswise. Common practice, no source."""
_SAME: Final = 1e-9


def permitted_torque(joint: Joint) -> PermittedTorque:
    """Return what a joint may be turned to and what that gives.

    Raises InvalidInput for what is no screw, a class that its standard does not give for the size,
    an engagement that carries nothing, a stated torque or tightening factor that is none. Sources:
    see the formulas in ``strength``, ``stripping``, ``turning``.
    """
    screw = _checked(joint)
    limits = limits_of(joint, screw)
    ceiling, governed_by = min(
        (limit.torque, limit.part) for limit in limits if limit.torque is not None
    )
    allowed, about_the_replaced = _allowed(joint, ceiling)
    torque, is_stated_within, about_the_stated = _to_set(joint, allowed)
    most = _force(joint, torque * (1 + WRENCH_DEVIATION), joint.friction.least)
    least = _force(joint, torque * (1 - WRENCH_DEVIATION), joint.friction.most)
    checked = {limit.part for limit in limits if limit.is_checked}
    is_whole = HEAD_SEAT in checked and (NUT in checked or HOLE_THREAD in checked)
    return PermittedTorque(
        torque=torque,
        ceiling=ceiling,
        governed_by=governed_by,
        is_whole=is_whole,
        preload_least=min(least, most / joint.tightening_factor),
        preload_most=most,
        limits=limits,
        counted_class=screw.counted_class,
        is_stated_within=is_stated_within,
        steps=tuple(share * torque for share in _STEPS),
        notes=(
            *screw.notes,
            *joint.friction.notes,
            *_engagement_notes(joint),
            *(joint.nut.notes if joint.nut else ()),
            *about_the_replaced,
            *about_the_stated,
        ),
        cautions=cautions_for(joint, screw, is_whole=is_whole, governed_by=governed_by),
    )


def check_is_screw(fastener: Fastener, pointer: str = "/designation") -> None:
    """Raise InvalidInput for a nut: it has no strength of its own to tighten to."""
    if fastener.form is FastenerForm.NUT:
        raise InvalidInput(
            pointer,
            f"{fastener.canonical} is a nut; a torque is that of the screw in it.",
            "Give the screw, and the nut's class as nut_class.",
            "not-a-screw",
        )


def _checked(joint: Joint) -> ScrewStrength:
    check_is_screw(joint.fastener)
    if not 1 <= joint.tightening_factor <= MOST_FACTOR:
        raise OutOfRange("tightening_factor", joint.tightening_factor, f"from 1 to {MOST_FACTOR:g}")
    stated = joint.stated_torque
    if stated is not None and not (isfinite(stated) and stated > 0):
        raise OutOfRange("stated_torque", stated, "more than 0 N·m")
    if joint.hole is not None and joint.nut is not None:
        raise InvalidInput(
            "/nut_class",
            "Got a tapped hole and a nut for one screw.",
            "Keep hole_material with engagement, or nut_class.",
            "hole-and-nut",
        )
    return screw_strength(joint.fastener)


def _allowed(joint: Joint, ceiling: float) -> tuple[float, tuple[str, ...]]:
    """Return the ceiling, or that of the screw replaced where it is less."""
    if joint.replaces is None:
        return ceiling, ()
    own = _ceiling_of_the_replaced(joint, joint.replaces)
    notes: tuple[str, ...] = ()
    if own < ceiling * (1 - _SAME):
        notes = (
            f"The joint keeps the torque of {joint.replaces.canonical}: a stronger screw makes"
            " neither the hole nor the parts stronger.",
        )
    elif own > ceiling * (1 + _SAME):
        notes = (
            f"This screw allows less than {joint.replaces.canonical}: it is no stand-in for it"
            " where the force matters.",
        )
    return min(own, ceiling), notes


def _to_set(joint: Joint, allowed: float) -> tuple[float, bool | None, tuple[str, ...]]:
    """Return the torque to set, whether the stated one is within, and what to say of it."""
    stated = joint.stated_torque
    if stated is None:
        return allowed / (1 + WRENCH_DEVIATION), None, ()
    if stated <= allowed * (1 + _SAME):
        return (
            stated,
            True,
            ("The joint's own stated torque stands: it is within what was checked.",),
        )
    note = (
        f"The stated torque, {stated:g} N·m, lies above what is computed here: look at unit, class,"
        " friction and lubrication before turning to it."
    )
    return allowed / (1 + WRENCH_DEVIATION), False, (note,)


def _ceiling_of_the_replaced(joint: Joint, replaced: Fastener) -> float:
    if replaced.thread.designation != joint.fastener.thread.designation:
        raise InvalidInput(
            "/replaces",
            f"{replaced.thread.designation} and {joint.fastener.thread.designation} are two"
            " threads: one does not stand in for the other.",
            "Give two screws of one thread.",
            "thread-differs",
        )
    check_is_screw(replaced, "/replaces")
    own = screw_strength(replaced, "/replaces")
    limits = limits_of(replace(joint, fastener=replaced, replaces=None), own)
    return min(limit.torque for limit in limits if limit.torque is not None)


def _force(joint: Joint, torque: float, mu: float) -> float:
    return force_by_friction(torque, joint.fastener.thread, joint.face, mu, mu)


def _engagement_notes(joint: Joint) -> tuple[str, ...]:
    hole = joint.hole
    if hole is None:
        return ()
    engaged = effective_engagement(
        joint.fastener.thread, hole.engagement, hole.chamfer, hole.incomplete
    )
    about = (f"{hole.material.title}: {hole.material.note}.",) if hole.material.note else ()
    return (*engaged.notes, *about)
