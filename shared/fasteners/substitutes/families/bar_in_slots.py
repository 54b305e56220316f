"""A flat bar on edge in two opposite slots across a nut's face turns it. mm, N, N·m, MPa.

The slots run across the face from the nut's bore to its rim, DEPTH deep from the face; slots in the
rim alone are a hook spanner's.
"""

from collections.abc import Iterator
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.checking import as_fit
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    count_check,
    force_text,
    missing,
    ratio,
    room_check,
    use_check,
)
from shared.fasteners.substitutes.handles import GRIP, ceiling_of, hand_check, pull_check, turning
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
    material_text,
    needed,
    needed_of,
    pressed,
    torque_needed,
)
from shared.fasteners.substitutes.stresses import BASIS, allowed_bending, tool_material_check

LEAST_FILL: Final = 0.8
LEAST_PLAY: Final = 0.05
"""Thickness over the slot's width, and play in mm. Common practice, no source."""
STANDS_OUT: Final = 5.0
HANDLE: Final = 100.0
BEARS: Final = 0.5
"""Share of the slot's side that bears: the bar tips and turns a little. Common practice, no
source."""
_SMALL_HOLE: Final = 1.0

_WANTED: Final = {
    FeatureKind.SLOT: "State the width of the slots across the nut's face.",
    FeatureKind.DEPTH: "State how deep the slots are, from the nut's face.",
    FeatureKind.OUTSIDE_DIAMETER: "State the nut's outside diameter.",
    FeatureKind.BORE: "State the nut's bore: where the slots begin.",
}
_BAR: Final = (FeatureKind.LENGTH, FeatureKind.WIDTH, FeatureKind.THICKNESS)


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield each bar, tested for the nut's slots.

    Sources: equilibrium; pressures, factors and proportions as the checks say.
    """
    size, lacking = needed(requirement, _WANTED)
    moment, no_torque = torque_needed(requirement)
    first = (
        use_check(requirement),
        hand_check(requirement),
        *_slots(requirement, size),
        *lacking,
        *no_torque,
    )
    for bar in drawer.of(ItemForm.BAR):
        own, unknown = needed_of(bar, _BAR)
        material = tool_material_check(bar, bends=True)
        checks = (*first, material, count_check(bar, 1), *unknown)
        if lacking or no_torque or unknown or not material.passes:
            yield turning(requirement, Family.BAR_IN_SLOTS, (PartUsed(bar, 1),), checks)
        else:
            yield _tested(requirement, bar, size, own, moment, checks)


def _slots(requirement: Requirement, size: Sizes) -> tuple[Check, ...]:
    """Return whether two slots lie opposite each other, and whether the shaft leaves them free."""
    count = requirement.count(FeatureKind.SLOT)
    detail = f"{count} slots, taken as cut across the nut's face: two opposite ones are wanted."
    opposite = Check("slots", count >= 2 and count % 2 == 0, detail, "equilibrium")
    bore, outside = size.get(FeatureKind.BORE), size.get(FeatureKind.OUTSIDE_DIAMETER)
    ring: tuple[Check, ...] = ()
    if bore is not None and outside is not None and bore >= outside:
        told = f"A bore of {bore:.4g} mm in {outside:.4g} mm across is no nut: measure again."
        ring = (Check("nut", False, told, STATED),)
    if not requirement.nothing_in_the_way:
        told = "State nothing if so: a shaft that stands out of the nut keeps a bar off."
        return opposite, *ring, missing("shaft end", "in_the_way", told)
    told = "Nothing is said to stand out of the nut."
    return opposite, *ring, Check("shaft end", True, told, STATED)


def _tested(
    requirement: Requirement,
    bar: Piece,
    size: Sizes,
    own: Sizes,
    moment: float,
    first: tuple[Check, ...],
) -> Candidate:
    length, wide, thick = (own[kind] for kind in _BAR)
    outside, bore = size[FeatureKind.OUTSIDE_DIAMETER], size[FeatureKind.BORE]
    deep, mean = size[FeatureKind.DEPTH], (outside + bore) / 2
    arm = length - outside / 2 - GRIP
    checks = (
        *first,
        room_check(requirement, wide, 2 * length),
        _fit(thick, size[FeatureKind.SLOT]),
        fit(
            "bar width",
            wide,
            deep + STANDS_OUT,
            f"{wide:.4g} mm high, at least {deep + STANDS_OUT:.4g} mm wanted.",
        ),
        fit(
            "bar length",
            length,
            outside + HANDLE,
            f"{length:.4g} mm, at least {outside + HANDLE:.4g} mm wanted.",
        ),
    )
    parts = (PartUsed(bar, 1, "Square and deburr the edge that stands in the slots."),)
    if arm <= 0 or bore >= outside or bar.material is None:
        return turning(requirement, Family.BAR_IN_SLOTS, parts, checks)
    # The slot on the handle's side carries its half of the couple and of the pull.
    push = moment * (1 / mean + 1 / (2 * arm))
    pressure = min(pressed(bar.material), pressed(requirement.workpiece))
    bears = deep * (outside - bore) / 2 * BEARS * pressure
    hole = bar.size(FeatureKind.BORE) or 0.0
    whole = wide - hole if hole > _SMALL_HOLE else wide
    bends = max(whole, 0.0) * thick**2 / 6 * allowed_bending(bar.material)
    strength = (
        pull_check(moment, arm),
        ratio(
            "slot side",
            bears,
            push,
            f"{material_text(requirement.workpiece)} and the bar: a slot's side bears"
            f" {force_text(bears)}; {force_text(push)} on it.",
            f"pressure over 1.25 on half the side: {COMMON_PRACTICE}",
        ),
        ratio(
            "bar bending",
            bends,
            moment,
            f"Across its thickness it bears {bends / 1000:.3g} N·m; {moment / 1000:.3g} N·m on it.",
            BASIS,
        ),
    )
    return turning(
        requirement,
        Family.BAR_IN_SLOTS,
        parts,
        (*checks, _rolls(wide, deep, mean, arm), *strength),
        ceiling=ceiling_of(moment, strength),
        arm=arm,
        setting_up=(
            "See that the slots run across the face, and that the shaft's end lies below their"
            " floor: if it stands out, this bar does not serve.",
            "Stand the bar on edge in two opposite slots, one end flush with the rim, down to the"
            " slots' floor, and press it down while turning.",
        ),
    )


def _fit(thick: float, slot: float) -> Check:
    margin = min(thick / (LEAST_FILL * slot), max(slot - LEAST_PLAY, 0.0) / thick)
    detail = (
        f"{thick:.4g} mm thick in slots of {slot:.4g} mm: {LEAST_FILL * slot:.4g} to"
        f" {slot - LEAST_PLAY:.4g} mm wanted."
    )
    return as_fit(Check("bar in slot", margin >= 1, detail, COMMON_PRACTICE, margin))


def _rolls(wide: float, deep: float, mean: float, arm: float) -> Check:
    """Check that the bar stays in its slots: the hand pulls above them and tips it.

    Pull times half of what stands out, against both slots' pushes a quarter of their depth off
    their middle, as half the side that bears allows.
    """
    detail = (
        f"{wide - deep:.4g} mm of its height stand out of slots {deep:.4g} mm deep: the pull at"
        f" {arm:.4g} mm tips it."
    )
    return ratio("bar rolls out", deep * arm, (wide - deep) * mean, detail, "equilibrium")
