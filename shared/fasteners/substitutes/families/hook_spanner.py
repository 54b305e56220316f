"""A hook spanner, adjustable or not, turns a ring nut by a slot or a hole in its rim. mm, N·m."""

from collections.abc import Iterator
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.checking import as_fit
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    count_check,
    missing,
    ratio,
    room_check,
    use_check,
)
from shared.fasteners.substitutes.handles import hand_check, turning
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
    material_text,
    needed,
    needed_of,
    pressed,
    torque_needed,
)
from shared.standards.hole_materials import hole_material_of

PER_DIAMETER: Final = 2.0
MOST: Final = 120.0
"""Torque of a spanner of unknown make, N·m per mm of nut and at the most: an estimate, common
practice, no source."""
LEAST_FILL: Final = 0.6
LEAST_PLAY: Final = 0.1
"""Width of the hook over the slot's, and its play, mm. Common practice, no source."""
HIGH: Final = 15.0
SWINGS: Final = 500.0
"""Room for the spanner: above the nut, and across for its handle. Common practice, no source."""

_WANTED: Final = {FeatureKind.OUTSIDE_DIAMETER: "State the nut's outside diameter."}
_RANGE: Final = (FeatureKind.FACE_INSIDE, FeatureKind.FACE_OUTSIDE)
_HOOKS: Final = (FeatureKind.SLOT, FeatureKind.PIN)


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield each hook spanner, tested for the nut. Sources: as the checks say."""
    size, lacking = needed(requirement, _WANTED)
    moment, no_torque = torque_needed(requirement)
    first = (use_check(requirement), hand_check(requirement), *lacking, *no_torque)
    for spanner in drawer.of(ItemForm.HOOK_SPANNER):
        own, unknown = needed_of(spanner, _RANGE)
        checks = (*first, count_check(spanner, 1), *unknown, _hook_check(requirement, spanner))
        if lacking or no_torque or unknown:
            yield turning(requirement, Family.HOOK_SPANNER, (PartUsed(spanner, 1),), checks)
        else:
            yield _tested(requirement, spanner, size, own, moment / 1000, checks)


def _tested(
    requirement: Requirement,
    spanner: Piece,
    size: Sizes,
    own: Sizes,
    torque: float,
    first: tuple[Check, ...],
) -> Candidate:
    outside = size[FeatureKind.OUTSIDE_DIAMETER]
    least, most = (own[kind] for kind in _RANGE)
    ceiling = _ceiling(requirement, outside)
    what = material_text(requirement.workpiece)
    checks = (
        *first,
        room_check(requirement, HIGH, outside + SWINGS),
        _spans(outside, least, most),
        ratio(
            "spanner strength",
            ceiling,
            torque,
            f"{ceiling:.3g} N·m at the most on {outside:.4g} mm of {what}, by estimate;"
            f" {torque:.3g} N·m may be needed.",
            f"{PER_DIAMETER:g} N·m per mm up to {MOST:g} N·m on steel: an estimate,"
            f" {COMMON_PRACTICE}",
        ),
    )
    return turning(
        requirement,
        Family.HOOK_SPANNER,
        (PartUsed(spanner, 1),),
        checks,
        ceiling=ceiling,
        setting_up=(
            "See that the hook goes to the floor of its slot or hole in the nut's rim and that the"
            " spanner lies round the nut without rocking, so turned that the pull draws the hook"
            " in.",
        ),
        notes=("What the spanner itself bears is not known: its torque here is an estimate.",),
    )


def _ceiling(requirement: Requirement, outside: float) -> float:
    """Return the torque, N·m, that spanner and slot are trusted with: on a soft nut less."""
    steel = pressed(hole_material_of("steel"))
    return min(PER_DIAMETER * outside, MOST) * min(1.0, pressed(requirement.workpiece) / steel)


def _spans(outside: float, least: float, most: float) -> Check:
    margin = min(outside / least, most / outside)
    detail = f"It spans {least:.4g} to {most:.4g} mm; the nut has {outside:.4g} mm."
    return as_fit(Check("range", margin >= 1, detail, STATED, margin))


def _hook_check(requirement: Requirement, spanner: Piece) -> Check:
    """Check that the hook goes into a slot, or its pin into a hole, and fills it well enough."""
    is_in_face = requirement.size(FeatureKind.PIN_CIRCLE) is not None
    if is_in_face and requirement.size(FeatureKind.SLOT) is None:
        told = "The holes lie on a circle in the nut's face; this spanner's pin goes into its rim."
        return Check("hook", False, told, STATED)
    found = [
        _fills(kind, hook, gap)
        for kind in _HOOKS
        if not (is_in_face and kind is FeatureKind.PIN)
        and (gap := requirement.size(kind)) is not None
        and (hook := spanner.size(kind)) is not None
        and gap > 0
        and hook > 0
    ]
    if found:
        return as_fit(max(found, key=lambda check: check.margin or 0.0))
    if any(requirement.size(kind) for kind in _HOOKS):
        told = f"State the width of the hook, or the diameter of the pin, of {spanner.name}."
    else:
        told = "State the width of the slots, or the diameter of the holes, in the nut's rim."
    return missing("hook", "slot", told)


def _fills(kind: FeatureKind, hook: float, gap: float) -> Check:
    margin = min(hook / (LEAST_FILL * gap), max(gap - LEAST_PLAY, 0.0) / hook)
    what = "Hook" if kind is FeatureKind.SLOT else "Pin"
    detail = (
        f"{what} of {hook:.4g} mm in {gap:.4g} mm: {LEAST_FILL * gap:.3g} to"
        f" {gap - LEAST_PLAY:.4g} mm wanted."
    )
    return Check("hook", margin >= 1, detail, COMMON_PRACTICE, margin)
