"""Random work and random drawers, one maker for each way of working, many at the limits.

Each maker returns a requirement and the pieces in the drawer. A maker first draws work that can be
done, then pieces about as large as they must be: some just, some not. mm, N, N·m.
"""

from math import hypot

from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm as Form
from shared.fasteners.model import ToolFunction as Function
from tests.shared.fasteners.substitutes.random_facts import (
    CASTS,
    STEELS,
    WEAK,
    need,
    piece,
    requirement,
    screw,
    threaded_hole,
    washer,
)


def jacking_screws(dice):
    """Holes in a plate, screws about as long as the way they push."""
    name, hole = threaded_hole(dice)
    major, pitch = hole.thread.major, hole.thread.pitch
    plate = dice.uniform(*dice.choice(((0.6, 2.0), (0.6, 4.5)))) * major
    reach, travel = plate + dice.choice((0.0, 0.0, 3.0, 12.0)), dice.uniform(1, 8)
    height = 3 * major
    features = {
        Kind.THREAD: (dice.choice((1, 2, 2, 3, 4)), hole),
        Kind.PLATE_THICKNESS: plate,
        Kind.REACH: reach,
        Kind.TRAVEL: travel,
        Kind.WALL: dice.near(dice.choice((0.2, 0.3)) * major, 1.5),
        Kind.CHAMFER: dice.choice((0.0, 0.0, 0.5, pitch)),
    }
    asked = requirement(
        dice,
        Function.SEPARATE,
        features,
        reach + height,
        force=need(dice, 500, 20_000),
        workpiece=dice.material(*CASTS, *WEAK),
        pushed=dice.material(*CASTS),
    )
    whole = reach + travel + pitch
    found = [
        screw(dice, f"s{k}", name, dice.near(whole + dice.choice((0, 0, 3 * pitch, major))))
        for k in range(6)
    ]
    return asked, found


def bar_across_screws(dice):
    """A hub with two to four holes, bars and plates, screws, washers."""
    name, hole = threaded_hole(dice)
    major, pitch = hole.thread.major, hole.thread.pitch
    count = dice.choice((1, 2, 2, 2, 3, 4))
    shaft = dice.uniform(10, 50)
    apart = dice.near(shaft + major, 1.0)
    travel = dice.uniform(0.5, 4)
    reach, depth = dice.near(travel, 1.0), dice.uniform(1.2, 4.5) * major
    high = dice.uniform(8, 40)
    across = hypot(apart + 3 * major, 3 * major + (apart if count > 2 else 0.0))
    features = {
        Kind.THREAD: (count, hole),
        Kind.DEPTH: depth,
        Kind.REACH: reach,
        Kind.OUTSIDE_DIAMETER: shaft,
        Kind.CLEAR_DIAMETER: 0.0 if dice.chance(0.6) else dice.near(across, 0.8),
        Kind.TRAVEL: travel,
        Kind.SPACING: apart,
        Kind.PIN_CIRCLE: apart,
        Kind.WALL: dice.near(dice.choice((0.2, 0.3)) * major, 1.5),
    }
    asked = requirement(
        dice,
        Function.PULL,
        features,
        high + reach + depth + major,
        force=need(dice, 500, 20_000),
        workpiece=dice.material(*CASTS, *WEAK),
        pushed=dice.material(*STEELS),
    )
    found, own = [], dice.material(*STEELS)
    for k in range(3):
        form = dice.choice((Form.BAR, Form.PLATE))
        wide = apart if count > 2 else 0.0
        sizes = {
            Kind.LENGTH: dice.near(apart + 3 * major),
            Kind.WIDTH: dice.near(wide + 3 * major, 1.0),
            Kind.THICKNESS: high,
        }
        if dice.chance(0.15):
            sizes[Kind.BORE] = dice.near(major, 0.3)
            sizes[Kind.SPACING] = apart + dice.choice((0, 0.9, 1.1))
        found.append(piece(dice, f"b{k}", form, sizes, dice.choice((own, dice.material(*STEELS)))))
    engaged = dice.choice((major, depth - travel - pitch / 2))
    found += [screw(dice, f"s{k}", name, dice.near(high + reach + engaged, 0.2)) for k in range(4)]
    found += [washer(dice, f"w{k}", name, major) for k in range(2)]
    return asked, found


def holding_screws(dice):
    """A part to be held on its seat."""
    name, hole = threaded_hole(dice)
    major, pitch = hole.thread.major, hole.thread.pitch
    thick, depth = dice.uniform(3, 25), dice.uniform(1.2, 5) * major
    features = {
        Kind.THREAD: (dice.choice((1, 2, 3)), hole),
        Kind.DEPTH: depth,
        Kind.PLATE_THICKNESS: thick,
        Kind.WALL: dice.near(dice.choice((0.2, 0.3)) * major, 1.5),
    }
    asked = requirement(
        dice,
        Function.RETAIN,
        features,
        thick + 2 * major,
        force=need(dice, 500, 10_000),
        workpiece=dice.material(*CASTS, *WEAK),
        pushed=dice.material(*CASTS),
    )
    engaged = dice.choice((major, depth - pitch / 2))
    found = [screw(dice, f"s{k}", name, dice.near(thick + engaged, 0.3)) for k in range(5)]
    return asked, [*found, *(washer(dice, f"w{k}", name, major) for k in range(2))]


def guide_studs(dice):
    """Holes for two studs over which a part slides."""
    name, hole = threaded_hole(dice)
    major, pitch = hole.thread.major, hole.thread.pitch
    reach, depth = dice.uniform(10, 60), dice.near(major + pitch / 2, 1.0)
    features = {
        Kind.THREAD: (dice.choice((1, 2, 2, 4)), hole),
        Kind.DEPTH: depth,
        Kind.REACH: reach,
        Kind.BORE: dice.near(major + 0.1, 0.1),
    }
    asked = requirement(
        dice,
        dice.choice((Function.ALIGN, Function.GUIDE)),
        features,
        reach + 2 * major,
        tolerance=dice.near(0.1 + pitch / 2, 3.0) if dice.chance(0.9) else None,
    )
    least = reach + major + pitch
    return asked, [screw(dice, f"s{k}", name, dice.near(least, 0.3)) for k in range(6)]
