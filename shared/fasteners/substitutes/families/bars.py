"""The bar or plate across screws: whether it fits, what it bears, how deep its screws go. mm, N."""

from dataclasses import dataclass, replace
from math import hypot, inf, log, pi
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    face_allows,
    fits,
    missing,
    weaker,
)
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.fasteners.substitutes.screw_work import (
    PartAllows,
)
from shared.fasteners.substitutes.stresses import allowed_bending, tool_material_check
from shared.standards.thread_model import Thread

BESIDE_THE_HOLES: Final = 3.0
"""Length beyond the holes' spacing, and least width, in diameters. Common practice, no source."""
ACROSS_A_PLATE: Final = 0.354
"""Bending moment over force and the circle's radius, three screws or more: four of them two and
two beside the cut, 1 / (2 sqrt 2); three and six make less. By statics."""
CONTACT: Final = 0.5
"""Share of the shaft's end that bears once the bar bends. Common practice, no source."""
_SAME_HOLES: Final = 1.0
_LOOSE_HOLE: Final = 1.2


@dataclass(frozen=True, slots=True)
class Place:
    """The work: so many holes ``span`` apart (two) or on a circle of ``span``, lengths in mm."""

    count: int
    span: float
    depth: float
    reach: float
    travel: float
    shaft: float
    clear: float = inf
    """How wide the room round the axis is; 0 where it is told that something is in the way, and
    not how far off."""


def place_of(requirement: Requirement) -> Place | tuple[Check, ...]:
    """Return the work's lengths, or a check that fails for each that is not stated."""
    count = requirement.count(FeatureKind.THREAD)
    span_kind, between = FeatureKind.SPACING, "way between the two holes"
    if count > 2:
        span_kind, between = FeatureKind.PIN_CIRCLE, "circle that the holes stand on"
    kinds = (
        (span_kind, between),
        (FeatureKind.DEPTH, "depth of thread in the holes that may be used"),
        (FeatureKind.REACH, "way from the hub's face out to the shaft's end"),
        (FeatureKind.TRAVEL, "way that the hub has to come"),
        (FeatureKind.OUTSIDE_DIAMETER, "diameter of the shaft's end"),
    )
    sizes = [requirement.size(kind) for kind, _ in kinds]
    known = [size for size in sizes if size is not None]
    if count >= 2 and len(known) == len(kinds):
        return replace(Place(count, *known), clear=_clear(requirement))
    lacking = [
        missing("length", kind.value, f"State the {what}.")
        for (kind, what), size in zip(kinds, sizes, strict=True)
        if size is None
    ]
    if count < 2:
        detail = "One screw alone cannot pull evenly: two holes at the least."
        lacking.append(Check("points", False, detail, "statics"))
    return tuple(lacking)


def _clear(requirement: Requirement) -> float:
    """Return how wide the room round the axis is, mm; of one not known the clear height tells."""
    clear = requirement.size(FeatureKind.CLEAR_DIAMETER)
    if clear is not None:
        return clear
    height = requirement.size(FeatureKind.CLEAR_HEIGHT)
    return inf if requirement.nothing_in_the_way or height is None else 0.0


def _room_across(bar: Piece, place: Place, room: float) -> Check | None:
    """Return whether a bar has room, cut to the length that is wanted; None where it has."""
    length, wide = bar.size(FeatureKind.LENGTH), bar.size(FeatureKind.WIDTH)
    if length is None or wide is None:
        return None
    # Of a plate the width may be cut too; of a bar it bears the load.
    across = hypot(min(length, room), wide if place.count == 2 else min(wide, room))
    if across <= place.clear:
        return None
    detail = f"{bar.name} needs {across:.4g} mm across"
    if place.clear <= 0:
        detail += ": state clear-diameter, or the word nothing where nothing is in the way."
        return missing("room", "in_the_way", detail)
    detail += f", cut to {min(length, room):.4g} mm; {place.clear:.4g} mm are clear."
    return Check("room", False, detail, STATED, place.clear / across)


def cut_to(bar: Piece, place: Place, major: float) -> str:
    """Say to what a bar is cut first, where it would else not go into the room; else nothing."""
    length, wide = bar.size(FeatureKind.LENGTH) or 0.0, bar.size(FeatureKind.WIDTH) or 0.0
    if hypot(length, wide) <= place.clear:
        return ""
    room = place.span + BESIDE_THE_HOLES * major
    short = f"{min(length, room):.4g}"
    both = short if place.count == 2 else f"{short} x {min(wide, room):.4g}"
    return f"cut it to {both} mm"


def place_checks(place: Place, thread: Thread) -> tuple[Check, ...]:
    """Return whether the hub can move at all, and the screws stand clear of the shaft."""
    way = f"The hub has {place.reach:.4g} mm before it meets the bar; {place.travel:.4g} mm wanted."
    taken = place.shaft + thread.major
    stand = f"Holes {place.span:.4g} mm apart; shaft and screw take {taken:.4g} mm."
    return (
        fits("travel", place.reach, place.travel, way, STATED),
        fits("spacing", place.span, taken, stand, STATED),
    )


def is_drilled(bar: Piece, place: Place, major: float) -> bool:
    """Whether a bar has the two holes already, as far as it is stated."""
    bore, spacing = bar.size(FeatureKind.BORE), bar.size(FeatureKind.SPACING)
    return (
        place.count == 2
        and bore is not None
        and spacing is not None
        and major <= bore <= _LOOSE_HOLE * major
        and abs(spacing - place.span) <= _SAME_HOLES
    )


def bar_checks(bar: Piece, thread: Thread, place: Place) -> tuple[Check, ...]:
    """Return what a bar must be whatever the screws are."""
    room = place.span + BESIDE_THE_HOLES * thread.major
    is_plate = bar.form is ItemForm.PLATE
    # Three screws or more stand beside the middle: the plate has to be as wide as it is long.
    wide = BESIDE_THE_HOLES * thread.major if place.count == 2 else room
    basis = "three diameters beside or round the holes: common practice, no source"
    sizes = (
        ("bar length", FeatureKind.LENGTH, room),
        ("bar width", FeatureKind.WIDTH, wide),
        ("bar thickness", FeatureKind.THICKNESS, 0.0),
    )
    told = f"{bar.quantity} of {bar.name} there."
    checks = [
        tool_material_check(bar, bends=True),
        fits("bar count", bar.quantity, 1, told, STATED),
    ]
    for name, kind, asked in sizes:
        size = bar.size(kind)
        if size is None:
            checks.append(missing(name, kind.value, f"State the {kind.value} of {bar.name}."))
        elif asked > 0:
            detail = f"{bar.name}: {size:.4g} mm, {asked:.4g} mm wanted."
            checks.append(fits(name, size, asked, detail, basis))
    if not is_plate and place.count > 2:
        detail = f"{bar.name} is a bar: {place.count} screws want a plate."
        checks.append(Check("bar", False, detail, "statics"))
    if bar.size(FeatureKind.BORE) is not None and not is_drilled(bar, place, thread.major):
        detail = f"{bar.name} has a hole that may lie where it bends or bears."
        checks.append(Check("bar", False, detail, COMMON_PRACTICE))
    across = _room_across(bar, place, room)
    return tuple(checks) if across is None else (*checks, across)


def worth_trying(
    bars: list[Piece], thread: Thread, place: Place | tuple[Check, ...]
) -> tuple[Piece, ...]:
    """Return of each thickness, material and hole the widest bar on hand and to be bought.

    A wider bar of one thickness bears more and takes nothing from the rest.
    """
    if not isinstance(place, Place):
        return ()
    best: dict[tuple[object, ...], tuple[tuple[float, bool, str], Piece]] = {}
    for bar in bars:
        name = "" if bar.material is None else bar.material.material
        hole = bar.size(FeatureKind.BORE)
        key = (bar.size(FeatureKind.THICKNESS), name, hole, bar.is_on_hand)
        rank = (
            -(bar.size(FeatureKind.WIDTH) or 0.0),
            not is_drilled(bar, place, thread.major),
            bar.key,
        )
        if key not in best or rank < best[key][0]:
            best[key] = rank, bar
    return tuple(bar for _, bar in best.values())


def bar_bears(bar: Piece, place: Place) -> PartAllows:
    """Return the pull in all, N, at which a bar or plate bends as far as allowed.

    Two screws: a beam with its load in the middle. More: the same by a cut through the middle, and
    as a round plate on its rim under a load on a patch, whose stress at the middle is that on
    evenly spread points too. Sources: statics; Roark's formulas for stress and strain (plate, from
    memory). Metal further out than the points stand apart does not count.
    """
    wide, thick = bar.size(FeatureKind.WIDTH), bar.size(FeatureKind.THICKNESS)
    if bar.material is None or wide is None or thick is None:
        return PartAllows("bar bending", 0.0, "sizes and material unknown")
    counted = min(wide, place.span)
    arm = place.span / 4 if place.count == 2 else ACROSS_A_PLATE * place.span / 2
    stress = allowed_bending(bar.material)
    bears = stress * counted * thick**2 / 6 / arm
    if place.count > 2:
        spread = 1 + (1 + bar.material.poisson_ratio) * log(max(place.span / place.shaft, 1.0))
        bears = min(bears, stress * thick**2 * 2 * pi / 3 / spread)
    return PartAllows(
        "bar bending",
        bears,
        f"{stress:.4g} MPa in {bar.material.title}, {counted:.4g} x {thick:.4g} mm over"
        f" {place.span:.4g} mm, a third of its tensile strength",
    )


def shaft_bears(bar: Piece, place: Place, requirement: Requirement) -> PartAllows:
    """Return the pull in all, N, that the shaft's end and the bar's face bear on half the area."""
    bears = min(bar.size(FeatureKind.WIDTH) or 0.0, place.shaft)
    area = CONTACT * pi / 4 * bears**2
    return face_allows("bar on shaft", area, weaker(requirement.pushed, bar.material))
