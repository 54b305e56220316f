"""Which bars and screws may hold a part against turning, each taken by itself. mm, N, MPa."""

from dataclasses import replace
from typing import Final

from shared.fasteners.faces import face_of
from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    count_check,
    friction_in_hole,
    head_check,
    missing,
    room_check,
    strength_of_piece,
    thread_check,
    thread_length_of,
    use_check,
    weakest_to_strip,
)
from shared.fasteners.substitutes.counterhold import (
    EDGE_SAFETY,
    FROM_THE_ENDS,
    CounterholdWork,
    FitBar,
    FitScrew,
)
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.fasteners.substitutes.pairing import standing_of
from shared.fasteners.substitutes.screw_work import pulling_arms, screw_allows
from shared.fasteners.substitutes.side_load import (
    fit,
    flat_bar_checks,
    needed,
    needed_of,
    pressed,
    torque_needed,
)
from shared.fasteners.substitutes.stresses import tool_material_check

SCREWS: Final = 2
HOLE: Final = 1.2
"""The bar's hole counts with so many diameters of the screw, however it is drilled."""

_WANTED: Final = {
    FeatureKind.SPACING: "State the spacing of the two holes, middle to middle.",
    FeatureKind.DEPTH: "State how deep the holes are threaded.",
    FeatureKind.WALL: "State the least metal between a hole and the next edge.",
    FeatureKind.REACH: "State the gap between the holes' face and the bar; 0.01 mm if flush.",
}
_BAR: Final = (FeatureKind.LENGTH, FeatureKind.WIDTH, FeatureKind.THICKNESS)


def held_of(requirement: Requirement) -> CounterholdWork | tuple[Check, ...]:
    """Return what is held, or the checks that say what has to be stated first."""
    size, lacking = needed(requirement, _WANTED)
    moment, no_torque = torque_needed(requirement)
    if requirement.count(FeatureKind.THREAD) < SCREWS or requirement.fastener is None:
        told = "State the thread of the holes, two of them at least: one lets the bar swing."
        lacking = (missing("thread", "thread", told), *lacking)
    if lacking or no_torque or requirement.fastener is None:
        return (use_check(requirement), *lacking, *no_torque)
    fastener, workpiece = requirement.fastener, requirement.workpiece
    weak = workpiece or weakest_to_strip()
    return CounterholdWork(
        requirement,
        fastener,
        size,
        moment,
        bears=fastener.thread.major * pressed(workpiece),
        edge_bears=2 * size[FeatureKind.WALL] * weak.shear_least / EDGE_SAFETY,
    )


def bar_of(work: CounterholdWork, piece: Piece) -> FitBar | tuple[Check, ...]:
    """Return a bar that passes whatever the screws are, or its checks of which some fail.

    Proportions: common practice, no source.
    """
    size, lacking = needed_of(piece, _BAR)
    material = tool_material_check(piece, bends=True)
    if lacking or not material.passes:
        return (material, *lacking)
    major, spacing = work.major, work.size[FeatureKind.SPACING]
    length, width = size[FeatureKind.LENGTH], size[FeatureKind.WIDTH]
    reaches = 3 * spacing + 3 * major
    fits = (
        material,
        fit("bar length", length, reaches, _of_wanted(length, reaches)),
        fit("bar width", width, 3 * major, _of_wanted(width, 3 * major)),
        _holes_check(work, piece),
        replace(count_check(piece, 1), name="bar count"),
        *_room_across(work, length),
    )
    if length <= spacing / 2 + 3 * major:
        return fits
    push = work.push(size)
    checks = (*fits, *flat_bar_checks(piece, "bar", size, work.moment, HOLE * major, push))
    if not all(one.passes for one in checks):
        return checks
    bears = major * pressed(piece.material)
    return FitBar(piece, size, push, bears, checks, standing_of(checks))


def _room_across(work: CounterholdWork, length: float) -> tuple[Check, ...]:
    """Return the check that a bar has room out to its end, where a clear diameter is stated."""
    clear = work.requirement.size(FeatureKind.CLEAR_DIAMETER)
    if clear is None:
        return ()
    swept = 2 * length - work.size[FeatureKind.SPACING] - FROM_THE_ENDS * work.major
    detail = f"The bar reaches {swept / 2:.4g} mm from the axis; {clear / 2:.4g} mm are clear."
    return (fit("room", clear, swept, detail),)


def _holes_check(work: CounterholdWork, bar: Piece) -> Check:
    bore = bar.size(FeatureKind.BORE)
    passes = bore is None or bore <= HOLE * work.major
    told = "drilled to suit" if bore is None else f"{bore:.4g} mm"
    detail = f"Holes {told}; at most {HOLE * work.major:.4g} mm is counted."
    return Check("bar holes", passes, detail, COMMON_PRACTICE)


def _of_wanted(there: float, wanted: float) -> str:
    return f"{there:.4g} mm, at least {wanted:.4g} mm wanted."


def screw_of(work: CounterholdWork, piece: Piece) -> FitScrew | tuple[Check, ...]:
    """Return a screw that goes into the holes, or its checks of which some fail."""
    fastener = piece.fastener
    fits = (thread_check(work.requirement, piece), head_check(piece))
    if fastener is None or not all(check.passes for check in fits):
        return fits
    strength = strength_of_piece(piece)
    if isinstance(strength, Check):
        return *fits, strength
    friction = friction_in_hole(work.requirement, piece, strength)
    if isinstance(friction, Check):
        return *fits, friction
    size, lacking = needed_of(piece, (FeatureKind.LENGTH,))
    threaded = thread_length_of(piece)
    if threaded is None or not threaded > 0:
        told = f"State the length of thread on {piece.name}."
        lacking = (*lacking, missing("thread length", "thread-length", told))
    if lacking or threaded is None:
        return *fits, *lacking
    arms, length = pulling_arms(fastener, friction), size[FeatureKind.LENGTH]
    room = room_check(work.requirement, length + work.major)
    # More thread than may stand in the hole makes no difference.
    alike = length, min(threaded, work.deepest), strength.strength.yield_least
    return FitScrew(
        piece=piece,
        fastener=fastener,
        length=length,
        threaded=threaded,
        strength=strength,
        friction=friction,
        arms=arms,
        allowed=screw_allows(fastener.thread, strength, friction, arms, twists=False),
        seat=face_of(fastener).area,
        checks=(*fits, count_check(piece, SCREWS)),
        room=room,
        standing=standing_of((room,)),
        alike=alike,
    )
