"""Random work of pressing, drawing, aligning, guiding and gauging, and drawers for it."""

from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm as Form
from shared.fasteners.model import TightRing
from shared.fasteners.model import ToolFunction as Function
from tests.shared.fasteners.substitutes.random_facts import (
    CASTS,
    SOFT,
    STEELS,
    THREADS,
    fastener,
    need,
    piece,
    requirement,
    screw,
)


def _tight(dice):
    if dice.chance(0.04):
        return None
    if dice.chance(0.05):
        return TightRing.BOTH
    return dice.choice((TightRing.INNER, TightRing.OUTER, TightRing.NO_BEARING))


def _face(dice):
    inside = dice.uniform(14, 60)
    outside = inside + dice.uniform(4, 20)
    return inside, outside, outside + dice.choice((0.0, 0.2, 0.5, 10.0))


def _ring(dice, key, inside, outside, length, spread=0.5):
    sizes = {
        Kind.OUTSIDE_DIAMETER: dice.near(outside, 0.2, way=-1),
        Kind.BORE: dice.near(inside, 0.15),
        Kind.LENGTH: dice.near(length, spread),
    }
    form = dice.choice((Form.RING, Form.RING, Form.TUBE, Form.SOCKET))
    if form is Form.SOCKET and dice.chance(0.9):
        sizes[Kind.CLEAR_DIAMETER] = dice.choice((12.7, 19.05, inside))
    return piece(dice, key, form, sizes, dice.material(*STEELS), dice.choice((0, 1, 1, 1, 2)))


def press_ring(dice):
    """A ring to be pressed by its tight face."""
    inside, outside, bore = _face(dice)
    travel = dice.uniform(2, 40)
    features = {
        Kind.FACE_INSIDE: inside,
        Kind.FACE_OUTSIDE: outside,
        Kind.BORE: bore,
        Kind.TRAVEL: travel,
    }
    asked = requirement(
        dice,
        dice.choice((Function.PRESS_IN, Function.PULL)),
        features,
        travel + 5,
        force=need(dice, 2_000, 100_000),
        workpiece=dice.material(*CASTS),
        tight_ring=_tight(dice),
    )
    return asked, [_ring(dice, f"r{k}", inside, outside, travel + 5) for k in range(6)]


def _large_washer(dice, key, name, over):
    """Return washers that bridge a ring's bore, about ``over`` mm wide."""
    sizes = {
        Kind.OUTSIDE_DIAMETER: dice.near(over, 0.3),
        Kind.THICKNESS: dice.uniform(2, 8),
    }
    number = dice.choice((1, 2, 4, 5, 5))
    material = dice.material(*STEELS)
    return piece(dice, key, Form.WASHER, sizes, material, number, fastener=fastener(name))


def _rods_and_nuts(dice, name, stack):
    major = fastener(name).thread.major
    for k in range(2):
        grade = dice.choice(("", "4.8", "8.8", "8.8", "10.9", "A2-70"))
        rod = fastener(f"{name} {grade}".strip())
        length = {Kind.LENGTH: dice.near(stack, 0.3)}
        if dice.chance(0.05):
            length[Kind.THREAD_LENGTH] = dice.near(stack * 0.9)
        yield piece(dice, f"d{k}", Form.THREADED_ROD, length, None, 1, fastener=rod)
        nut = fastener(f"{name} nut {dice.choice(('', '8', '8', '10', '04'))}".strip())
        height = {Kind.THICKNESS: dice.near(0.72 * major, 0.3)} if dice.chance(0.2) else {}
        number = dice.choice((1, 2, 2, 4))
        yield piece(dice, f"n{k}", Form.NUT, height, None, number, fastener=nut)


def _not_on_a_shaft(dice):
    """Which ring sits tight, seldom the inner one: a rod bears on the housing."""
    tight = _tight(dice)
    if tight is TightRing.INNER and dice.chance(0.9):
        return TightRing.NO_BEARING
    return tight


def rod_with_nuts(dice):
    """A part drawn into, out of or against a housing."""
    name = dice.choice(THREADS[1:7])
    bare = fastener(name)
    major, pitch = bare.thread.major, bare.thread.pitch
    function = dice.choice((Function.PULL, Function.PRESS_IN, Function.COMPRESS))
    inside, outside, bore = _face(dice)
    inside, outside = max(inside, major + 1), max(outside, inside + 4, major + 5)
    bore = max(bore, outside + dice.choice((0.2, 15.0)))
    travel, span, wide = dice.uniform(1, 12), bore + dice.uniform(5, 60), dice.uniform(5, 25)
    reach = dice.near(travel + 1, 3.0)
    features = {
        Kind.FACE_INSIDE: inside,
        Kind.FACE_OUTSIDE: outside,
        Kind.BORE: bore,
        Kind.TRAVEL: travel,
        Kind.REACH: reach,
        Kind.SPACING: span,
        Kind.WIDTH: wide,
        Kind.CLEAR_DIAMETER: dice.near(major + 0.5, 0.5),
    }
    asked = requirement(
        dice,
        function,
        features,
        500,
        force=need(dice, 200, 4_000),
        workpiece=dice.material(*CASTS),
        pushed=dice.material(*CASTS),
        tight_ring=_not_on_a_shaft(dice),
    )
    tube = travel + wide + 2 if function is Function.PULL else 0.0
    high, tall = dice.uniform(8, 30), dice.choice((6.0, 10.0, travel + 2, travel + 6))
    stack = reach + tube * 1.2 + high + tall + 14 + 1.8 * major + 4 * pitch
    found = [
        _ring(dice, "r0", inside, outside, tall, 0.1),
        _ring(dice, "r1", inside, outside, tall, 0.1),
        _large_washer(dice, "w0", name, inside + 0.25 * (outside - inside)),
        _large_washer(dice, "w1", name, inside + 0.25 * (outside - inside)),
        screw(dice, "s0", name, dice.near(stack - 0.9 * major, 0.2)),
        *_rods_and_nuts(dice, name, stack),
    ]
    for k in range(2):
        sizes = {
            Kind.LENGTH: dice.near(span + max(20.0, 2 * major), 0.3),
            Kind.WIDTH: dice.near(3 * major, 1.0),
            Kind.THICKNESS: high,
        }
        form, number = dice.choice((Form.BAR, Form.BAR, Form.PLATE)), dice.choice((0, 1, 1, 1))
        found.append(piece(dice, f"b{k}", form, sizes, dice.material(*STEELS), number))
    if function is Function.PULL:
        hole = dice.near(max(outside, bore) + 1, 0.15)
        sizes = {
            Kind.OUTSIDE_DIAMETER: hole + dice.uniform(4, 16),
            Kind.BORE: hole,
            Kind.LENGTH: dice.near(tube, 0.2),
        }
        found.append(piece(dice, "t0", Form.TUBE, sizes, dice.material(*STEELS), 1))
    return asked, found


def aligning_pins(dice):
    """Holes that are to stand over each other."""
    bore, reach = dice.uniform(4, 20), dice.uniform(8, 50)
    tolerance = dice.uniform(0.02, 0.2)
    features = {Kind.BORE: (dice.choice((1, 2, 2)), bore), Kind.REACH: reach}
    asked = requirement(
        dice,
        Function.ALIGN,
        features,
        reach + 5,
        workpiece=dice.material(*CASTS),
        workpiece_hardness=dice.hardness(120, 600),
        tolerance=tolerance if dice.chance(0.97) else None,
    )
    found = []
    for k in range(6):
        play = dice.choice((0.0, 0.005, tolerance, dice.uniform(0, 0.25)))
        sizes = {Kind.OUTSIDE_DIAMETER: bore - play, Kind.LENGTH: dice.near(reach + 5)}
        hard = dice.hardness(60, 350)
        material = dice.material(*STEELS, "CuZn39Pb3")
        found.append(piece(dice, f"p{k}", Form.PIN, sizes, material, hardness=hard))
    return asked, found


def guide_sleeve(dice):
    """Splines over which a seal's lip is to slide."""
    over, reach = dice.uniform(15, 60), dice.uniform(5, 40)
    lip = over * dice.choice((1.0, 1.02, 1.05))
    features = {Kind.OUTSIDE_DIAMETER: over, Kind.LIP: lip, Kind.REACH: reach}
    asked = requirement(
        dice,
        Function.GUIDE,
        features,
        reach + 3,
        workpiece=dice.material(*STEELS, "EN AW-6082-T6", unknown=0.2),
        workpiece_hardness=dice.hardness(150, 600),
    )
    found = []
    for k in range(6):
        hole = over + dice.choice((0.04, 0.05, 0.3, 1.0, 1.01))
        wide = dice.choice((hole + 0.2, 1.02 * lip, 1.02 * lip + 0.01, hole + 0.6))
        sizes = {
            Kind.BORE: hole,
            Kind.OUTSIDE_DIAMETER: wide,
            Kind.LENGTH: dice.near(reach + 3),
        }
        form = dice.choice((Form.SLEEVE, Form.TUBE))
        hard = dice.hardness(60, 300)
        found.append(piece(dice, f"l{k}", form, sizes, dice.material(*SOFT, "S235"), hardness=hard))
    return asked, found


def measured_piece(dice):
    """A size to be gauged."""
    wanted, tolerance = dice.uniform(2, 100), dice.uniform(0.005, 0.1)
    kind = dice.choice((Kind.LENGTH, Kind.THICKNESS, Kind.OUTSIDE_DIAMETER))
    features = {kind: wanted}
    if dice.chance(0.05):
        features[Kind.LENGTH] = wanted
    asked = requirement(
        dice,
        Function.GAUGE,
        features,
        wanted,
        tolerance=tolerance if dice.chance(0.97) else None,
    )
    found = []
    for k in range(6):
        known = dice.uniform(0.0005, 0.02)
        off = dice.choice((0.0, tolerance - 2 * known, tolerance, dice.uniform(0, 0.1)))
        sizes = {kind: wanted + dice.choice((off, -off))}
        found.append(
            piece(
                dice,
                f"g{k}",
                dice.choice((Form.MEASURED_PIECE, Form.MEASURED_PIECE, Form.PIN)),
                sizes,
                None,
                certificate=dice.choice(("measured by a laboratory", "measured", None, " ")),
                uncertainty=known if dice.chance(0.95) else dice.choice((None, 0.0)),
            )
        )
    return asked, found
