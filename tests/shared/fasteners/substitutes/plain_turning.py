"""The plain side of what holds a part against turning or turns a nut that has no hexagon."""

from dataclasses import replace
from math import pi, sqrt

from shared.designations.model import Hand
from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm
from tests.shared.fasteners.substitutes.plain_facts import (
    begin,
    enough,
    room,
)
from tests.shared.fasteners.substitutes.plain_fits import PLASTIC, metal, softer
from tests.shared.fasteners.substitutes.plain_threads import (
    round_area,
    seat,
)

FROM_THE_END = 50.0
"""Where the middle of a hand is on a handle, mm."""
MOST_PULL = 400.0
"""What a hand pulls, N."""


def pressed(material):
    """Return the pressure, MPa, that a material's surface bears; unknown: the weakest."""
    return seat(material, 1.0)


def deep(arm, stands):
    """Return how much of a pin's depth bears fully, mm, when it is pushed ``arm`` mm outside.

    The pin turns about a point in the hole: full pressure one way above it, the other way below.
    From the two balances (forces, moments) a quadratic in that depth.
    """
    lever = stands + 2 * arm
    return sqrt(lever**2 + stands**2) - lever


def upright(piece, length, width, high):
    """Return the moment, N·mm, at which a bar on its edge falls over sideways, over 3."""
    modulus = piece.material.elastic_modulus
    shear = modulus / 2 / (1 + piece.material.poisson_ratio)
    sideways, twist = width * high**3 / 12, width * high**3 / 3
    return 4.013 * sqrt(modulus * sideways * shear * twist) / length / 3


def flat(piece):
    """Return length, width, thickness of a bar or strip; None where one is not stated."""
    sizes = tuple(piece.size(kind) for kind in (Kind.LENGTH, Kind.WIDTH, Kind.THICKNESS))
    return None if None in sizes else sizes


def soft_strip(requirement, parts):
    """A strip of soft metal in the mesh of two gears holds them."""
    plain = begin(requirement)
    enough(plain, parts, 1)
    piece = parts[0][0]
    space, around = requirement.size(Kind.TOOTH_SPACE), requirement.size(Kind.PITCH_DIAMETER)
    face, torque, work = requirement.size(Kind.WIDTH), requirement.torque, requirement.workpiece
    softer(plain, requirement, piece)
    facts = {"space": space, "around": around, "face": face, "torque": torque, "work": work}
    if not plain.known(**facts, material=piece.material, sizes=flat(piece)):
        return plain
    length, width, high = flat(piece)
    own = piece.material
    if own.is_brittle and own.material != PLASTIC:
        plain.no("the strip breaks")
    if own.material[:2] not in {"EN", "Cu", "PA"}:
        plain.no("steel is no soft metal")
    plain.at_least(high, 0.3 * space, "strip too thin")
    plain.at_least(0.9 * space, high, "strip too thick")
    plain.at_least(length, max(30.0, 3 * space), "strip's length")
    room(plain, requirement, max(30.0, 3 * space))
    across, force = min(width, face), 1000 * torque.amount.most / (around / 2)
    plain.at_least(across * space / 2 * min(pressed(own), pressed(work)), force, "crushing")
    plain.at_least(across * high * own.shear_least / 2.5, force, "shear")
    module = 2 * space / pi
    plain.at_least(across * module * 0.25 * work.tensile_least / 3, force, "tooth")
    return plain


def _turning(requirement):
    """Return the beginning of what turns a nut: hand and torque must be stated."""
    plain = begin(requirement)
    if plain.known(hand=requirement.hand, torque=requirement.torque):
        assert requirement.hand in Hand
    return plain


def _pull(plain, turned, arm):
    plain.at_least(MOST_PULL, turned / arm if arm > 0 else float("inf"), "pull")


def _wide_room(plain, requirement, diameter):
    clear = requirement.size(Kind.CLEAR_DIAMETER)
    if clear is not None:
        plain.at_least(clear, diameter, "room round it")
    elif not requirement.nothing_in_the_way:
        plain.no("nobody said what stands round it")


def pins_in_a_plate(requirement, parts):
    """Two pins in a plate or bar turn a nut with holes in its face."""
    pins = [(pin, count) for pin, count in parts if pin.form is ItemForm.PIN]
    if len(pins) < 2:
        return _pins_of_one_kind(requirement, parts)
    plain = _turning(requirement)
    enough(plain, pins, 2)
    others = [part for part in parts if part not in pins]
    for pin, _ in pins:
        alone = [*others, (replace(pin, quantity=2), 2)]
        plain.reasons += _pins_of_one_kind(requirement, alone).reasons
    return plain


def _pins_of_one_kind(requirement, parts):
    plain = _turning(requirement)
    plates = [one for one in parts if one[0].form in {ItemForm.BAR, ItemForm.PLATE}]
    pins = [one for one in parts if one[0].form is ItemForm.PIN]
    enough(plain, pins, 2)
    enough(plain, plates, 1)
    number = requirement.count(Kind.PIN)
    if number < 2 or number % 2:
        plain.no("no two opposite holes")
    hole, circle = requirement.size(Kind.PIN), requirement.size(Kind.PIN_CIRCLE)
    depth, torque = requirement.size(Kind.DEPTH), requirement.torque
    if not plates or not pins:
        return plain
    plate, pin = plates[0][0], pins[0][0]
    wide, long = pin.size(Kind.OUTSIDE_DIAMETER), pin.length
    facts = {"hole": hole, "circle": circle, "depth": depth, "torque": torque, "wide": wide}
    if not plain.known(**facts, long=long, sizes=flat(plate)):
        return plain
    if not all([metal(plain, pin, bends=True), metal(plain, plate, bends=True)]):
        return plain
    length, width, high = flat(plate)
    turned, arm = 1000 * torque.amount.most, length - circle / 2 - 2 * wide - FROM_THE_END
    _pull(plain, turned, arm)
    room(plain, requirement, high + long)
    _wide_room(plain, requirement, 2 * length)
    if not requirement.nothing_in_the_way:
        plain.no("a shaft may stand out under the plate")
    plain.at_least(hole - wide, 0.02, "pin goes in")
    plain.at_least(0.1 * hole, hole - wide, "pin is loose")
    plain.at_least(width, 3 * wide, "plate's width")
    plain.at_least(length, circle + 4 * wide + 100, "plate's length")
    plain.at_least(wide, plate.size(Kind.BORE) or 0.0, "plate's hole")
    stands = min(depth, long - high - 0.5)
    plain.at_least(stands, wide / 2, "pin's engagement")
    if plain.reasons:
        return plain
    push = turned * (1 / circle + 1 / (2 * arm))
    out, p_plate = 0.5 + stands / 2, pressed(plate.material)
    plain.at_least(round_area(wide) * pin.material.tensile_least / 5, push, "pin's shear")
    moment = push * (out + push / wide / p_plate / 2)
    plain.at_least(pi * wide**3 / 32 * pin.material.tensile_least / 3, moment, "pin's bending")
    plain.at_least(wide * stands * pressed(requirement.workpiece), push, "pin's hole")
    plain.at_least(deep(out, high) * wide * p_plate, push, "plate's side")
    section = high * (width**3 - wide**3) / 6 / width
    plain.at_least(plate.material.tensile_least / 3 * section, turned, "plate's bending")
    plain.at_least(upright(plate, length, width, high), turned, "plate sideways")
    plain.at_least(plate.material.tensile_least / 5 * (width - wide) * high, push, "plate's edge")
    return plain


def bar_in_slots(requirement, parts):
    """A bar on edge in two opposite slots turns a nut."""
    plain = _turning(requirement)
    enough(plain, parts, 1)
    bar, torque = parts[0][0], requirement.torque
    number = requirement.count(Kind.SLOT)
    if number < 2 or number % 2:
        plain.no("no two opposite slots")
    kinds = (Kind.SLOT, Kind.OUTSIDE_DIAMETER, Kind.BORE, Kind.DEPTH)
    slot, outside, inside, depth = (requirement.size(kind) for kind in kinds)
    facts = {"slot": slot, "outside": outside, "inside": inside, "depth": depth}
    if not plain.known(**facts, torque=torque, sizes=flat(bar)):
        return plain
    if not metal(plain, bar, bends=True):
        return plain
    if inside >= outside:
        plain.no("no ring")
    length, width, high = flat(bar)
    turned, arm = 1000 * torque.amount.most, length - outside / 2 - FROM_THE_END
    _pull(plain, turned, arm)
    room(plain, requirement, width)
    _wide_room(plain, requirement, 2 * length)
    if not requirement.nothing_in_the_way:
        plain.no("a shaft may stand out of the nut")
    plain.at_least(slot - 0.05, high, "bar in slot")
    plain.at_least(high, 0.8 * slot, "bar too thin")
    plain.at_least(width, depth + 5, "bar's width")
    plain.at_least(length, outside + 100, "bar's length")
    if plain.reasons:
        return plain
    middle = (outside + inside) / 2
    push = turned * (1 / middle + 1 / (2 * arm))
    side = depth * (outside - inside) / 2 / 2
    weaker = min(pressed(bar.material), pressed(requirement.workpiece))
    plain.at_least(side * weaker, push, "slot's side")
    plain.at_least(depth * arm, (width - depth) * middle, "bar rolls out")
    bore = bar.size(Kind.BORE) or 0.0
    left = width - bore if bore > 1 else width
    plain.at_least(bar.material.tensile_least / 3 * left * high**2 / 6, turned, "bar's bending")
    return plain


def hook_spanner(requirement, parts):
    """A hook spanner turns a nut with slots or holes in its rim."""
    plain = _turning(requirement)
    enough(plain, parts, 1)
    piece, torque = parts[0][0], requirement.torque
    outside = requirement.size(Kind.OUTSIDE_DIAMETER)
    least, most = piece.size(Kind.FACE_INSIDE), piece.size(Kind.FACE_OUTSIDE)
    fits = 0
    for kind in (Kind.SLOT, Kind.PIN):
        opening, hook = requirement.size(kind), piece.size(kind)
        if opening is not None and hook is not None:
            slack = NEARLY_NOTHING * opening
            fits += 0.6 * opening - slack <= hook <= opening - 0.1 + slack
    if not fits:
        plain.no("the hook does not fit")
    if not plain.known(outside=outside, least=least, most=most, torque=torque):
        return plain
    plain.at_least(outside, least, "nut too small")
    plain.at_least(most, outside, "nut too large")
    room(plain, requirement, 15.0)
    _wide_room(plain, requirement, outside + 500)
    share = pressed(requirement.workpiece) * 1.25 / 420
    plain.at_least(min(2 * outside, 120.0) * min(1.0, share), torque.amount.most, "torque")
    return plain


NEARLY_NOTHING = 1e-9
