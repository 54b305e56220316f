"""A strip of soft metal in the mesh of two gears keeps them from turning. mm, N, N·m, MPa."""

from collections.abc import Iterator
from math import pi
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.checking import as_fit
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    SEAT_SAFETY,
    count_check,
    force_text,
    missing,
    ratio,
    room_check,
    use_check,
)
from shared.fasteners.substitutes.instructions import PROTECT, torque_text
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.side_load import (
    Sizes,
    fit,
    needed,
    needed_of,
    torque_needed,
)
from shared.fasteners.substitutes.softness import softness_check
from shared.standards.hole_materials import HoleMaterial, MaterialKind

LEAST_SHARE: Final = 0.3
MOST_SHARE: Final = 0.9
"""Thickness of the strip over the tooth space: thinner it rolls through, thicker it wedges on
nothing but the tips. Common practice, no source."""
LEAST_LENGTH: Final = 30.0
"""So much is left to pull it out by. Common practice, no source."""
SHEAR_SAFETY: Final = 2.5
TOOTH_SAFETY: Final = 3.0
"""Common practice, no source."""
FORM: Final = 0.25
"""Lewis' form factor of a tooth loaded at its tip, the least of usual gears; from memory."""

_WANTED: Final = {
    FeatureKind.TOOTH_SPACE: "State the width of the tooth space at the pitch circle.",
    FeatureKind.PITCH_DIAMETER: "State the pitch diameter of the gear that is held.",
    FeatureKind.WIDTH: "State the width of the teeth.",
}
_STRIP: Final = (FeatureKind.LENGTH, FeatureKind.WIDTH, FeatureKind.THICKNESS)
_STRENGTHS: Final = frozenset({"crushing", "shear", "tooth"})
_HARD: Final = frozenset({MaterialKind.STEEL, MaterialKind.STAINLESS, MaterialKind.CAST_IRON})


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield each strip in the drawer, tested for the mesh.

    Sources: equilibrium at the pitch circle; Lewis for the teeth (from memory).
    """
    size, lacking = needed(requirement, _WANTED)
    moment, no_torque = torque_needed(requirement)
    lacking = (*lacking, *no_torque)
    if requirement.workpiece is None:
        told = "State the material of the teeth: the strip must be surely softer and weaker."
        lacking = (*lacking, missing("workpiece", "workpiece", told))
    for strip in drawer.of(ItemForm.STRIP):
        checks = (use_check(requirement), softness_check(strip, requirement), *lacking)
        if lacking or requirement.workpiece is None:
            yield _of(requirement, strip, checks)
            continue
        checks += _strip_checks(requirement, requirement.workpiece, strip, size, moment)
        yield _of(requirement, strip, checks)


def _strip_checks(
    requirement: Requirement, teeth: HoleMaterial, strip: Piece, size: Sizes, moment: float
) -> tuple[Check, ...]:
    own, lacking = needed_of(strip, _STRIP)
    material = _material_check(strip)
    checks = (material, count_check(strip, 1), *lacking)
    metal = strip.material
    if lacking or metal is None or not material.passes:
        return checks
    length, wide, thick = (own[kind] for kind in _STRIP)
    space = size[FeatureKind.TOOTH_SPACE]
    least = max(LEAST_LENGTH, 3 * space)
    return (
        *checks,
        room_check(requirement, least),
        _thickness_check(thick, space),
        fit(
            "strip length",
            length,
            least,
            f"{length:.4g} mm; {least:.4g} mm wanted, to pull it out by.",
        ),
        *_strength_checks(
            metal,
            teeth,
            width=min(wide, size[FeatureKind.WIDTH]),
            thick=thick,
            space=space,
            push=2 * moment / size[FeatureKind.PITCH_DIAMETER],
        ),
    )


def _material_check(strip: Piece) -> Check:
    """Check that a strip is of soft metal or plastic, and bends before it breaks.

    Steel is none, however soft it measures: where it slips it marks the teeth.
    """
    metal = strip.material
    if metal is None:
        return missing("material", "material", f"State what {strip.name} is made of.")
    detail = f"{strip.name} of {metal.title}"
    if metal.is_brittle:
        detail += ": brittle, it would leave pieces between the teeth"
    elif metal.kind in _HARD:
        detail += ": no soft metal; take brass, copper, aluminium or polyamide"
    is_soft = not (metal.is_brittle or metal.kind in _HARD)
    return Check("material", is_soft, f"{detail}.", COMMON_PRACTICE)


def _thickness_check(thick: float, space: float) -> Check:
    margin = min(thick / (LEAST_SHARE * space), MOST_SHARE * space / thick)
    detail = (
        f"{thick:.3g} mm thick; {LEAST_SHARE * space:.3g} to {MOST_SHARE * space:.3g} mm suits a"
        f" tooth space of {space:.3g} mm."
    )
    return as_fit(Check("thickness", margin >= 1, detail, COMMON_PRACTICE, margin))


def _strength_checks(
    metal: HoleMaterial,
    teeth: HoleMaterial,
    *,
    width: float,
    thick: float,
    space: float,
    push: float,
) -> tuple[Check, ...]:
    """Return what strip and teeth bear of the force at the pitch circle, over ``width``."""
    pressure = min(metal.seat_pressure, teeth.seat_pressure) / SEAT_SAFETY
    crushed = width * space / 2 * pressure
    sheared = width * thick * metal.shear_least / SHEAR_SAFETY
    # The space is half the pitch at the pitch circle: module = 2 space / pi.
    broken = width * 2 * space / pi * FORM * teeth.tensile_least / TOOTH_SAFETY
    asked = f"{force_text(push)} at the pitch circle"
    return (
        ratio(
            "crushing",
            crushed,
            push,
            f"It bears {force_text(crushed)} on half a tooth space of height; {asked}.",
            f"pressure over {SEAT_SAFETY:g}: {COMMON_PRACTICE}",
        ),
        ratio(
            "shear",
            sheared,
            push,
            f"It shears above {force_text(sheared)}; {asked}.",
            f"shear strength over {SHEAR_SAFETY:g}: {COMMON_PRACTICE}",
        ),
        ratio(
            "tooth",
            broken,
            push,
            f"The held gear's tooth bears {force_text(broken)} at its tip; {asked}.",
            f"Lewis, form factor {FORM} (from memory), tensile strength over {TOOTH_SAFETY:g}",
        ),
    )


def _of(requirement: Requirement, strip: Piece, checks: tuple[Check, ...]) -> Candidate:
    margins = [one.margin for one in checks if one.name in _STRENGTHS and one.margin is not None]
    most = 0.0 if requirement.torque is None else requirement.torque.amount.most
    holds = most * min(margins, default=0.0)
    is_fit = all(one.passes for one in checks)
    notes = (
        estimate_note(requirement.torque, "torque"),
        f"It holds up to {torque_text(holds)} on the held gear, as computed." if is_fit else None,
        "The other gear, its shaft and bearings carry the same force and were not checked: the"
        " material and hardness stated must be those of the softer and weaker gear.",
    )
    return Candidate(
        family=Family.SOFT_STRIP,
        parts=(PartUsed(strip, 1, "Cut it to length, without burrs; use it once."),),
        checks=checks,
        steps=_steps(most) if is_fit else (),
        cautions=cautions_for(requirement, Family.SOFT_STRIP),
        notes=tuple(note for note in notes if note is not None),
    )


def _steps(most: float) -> tuple[str, ...]:
    return (
        "Clean the mesh and look at the teeth: a chipped or cracked one is not held by.",
        PROTECT,
        "Feed the strip in across the whole width of the teeth, on the side where they turn"
        " towards each other, until both gears stand.",
        f"Turn slowly by hand, up to {torque_text(most)} on the held gear, never in jerks. Stop"
        " when the strip slips, tears or is drawn through.",
        "If it does not come loose at that torque, stop: get the special tool or ask the maker.",
        "Turn back to let the strip go; take every piece of it out, count them, and look at both"
        " gears' teeth.",
    )
