"""What a joint may be turned to, what governs that, and what force it surely gives.

N·m and N. What a screw may be turned to is computed at the lowest friction, what force it can be
counted on to give at the highest.
"""

from dataclasses import replace
from math import isfinite
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.cautions import cautions_for
from shared.fasteners.equivalence_traps import why_nothing_stands_in
from shared.fasteners.joint import Joint, PermittedTorque
from shared.fasteners.limits import HEAD_SEAT, HOLE_THREAD, NUT, limits_of
from shared.fasteners.shapes import check_can_be_tightened, is_stud
from shared.fasteners.strength import ScrewStrength, screw_strength
from shared.fasteners.stripping import SOUND_HOLE, check_within_length, effective_engagement
from shared.fasteners.turning import BearingFace, force_by_friction

WRENCH_DEVIATION: Final = 0.06
"""How far a sound torque wrench may read wrong. ISO 6789-1:2017 (6 % to 10 N·m, 4 % above; from
memory): the larger is taken for all."""
MOST_FACTOR: Final = 5.0
_STEPS: Final = (0.3, 0.6, 1.0)
"""Shares in which a joint of several screws is turned up, crosswise. Common practice, no source."""
_SAME: Final = 1e-9
_FAR_BELOW: Final = 0.4
"""Share of what is allowed below which a stated torque looks like one of another unit or screw.
Common practice, no source."""


def permitted_torque(joint: Joint) -> PermittedTorque:
    """Return what a joint may be turned to and what that gives.

    Raises InvalidInput for what is no plain screw, a class that its standard does not give for the
    size, an engagement that carries nothing or is longer than the screw, a stated torque or
    tightening factor that is none. Sources: see ``strength``, ``stripping``, ``turning``.
    """
    screw = _checked(joint)
    limits = limits_of(joint, screw)
    ceiling, governed_by = min(
        (limit.torque, limit.part) for limit in limits if limit.torque is not None
    )
    allowed, about_the_replaced = _allowed(joint, ceiling)
    torque, is_stated_within, about_the_stated = _to_set(joint, allowed)
    most = _force(joint, torque * (1 + WRENCH_DEVIATION), joint.friction.least, joint.face)
    widest = joint.widest_face or joint.face
    least = _force(joint, torque * (1 - WRENCH_DEVIATION), joint.friction.most, widest)
    is_whole = _is_whole(joint, {limit.part for limit in limits if limit.is_checked})
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


def _checked(joint: Joint) -> ScrewStrength:
    check_can_be_tightened(joint.fastener)
    if not 1 <= joint.tightening_factor <= MOST_FACTOR:
        raise OutOfRange("tightening_factor", joint.tightening_factor, f"from 1 to {MOST_FACTOR:g}")
    stated = joint.stated_torque
    if stated is not None and not (isfinite(stated) and stated > 0):
        raise OutOfRange("stated_torque", stated, "more than 0 N·m")
    if joint.hole is not None:
        check_within_length(joint.fastener, joint.hole.engagement)
        if joint.nut is not None and not is_stud(joint.fastener):
            raise InvalidInput(
                "/nut_class",
                "Got a tapped hole and a nut for one screw.",
                "Keep hole_material with engagement, or nut_class; a stud has both: write stud.",
                "hole-and-nut",
            )
    return screw_strength(joint.fastener)


def _is_whole(joint: Joint, checked: set[str]) -> bool:
    holders = {NUT, HOLE_THREAD} & checked
    # A stud in a hole hangs on both its ends.
    needs_both = joint.hole is not None and is_stud(joint.fastener)
    return HEAD_SEAT in checked and len(holders) >= (2 if needs_both else 1)


def _allowed(joint: Joint, ceiling: float) -> tuple[float, tuple[str, ...]]:
    """Return the ceiling, or that of the screw replaced where it is less."""
    if joint.replaces is None:
        return ceiling, ()
    own = _ceiling_of_the_replaced(joint, joint.replaces)
    notes: tuple[str, ...] = ()
    if own < ceiling * (1 - _SAME):
        notes = (
            f"The joint keeps the torque of {joint.replaces.canonical}: a stronger screw makes"
            " neither the hole nor the parts stronger. The ceiling is this screw's, not the"
            " joint's.",
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
    if stated * (1 + WRENCH_DEVIATION) <= allowed * (1 + _SAME):
        notes = ["The joint's own stated torque stands: it is within what was checked."]
        if stated < _FAR_BELOW * allowed:
            notes.append(
                "It is far below what this screw needs to hold firmly: look whether the unit, the"
                " size and the place of the point are right, or a soft part or gasket asks for it."
            )
        return stated, True, tuple(notes)
    note = (
        f"The stated torque, {stated:g} N·m, lies above what is computed here, or so near that a"
        " wrench 6 % off passes it: look at unit, class, friction and lubrication before turning"
        " to it."
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
    if replaced.hand is not joint.fastener.hand:
        raise InvalidInput(
            "/replaces",
            f"One thread is {replaced.hand}-hand, the other {joint.fastener.hand}-hand: neither"
            " stands in for the other.",
            "Give two screws of one hand.",
            "thread-differs",
        )
    check_can_be_tightened(replaced, "/replaces")
    why = why_nothing_stands_in(replaced)
    if why is not None:
        raise InvalidInput(
            "/replaces", why, "Fit the maker's own, by its procedure.", "nothing-stands-in"
        )
    own = screw_strength(replaced, "/replaces")
    limits = limits_of(replace(joint, fastener=replaced, replaces=None), own)
    return min(limit.torque for limit in limits if limit.torque is not None)


def _force(joint: Joint, torque: float, mu: float, face: BearingFace) -> float:
    return force_by_friction(torque, joint.fastener.thread, face, mu, mu)


def _engagement_notes(joint: Joint) -> tuple[str, ...]:
    hole = joint.hole
    if hole is None:
        return ()
    engaged = effective_engagement(
        joint.fastener.thread, hole.engagement, hole.chamfer, hole.incomplete
    )
    about = (f"{hole.material.title}: {hole.material.note}.",) if hole.material.note else ()
    return (*engaged.notes, SOUND_HOLE, *about)
