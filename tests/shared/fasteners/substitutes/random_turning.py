"""Random work of holding a part against turning and of turning nuts, and drawers for it."""

from shared.designations.model import Hand
from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm as Form
from shared.fasteners.model import ToolFunction as Function
from tests.shared.fasteners.substitutes.random_facts import (
    CASTS,
    PLATES,
    SOFT,
    STEELS,
    need,
    piece,
    requirement,
    screw,
    threaded_hole,
)


def counterhold_bar(dice):
    """Two holes in a hub and a bar to be bolted on them."""
    name, hole = threaded_hole(dice)
    major = hole.thread.major
    apart, gap = dice.uniform(25, 250), dice.choice((0.01, 0.01, 1.0, 3.0, major))
    depth, high = dice.uniform(1.0, 2.5) * major, dice.uniform(4, 15)
    features = {
        Kind.THREAD: (dice.choice((1, 2, 2, 4)), hole),
        Kind.SPACING: apart,
        Kind.DEPTH: depth,
        Kind.REACH: gap,
        Kind.WALL: dice.near(0.3 * major, 1.5),
        Kind.CHAMFER: dice.choice((0.0, 0.5)),
        Kind.CLEAR_DIAMETER: 0.0 if dice.chance(0.8) else dice.near(5 * apart + 3 * major),
    }
    asked = requirement(
        dice,
        Function.HOLD_ROTATION,
        features,
        high + depth + major,
        torque=need(dice, 5, 120),
        workpiece=dice.material(*CASTS),
    )
    sizes = {
        Kind.LENGTH: dice.near(3 * apart + 3 * major, 1.5),
        Kind.WIDTH: dice.near(3 * major),
        Kind.THICKNESS: high,
    }
    if dice.chance(0.15):
        sizes |= {Kind.BORE: dice.near(1.2 * major, 0.2), Kind.SPACING: apart}
    found = [
        piece(dice, f"b{k}", dice.choice((Form.BAR, Form.BAR, Form.PLATE)), sizes, material)
        for k, material in enumerate((dice.material(*PLATES), dice.material(*STEELS)))
    ]
    engaged = dice.choice((0.8 * major, depth))
    found += [screw(dice, f"s{k}", name, dice.near(high + gap + engaged, 0.2)) for k in range(4)]
    return asked, found


def soft_strip(dice):
    """Two gears in mesh and strips of softer metal."""
    space, around, face = dice.uniform(2, 8), dice.uniform(40, 250), dice.uniform(8, 40)
    features = {
        Kind.TOOTH_SPACE: space,
        Kind.PITCH_DIAMETER: around,
        Kind.WIDTH: face,
    }
    asked = requirement(
        dice,
        Function.HOLD_ROTATION,
        features,
        max(30.0, 3 * space),
        torque=need(dice, 2, 150),
        workpiece=dice.material("C45", "42CrMo4+QT", "EN-GJL-250"),
        workpiece_hardness=dice.hardness(150, 700),
    )
    found = []
    for k in range(6):
        sizes = {
            Kind.THICKNESS: dice.near(0.3 * space, 2.5),
            Kind.WIDTH: dice.uniform(8, 40),
            Kind.LENGTH: dice.near(max(30.0, 3 * space)),
        }
        material, hard = dice.material(*SOFT, "S235"), dice.hardness(40, 250)
        found.append(piece(dice, f"t{k}", Form.STRIP, sizes, material, hardness=hard))
    return asked, found


def _hand(dice):
    return dice.choice((Hand.LEFT, Hand.RIGHT, Hand.RIGHT)) if dice.chance(0.95) else None


def pins_in_a_plate(dice):
    """A nut with holes in its face."""
    hole, circle = dice.uniform(3, 12), dice.uniform(20, 90)
    depth, high = dice.uniform(2, 15), dice.uniform(2, 15)
    features = {
        Kind.PIN: (dice.choice((1, 2, 2, 3, 4)), hole),
        Kind.PIN_CIRCLE: circle,
        Kind.DEPTH: depth,
        Kind.CLEAR_DIAMETER: 0.0 if dice.chance(0.7) else 1500,
    }
    asked = requirement(
        dice,
        Function.TURN,
        features,
        high + 30,
        torque=need(dice, 2, 100),
        workpiece=dice.material(*CASTS),
        hand=_hand(dice),
    )
    found = []
    for k in range(3):
        sizes = {
            Kind.LENGTH: dice.near(circle + 4 * hole + 100, 1.5),
            Kind.WIDTH: dice.near(3 * hole),
            Kind.THICKNESS: high,
        }
        if dice.chance(0.1):
            sizes[Kind.BORE] = dice.near(hole, 0.3)
        form = dice.choice((Form.BAR, Form.PLATE))
        found.append(piece(dice, f"b{k}", form, sizes, dice.material(*PLATES)))
        sizes = {
            Kind.OUTSIDE_DIAMETER: max(0.5, hole - dice.choice((0.01, 0.02, 0.1, 0.1 * hole, 0.5))),
            Kind.LENGTH: dice.near(high + 0.5 + depth / 2),
        }
        count = dice.choice((1, 2, 4, 4))
        found.append(piece(dice, f"p{k}", Form.PIN, sizes, dice.material(*STEELS), count))
    return asked, found


def bar_in_slots(dice):
    """A nut with slots across its face."""
    slot, outside = dice.uniform(4, 14), dice.uniform(30, 90)
    depth = dice.uniform(2, 8)
    features = {
        Kind.SLOT: (dice.choice((1, 2, 2, 4, 6)), slot),
        Kind.OUTSIDE_DIAMETER: outside,
        Kind.BORE: outside * dice.choice((0.5, 0.7, 0.8, 1.0)),
        Kind.DEPTH: depth,
    }
    asked = requirement(
        dice,
        Function.TURN,
        features,
        depth + 10,
        torque=need(dice, 2, 60),
        workpiece=dice.material(*CASTS),
        hand=_hand(dice),
    )
    found = []
    for k in range(6):
        sizes = {
            Kind.LENGTH: dice.near(outside + 100, 2.0),
            Kind.WIDTH: dice.near(depth + 5, 1.5),
            Kind.THICKNESS: dice.near(slot - 0.05, 0.25, way=-1),
        }
        if dice.chance(0.1):
            sizes[Kind.BORE] = dice.uniform(0.5, 8)
        found.append(piece(dice, f"b{k}", Form.BAR, sizes, dice.material(*STEELS)))
    return asked, found


def hook_spanner(dice):
    """A ring nut and spanners with hooks."""
    slot, outside = dice.uniform(4, 14), dice.uniform(30, 90)
    features = {
        dice.choice((Kind.SLOT, Kind.SLOT, Kind.PIN)): (4, slot),
        Kind.OUTSIDE_DIAMETER: outside,
        Kind.CLEAR_DIAMETER: 0.0 if dice.chance(0.7) else dice.near(outside + 500),
    }
    asked = requirement(
        dice,
        Function.TURN,
        features,
        15.0,
        torque=need(dice, 10, 150),
        workpiece=dice.material(*CASTS),
        hand=_hand(dice),
    )
    found = []
    for k in range(6):
        sizes = {
            Kind.FACE_INSIDE: dice.near(outside, way=-1),
            Kind.FACE_OUTSIDE: dice.near(outside),
            dice.choice((Kind.SLOT, Kind.SLOT, Kind.PIN)): dice.near(slot - 0.1, 0.5, way=-1),
        }
        found.append(piece(dice, f"h{k}", Form.HOOK_SPANNER, sizes, dice.material(*STEELS)))
    return asked, found
