"""Two pins in a plate or bar turn a nut by two opposite holes in its face. mm, N, N·m, MPa."""

from collections.abc import Iterator
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    force_text,
    missing,
    ratio,
    use_check,
)
from shared.fasteners.substitutes.handles import (
    ceiling_of,
    hand_check,
    middle_check,
    pull_check,
    turning,
)
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Requirement,
)
from shared.fasteners.substitutes.pairing import best_pairs, standing_of
from shared.fasteners.substitutes.pin_plate import (
    GAP,
    PINS,
    Pair,
    Part,
    Turned,
    pin_of,
    pins_bear,
    plate_of,
    standing_together,
)
from shared.fasteners.substitutes.side_load import (
    HOLD_BASIS,
    fit,
    flat_bar_checks,
    material_text,
    needed,
    torque_needed,
)
from shared.fasteners.substitutes.stresses import BASIS

_WANTED: Final = {
    FeatureKind.PIN: "State the diameter of the holes in the nut's face.",
    FeatureKind.PIN_CIRCLE: "State the diameter of the circle that the holes lie on.",
    FeatureKind.DEPTH: "State how deep the holes are.",
}


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield each plate or bar with its best pins, and each kind of pin with its best plate.

    What fails by itself comes alone, with the reason. How pairs are chosen so that no set that
    holds is overlooked: ``pairing.best_pairs``. Sources: equilibrium; pressures, factors and
    proportions as the checks say.
    """
    size, lacking = needed(requirement, _WANTED)
    moment, no_torque = torque_needed(requirement)
    first = (
        use_check(requirement),
        hand_check(requirement),
        _count_of_holes(requirement),
        middle_check(requirement, "plate"),
    )
    plates = drawer.of(ItemForm.PLATE, ItemForm.BAR)
    if lacking or no_torque:
        for piece in plates:
            yield _of(requirement, (PartUsed(piece, 1),), (*first, *lacking, *no_torque))
        return
    turned = Turned(requirement, size, moment, first)
    pins: list[Part] = []
    for piece in drawer.of(ItemForm.PIN):
        pin = pin_of(piece, size)
        if all(check.passes or check.name == "count" for check in pin.checks):
            pins.append(pin)
        else:
            yield _of(requirement, (PartUsed(piece, PINS),), (*first, *pin.checks))
    fitting: list[Part] = []
    for piece in plates:
        plate = plate_of(piece)
        if not all(check.passes for check in plate.checks):
            yield _of(requirement, (PartUsed(piece, 1),), (*first, *plate.checks))
        elif not pins:
            none = Check("pin", False, "No pins that suit the holes are there.", STATED)
            yield _of(requirement, (PartUsed(piece, 1),), (*first, *plate.checks, none))
        else:
            fitting.append(plate)
    begin = standing_of(first)
    for plate, pin in best_pairs(
        fitting,
        pins,
        PINS,
        lambda plate, pin: standing_together(Pair(turned, plate, pin), begin),
        lambda plate, pin: _preparation(Pair(turned, plate, pin)),
    ):
        yield _together(Pair(turned, plate, pin))


def _count_of_holes(requirement: Requirement) -> Check:
    count = requirement.count(FeatureKind.PIN)
    if count == 0:
        return missing("holes", "pin", "State the holes in the nut's face, and how many there are.")
    passes = count >= PINS and count % 2 == 0
    detail = f"{count} holes: two opposite ones are wanted."
    return Check("holes", passes, detail, "equilibrium")


def _together(pair: Pair) -> Candidate:
    turned, plate, pin = pair.turned, pair.plate, pair.pin
    requirement, moment = turned.requirement, turned.moment
    across, deep, arm = pair.across, pair.deep, pair.arm
    checks = (
        *turned.first,
        pair.room(),
        *plate.checks,
        *pin.checks,
        *_proportions(pair),
        fit(
            "pin engagement",
            max(deep, 0.0),
            across / 2,
            f"The pins stand {deep:.3g} mm deep; at least {across / 2:.3g} mm wanted.",
        ),
    )
    parts = (PartUsed(plate.piece, 1, _preparation(pair)), PartUsed(pin.piece, PINS))
    if deep <= 0 or arm <= 0:
        return _of(requirement, parts, checks)
    push = pair.push
    strength = (
        pull_check(moment, arm),
        *flat_bar_checks(plate.piece, "plate", plate.size, moment, across, push),
        *_pin_checks(pair, push),
    )
    return turning(
        requirement,
        Family.PINS_IN_A_PLATE,
        parts,
        (*checks, *strength),
        ceiling=ceiling_of(moment, strength),
        arm=arm,
        setting_up=(
            "See that the shaft's end lies below the nut's face: the plate lies across it.",
            f"Set the pins into two opposite holes, {deep:.3g} mm deep, and press the plate flat"
            " against the nut: tilted pins break out.",
        ),
    )


def _proportions(pair: Pair) -> tuple[Check, ...]:
    plate, across = pair.plate, pair.across
    length, wide = plate.size[FeatureKind.LENGTH], plate.size[FeatureKind.WIDTH]
    bore = plate.piece.size(FeatureKind.BORE)
    told = "No other hole is stated." if bore is None else f"It has a hole of {bore:.4g} mm"
    if bore is not None:
        told += f"; {across:.4g} mm is counted."
    return (
        fit(
            "plate length",
            length,
            pair.longer,
            f"{length:.4g} mm, at least {pair.longer:.4g} mm wanted.",
        ),
        fit(
            "plate width",
            wide,
            3 * across,
            f"{wide:.4g} mm, at least {3 * across:.4g} mm wanted.",
        ),
        Check("plate holes", pair.holes_fit, told, STATED),
    )


def _pin_checks(pair: Pair, push: float) -> tuple[Check, ...]:
    sheared, bent, in_hole, held = pins_bear(pair)
    workpiece, asked = pair.turned.requirement.workpiece, f"{force_text(push)} on each pin"
    found = (
        ("pin shear", sheared, f"A pin bears {force_text(sheared)} in shear", BASIS),
        ("pin bending", bent, f"A pin bears {force_text(bent)} in bending", BASIS),
        (
            "pin hole",
            in_hole,
            f"{material_text(workpiece)}: the hole bears {force_text(in_hole)}",
            f"pressure over 1.25: {COMMON_PRACTICE}",
        ),
        ("plate side", held, f"The plate's hole holds {force_text(held)}", HOLD_BASIS),
    )
    return tuple(
        ratio(name, allowed, push, f"{detail}; {asked}.", basis)
        for name, allowed, detail, basis in found
    )


def _preparation(pair: Pair) -> str:
    across = pair.across
    return (
        f"Drill and ream two holes {pair.circle:.4g} mm apart across its middle, the first"
        f" {2 * across:.3g} mm from one end, so that the pins of {across:.4g} mm drive in tight and"
        f" stand out {max(pair.deep, 0.0) + GAP:.3g} mm, square to it and alike."
    )


def _of(
    requirement: Requirement, parts: tuple[PartUsed, ...], checks: tuple[Check, ...]
) -> Candidate:
    return turning(requirement, Family.PINS_IN_A_PLATE, parts, checks)
