"""The checks that the families share, and what a thread, a face and a wall bear. mm, N, N·m, MPa.

A check that lacks a fact fails and names it: a missing fact never helps.
"""

from functools import cache
from math import inf
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.friction import FrictionRange, friction_for
from shared.fasteners.limits import HOLE_THREAD, SCREW_THREAD, STRIP_SAFETY
from shared.fasteners.model import FeatureKind, ToolUse
from shared.fasteners.strength import ScrewStrength, screw_strength
from shared.fasteners.stripping import effective_engagement, hole_strip_load, screw_strip_load
from shared.fasteners.substitutes.checking import (
    AS_THE_WEAKEST,
    COMMON_PRACTICE,
    STATED,
    fits,
    force_text,
    in_words,
    missing,
    ratio,
)
from shared.fasteners.substitutes.instructions import torque_text
from shared.fasteners.substitutes.model import Check, Need, Piece, Requirement
from shared.fasteners.substitutes.screw_fit import head_check, thread_check, thread_length_of
from shared.fasteners.substitutes.screw_work import PartAllows, ScrewWork
from shared.standards.hexagons import clearance_hole_of
from shared.standards.hole_materials import HoleMaterial, MaterialKind, hole_materials
from shared.standards.thread_model import Thread

__all__ = [
    "COMMON_PRACTICE",
    "FULL_ACROSS",
    "LEAST_ACROSS",
    "SEAT_SAFETY",
    "STATED",
    "across_the_boss",
    "clearance_hole",
    "count_check",
    "face_allows",
    "fits",
    "force_text",
    "friction_in_hole",
    "friction_of",
    "friction_text",
    "head_check",
    "hole_parts",
    "missing",
    "part_checks",
    "pressed_material",
    "ratio",
    "room_check",
    "strength_of_piece",
    "symmetry_check",
    "thread_check",
    "thread_length_of",
    "use_check",
    "wall_check",
    "wall_factor",
    "weaker",
    "weakest_to_press",
    "weakest_to_strip",
]

SEAT_SAFETY: Final = 1.25
"""Pressure that a surface bears over what is put on it. Common practice, no source."""
LEAST_ACROSS: Final = 1.4
"""Metal across a hole's boss, in diameters, below which nothing is counted."""
FULL_ACROSS: Final = 1.9
"""From here on the boss does not give way. VDI 2230-1, from memory."""
_CLEARANCE: Final = 1.1
"""Hole per major diameter where no table has the size. Common practice, no source."""


def use_check(requirement: Requirement) -> Check:
    """Return whether somebody said that no life hangs on the tool."""
    uses = requirement.uses
    if uses is None:
        return missing("use", "uses", "Say what hangs on it; [] if nothing does.")
    barred = sorted(use.value for use in uses - {ToolUse.STORED_ENERGY})
    if barred:
        detail = f"It would serve for {', '.join(barred)}: no common hardware is answered for that."
        return Check("use", False, detail, STATED)
    return Check("use", True, "Nothing a life hangs on is said to hang on it.", STATED)


def room_check(requirement: Requirement, height: float, diameter: float | None = None) -> Check:
    """Return whether what is set up has room: ``height`` and ``diameter`` are what it needs, mm."""
    wanted = [("high", FeatureKind.CLEAR_HEIGHT, height)]
    if diameter is not None:
        wanted.append(("across", FeatureKind.CLEAR_DIAMETER, diameter))
    told, margin = [], inf
    for way, kind, needed in wanted:
        clear = requirement.size(kind)
        told.append(f"{needed:.4g} mm {way}" + ("" if clear is None else f" of {clear:.4g} mm"))
        if clear is not None:
            margin = min(margin, clear / needed if needed > 0 else inf)
        elif not requirement.nothing_in_the_way:
            detail = f"It needs {needed:.4g} mm {way}: state {kind.value}, or the word nothing"
            return missing("room", "in_the_way", f"{detail} where nothing is in the way.")
    detail = f"It needs {' and '.join(told)}."
    if requirement.nothing_in_the_way:
        detail += " Nothing is said to be in the way."
    return Check("room", margin >= 1, detail, STATED, margin if margin < inf else None)


def symmetry_check(requirement: Requirement) -> Check:
    """Return whether the points stand evenly about the middle of the load."""
    even = requirement.is_symmetric
    if even is None:
        told = "Say whether the points stand evenly round the axis."
        return missing("symmetry", "is_symmetric", told)
    detail = "The points stand evenly." if even else "The points stand unevenly: it tilts and jams."
    return Check("symmetry", even, detail, COMMON_PRACTICE)


def count_check(piece: Piece, wanted: int) -> Check:
    """Return whether there are as many of a piece as are taken."""
    detail = f"{wanted} of {piece.name} wanted, {piece.quantity} there."
    return fits("count", piece.quantity, wanted, detail, STATED)


def across_the_boss(requirement: Requirement) -> float | None:
    """Return the metal across a hole, in diameters of its thread; None where not stated."""
    wall, thread = requirement.size(FeatureKind.WALL), requirement.thread
    return None if wall is None or thread is None else (thread.major + 2 * wall) / thread.major


def wall_check(requirement: Requirement) -> Check:
    """Return whether there is metal enough round the holes for their threads to count."""
    across = across_the_boss(requirement)
    if across is None:
        return missing("wall", "wall", "State the least metal between a hole and the next edge.")
    detail = f"The metal across a hole is {across:.3g} diameters; {LEAST_ACROSS} at the least"
    if LEAST_ACROSS <= across < FULL_ACROSS:
        detail += f": its thread counts {wall_factor(requirement):.0%}"
    basis = "Alexander (1977) as VDI 2230-1 quotes it, from memory"
    return ratio("wall", across, LEAST_ACROSS, f"{detail}.", basis)


def wall_factor(requirement: Requirement) -> float:
    """Return the share of a hole's strength that its wall leaves; 0 where unknown or too thin.

    3.8 s/d - (s/d)^2 - 2.61 with s across the boss, as for nuts. Source: Alexander (1977) as
    VDI 2230-1 quotes it, from memory.
    """
    across = across_the_boss(requirement)
    if across is None or not across >= LEAST_ACROSS:
        return 0.0
    return 1.0 if across >= FULL_ACROSS else min(1.0, 3.8 * across - across**2 - 2.61)


def strength_of_piece(piece: Piece) -> ScrewStrength | Check:
    """Return the strength to count a screw with, or the check that fails for want of it."""
    if piece.fastener is None:
        return missing("screw strength", "designation", "State what screw it is.")
    try:
        return screw_strength(piece.fastener)
    except InvalidInput as error:
        return _failed("screw strength", error)


def friction_of(
    requirement: Requirement, piece: Piece, strength: ScrewStrength
) -> FrictionRange | Check:
    """Return the friction to count with, or the check that fails where its words are unknown."""
    if requirement.friction is not None:
        return requirement.friction
    finish = () if piece.fastener is None else piece.fastener.words
    try:
        return friction_for(
            requirement.lubrication, is_stainless=strength.is_stainless, finish=finish
        )
    except InvalidInput as error:
        return _failed("friction", error)


def friction_in_hole(
    requirement: Requirement, piece: Piece, strength: ScrewStrength
) -> FrictionRange | Check:
    """Return the friction of a screw in the holes of the work; else as ``friction_of``.

    A steel screw in stainless steel rubs as stainless does, and a hole of unknown material may be
    of it: the wider range counts. Source: the table of friction ("stainless in stainless or
    steel").
    """
    found, hole = friction_of(requirement, piece, strength), requirement.workpiece
    is_told = requirement.friction is not None or strength.is_stainless or piece.fastener is None
    is_other = hole is not None and hole.kind is not MaterialKind.STAINLESS
    if isinstance(found, Check) or is_told or is_other or piece.fastener is None:
        return found
    words = requirement.lubrication
    other = friction_for(words, is_stainless=True, finish=piece.fastener.words)
    if found.least <= other.least and other.most <= found.most:
        return found
    what = "is" if hole is not None else "may be"
    return FrictionRange(
        min(found.least, other.least),
        max(found.most, other.most),
        f"{found.basis}; the hole {what} of stainless steel: {other.basis}",
        tuple(dict.fromkeys((*found.notes, *other.notes))),
    )


def friction_text(friction: FrictionRange) -> str:
    """Say for which friction the torques hold: a slicker paste would break what they spare."""
    return (
        f"The torques hold for friction from {friction.least:g} to {friction.most:g}"
        f" ({friction.basis}): put nothing more slippery on thread, face or point."
    )


def clearance_hole(thread: Thread) -> float:
    """Return the hole to drill for a screw, mm: the medium one of ISO 273 or ASME B18.2.8."""
    found = clearance_hole_of(thread)
    return _CLEARANCE * thread.major if found is None else found.medium_diameter


@cache
def weakest_to_strip() -> HoleMaterial:
    """Return the material whose threads strip first: what an unknown one counts as."""
    return min(hole_materials(), key=lambda row: row.shear_least)


@cache
def weakest_to_press() -> HoleMaterial:
    """Return the material that gives way first under a face: what an unknown one counts as."""
    return min(hole_materials(), key=lambda row: row.seat_pressure)


def hole_parts(
    requirement: Requirement,
    fastener: Fastener,
    strength: ScrewStrength,
    engagement: float,
    incomplete: float | None = None,
) -> tuple[PartAllows, ...] | Check:
    """Return what the hole's thread and the screw's own bear, N, ``engagement`` mm deep.

    ``incomplete`` as for ``effective_engagement``. A check that fails where nothing carries. A
    wall unknown or too thin leaves the hole nothing.
    """
    thread, chamfer = fastener.thread, requirement.size(FeatureKind.CHAMFER)
    try:
        engaged = effective_engagement(thread, engagement, chamfer, incomplete)
    except InvalidInput as error:
        return _failed("engagement", error)
    material, what = _counted(requirement.workpiece, weakest_to_strip())
    in_hole = hole_strip_load(thread, engaged.counted, material) * wall_factor(requirement)
    on_screw = screw_strip_load(thread, engaged.counted, strength.strength.tensile_least)
    basis = f"{engaged.counted:.3g} mm of full thread at the limits of size, over {STRIP_SAFETY:g}"
    return (
        PartAllows(HOLE_THREAD, in_hole / STRIP_SAFETY, f"strip load in {what}: {basis}"),
        PartAllows(SCREW_THREAD, on_screw / STRIP_SAFETY, f"its own strip load: {basis}"),
    )


def pressed_material(material: HoleMaterial | None) -> tuple[HoleMaterial, str]:
    """Return the material that a pressed face is counted of, and its name: unknown, the weakest."""
    return _counted(material, weakest_to_press())


def weaker(material: HoleMaterial | None, other: HoleMaterial | None) -> HoleMaterial | None:
    """Return which of two faces that meet gives way first; None where one is not known."""
    if material is None or other is None:
        return None
    return material if material.seat_pressure <= other.seat_pressure else other


def face_allows(name: str, area: float, material: HoleMaterial | None) -> PartAllows:
    """Return what a face of ``area``, mm2, bears, N; of unknown material the least of the table."""
    counted, what = pressed_material(material)
    basis = f"{counted.seat_pressure:g} MPa on {area:.3g} mm2 of {what}, over {SEAT_SAFETY:g}"
    return PartAllows(name, max(area, 0.0) * counted.seat_pressure / SEAT_SAFETY, basis)


def part_checks(work: ScrewWork, count: int, need: Need | None) -> tuple[Check, ...]:
    """Return a check for each part that may set the ceiling, and one for the force in all.

    A part's margin is the force surely given if it alone set the ceiling, over the most that may
    be needed; so the least margin is that of the force, and names what governs. Without a need the
    force fails, and its text gives what is surely there.
    """
    surely = count * work.force_least
    told = f"{force_text(surely)} surely given at {torque_text(work.torque)} per screw"
    checks = []
    for part in work.parts:
        gives = count * work.least_by(part)
        detail = f"Bears {force_text(part.force)} per screw, {torque_text(part.torque)}"
        detail += f": {force_text(gives)} surely given."
        if need is None:
            checks.append(Check(part.name, True, detail, part.basis))
        else:
            checks.append(ratio(part.name, gives, need.amount.most, detail, part.basis))
    if need is None:
        return *checks, missing("force", "force", f"State the force needed; {told}.")
    most = need.amount.most
    detail = f"{told[0].upper()}{told[1:]}; {force_text(most)} may be needed ({need.basis})."
    return *checks, ratio("force", surely, most, detail, "friction at its highest, wrench 6 % low")


def _failed(name: str, error: InvalidInput) -> Check:
    return Check(name, False, in_words(error), "cannot be computed")


def _counted(material: HoleMaterial | None, weakest: HoleMaterial) -> tuple[HoleMaterial, str]:
    if material is None:
        return weakest, f"an unknown material, {AS_THE_WEAKEST} ({weakest.title})"
    return material, material.title
