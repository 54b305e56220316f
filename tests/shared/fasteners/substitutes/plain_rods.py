"""The plain side of a threaded rod with nuts: it draws a part through or into its bore."""

from itertools import permutations
from math import pi

from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm, TightRing, ToolFunction
from tests.shared.fasteners.substitutes.plain_facts import (
    begin,
    enough,
    room,
    thread_length,
)
from tests.shared.fasteners.substitutes.plain_fits import (
    metal,
    overhang_force,
    ring_on_face,
    tube_force,
)
from tests.shared.fasteners.substitutes.plain_nuts import (
    friction_of_set,
    is_nut,
    is_rod,
    nut_bears,
    rod_thread_bears,
)
from tests.shared.fasteners.substitutes.plain_threads import (
    head_ring,
    round_area,
    screw_torque,
    set_and_forces,
    turning_arms,
)
from tests.shared.fasteners.substitutes.plain_turning import flat, pressed

WANTING = "a part of the set is wanting"
_RINGS = {ItemForm.RING, ItemForm.SOCKET, ItemForm.TUBE, ItemForm.WASHER}


def rod_with_nuts(requirement, parts):
    """Try every role that each piece may play; take the one with the least against it."""
    tried = [_with_ring(requirement, parts, ring, tube) for ring, tube in _roles(parts)]
    if not tried:
        plain = begin(requirement)
        plain.no("no ring")
        return plain
    return min(tried, key=lambda plain: (bool(plain.reasons), WANTING in plain.reasons))


def _roles(parts):
    rings = [part for part in parts if part[0].form in _RINGS]
    tubes = [part for part in parts if part[0].form is ItemForm.TUBE]
    for ring, tube in permutations(rings, 2):
        if tube in tubes:
            yield ring, tube
    for ring in rings:
        yield ring, None


def _with_ring(requirement, parts, ring_part, tube_part):
    plain = begin(requirement)
    pulls = requirement.function is ToolFunction.PULL
    presses = requirement.function is ToolFunction.PRESS_IN
    ring, tube = ring_part[0], None if tube_part is None else tube_part[0]
    left = [part for part in parts if part not in (ring_part, tube_part)]
    rods = _of(left, ItemForm.THREADED_ROD, ItemForm.SCREW)
    nuts, washers = _of(left, ItemForm.NUT), _of(left, ItemForm.WASHER)
    bars = _of(left, ItemForm.BAR, ItemForm.PLATE)
    enough(plain, rods, 1)
    for role in (rods, washers, bars):
        if len(role) != 1:
            plain.no(WANTING)
    if pulls is (tube is None):
        plain.no("a pull needs a tube, nothing else does")
    if plain.reasons:
        return plain
    rod, bar, washer = rods[0][0], bars[0][0], washers[0][0]
    has_two_nuts = rod.form is ItemForm.THREADED_ROD
    enough(plain, nuts, 2 if has_two_nuts else 1)
    stack = washers[0][1]
    enough(plain, washers, 2)
    enough(plain, bars, 1)
    enough(plain, [ring_part], 1)
    names = ("REACH", "TRAVEL", "BORE", "FACE_INSIDE", "FACE_OUTSIDE", "CLEAR_DIAMETER")
    facts = {name: requirement.size(Kind[name]) for name in names}
    facts["span"] = requirement.size(Kind.WIDTH if pulls else Kind.SPACING)
    if requirement.is_symmetric is not True:
        plain.no("not said to be symmetric")
    own = {
        "bar": flat(bar),
        "ring length": ring.length if ring.length is not None else ring.size(Kind.THICKNESS),
        "washer": washer.size(Kind.OUTSIDE_DIAMETER),
        "thick": washer.size(Kind.THICKNESS),
        "rod": rod.length,
        "need": requirement.force,
    }
    if pulls:
        sizes = (tube.length, tube.size(Kind.OUTSIDE_DIAMETER), tube.size(Kind.BORE))
        own["tube"] = None if None in sizes else sizes
    if not plain.known(**facts, **own):
        return plain
    if requirement.tight_ring is TightRing.INNER:
        # Whatever stands on the housing pulls through the balls.
        plain.no("the shaft is not held")
    area = ring_on_face(
        plain, requirement, ring, enters=requirement.function is not ToolFunction.COMPRESS
    )
    sound = [
        metal(plain, ring, bends=False),
        metal(plain, bar, bends=True),
        metal(plain, washer, bends=True),
        tube is None or metal(plain, tube, bends=False),
        is_rod(plain, rod),
        *(is_nut(plain, nut, rod) for nut, _ in nuts),
    ]
    if not area or not all(sound):
        return plain
    mu = friction_of_set(requirement, rod, nuts)
    if mu is None:
        plain.no("friction not known")
        return plain
    thread, major, tall = rod.fastener.thread, rod.fastener.thread.major, own["ring length"]
    length, width, high = own["bar"]
    ring_out, ring_in = ring.size(Kind.OUTSIDE_DIAMETER), ring.size(Kind.BORE)
    wide, thick = own["washer"], own["thick"]
    own_hole = washer.size(Kind.BORE)
    hole_in_washer = 1.2 * major if own_hole is None else own_hole
    if own_hole is None:
        if washer.fastener is None or washer.fastener.thread.designation != thread.designation:
            plain.no("the washer is not for the rod")
    else:
        plain.at_least(own_hole, major + 0.1, "washer's hole")
        plain.at_least(1.2 * major, own_hole, "washer's hole is wide")
    hole = max(head_ring(rod.fastener)[1], bar.size(Kind.BORE) or 0.0)
    travel, reach, bore = facts["TRAVEL"], facts["REACH"], facts["BORE"]
    # What the rod passes through.
    narrowest = min(facts["CLEAR_DIAMETER"], facts["FACE_INSIDE"], bore)
    plain.at_least(narrowest, major + 0.5, "rod in the part")
    plain.at_least(ring_in, major + 0.2, "rod in the ring")
    if ring.form is ItemForm.SOCKET:
        through = ring.size(Kind.CLEAR_DIAMETER)
        if plain.known(through=through):
            plain.at_least(through, major + 0.2, "rod in the socket")
    if not pulls:
        plain.at_least(reach, travel, "what is pressed meets the bar")
        if reach == travel:
            plain.no("what is pressed meets the bar")
    # How long the stack is.
    tube_length = tube.length if pulls else 0.0
    nut_heights = [
        max(0.9 * major, nut.size(Kind.THICKNESS) or 0.0)
        for nut, count in nuts
        for _ in range(count)
    ]
    between = tube_length + high + tall + stack * thick
    ends = sum(nut_heights) + 2 * len(nut_heights) * thread.pitch
    plain.at_least(rod.length, reach + between + ends, "rod's length")
    threaded = thread_length(rod)
    if has_two_nuts:
        plain.at_least(threaded, rod.length - 3 * thread.pitch, "rod's thread")
    else:
        plain.at_least(threaded, rod.length - (reach - travel + between), "thread length")
    room(plain, requirement, rod.length + travel + (0.0 if has_two_nuts else major))
    # Washers bridge the ring's bore.
    support = (ring_in + 0.2 * (ring_out - ring_in)) / 2
    plain.at_least(wide, 2 * support, "washer on the ring")
    if pulls or (presses and tall < travel + 2 - 1e-9):
        plain.at_least(bore - 0.2, max(wide, 2 * major), "washer in the bore")
    allowed = [
        area * min(pressed(requirement.workpiece), pressed(ring.material)),
        tube_force(ring, tall),
        (round_area(min(wide, ring_out)) - round_area(max(ring_in, hole_in_washer)))
        * min(pressed(washer.material), pressed(ring.material)),
    ]
    over = overhang_force(requirement, ring, tall)
    allowed += [] if over is None else [over]
    turned_on = [nut.fastener for nut, _ in nuts] + ([] if has_two_nuts else [rod.fastener])
    for fastener in turned_on:
        outside, inside = head_ring(fastener)
        ring_area = round_area(outside) - round_area(max(inside, hole_in_washer, hole))
        allowed.append(ring_area * min(pressed(washer.material), pressed(bar.material)))
    strong = washer.material.tensile_least
    for nut, _ in nuts:
        loaded = sum(head_ring(nut.fastener)) / 4
        if support > loaded:
            # Half the ring, cut through its middle: the loads' arms differ by so much over pi.
            lever = (support - loaded) / pi
            bends = (stack - 1) * (wide - hole_in_washer) * thick**2 / 6 * strong / 3 / lever
            shears = (stack - 1) * 2 * pi * loaded * thick * strong / 5
            allowed.append(min(bends, shears))
    # The bar.
    plain.at_least(1.2 * major, bar.size(Kind.BORE) or 0.0, "bar's hole")
    plain.at_least(width, 3 * major, "bar's width")
    # A plate wider than it spans does not bend over all its width.
    across = sum(own["tube"][1:]) / 2 if pulls else facts["span"] + 10
    bears = min(width, across)
    bends, left = bar.material.tensile_least / 3, bears - hole
    own_hole = bar.size(Kind.BORE) or 0.0
    if own_hole <= major:
        # Too narrow for the rod: another is drilled, and this one may lie beside it.
        left = max(left - own_hole, 0.0)
    if pulls:
        allowed += _on_tube(plain, requirement, bar, tube, bends * left * high**2 / 6)
        plain.at_least(tube_length, travel + facts["span"] + 2, "tube's length")
    else:
        span = facts["span"]
        plain.at_least(length, span + max(2 * major, 20.0), "bar's length")
        allowed.append(bends * left * high**2 / 6 * 4 / across)
        allowed.append(2 * 10 * bears * min(pressed(bar.material), pressed(requirement.pushed)))
    allowed.append(2 * 2 / 3 * left * high * bar.material.tensile_least / 5)
    # The thread.
    allowed += [nut_bears(rod, nut) for nut, _ in nuts]
    allowed.append(min(rod_thread_bears(rod, nut) for nut, _ in nuts))
    every = [turning_arms(nut.fastener, mu) for nut, _ in nuts]
    arms = min(one[0] for one in every), max(one[1] for one in every)
    ceiling = min(
        screw_torque(rod.fastener, mu, arms, all_twists=False), min(allowed) * arms[0] / 1000
    )
    if not plain.reasons:
        plain.torque, plain.force = set_and_forces(ceiling, arms)
        plain.at_least(plain.force, requirement.force.amount.most, "force")
    return plain


def _of(parts, *forms):
    return [part for part in parts if part[0].form in forms]


def _on_tube(plain, requirement, bar, tube, moment):
    wide, hole = tube.size(Kind.OUTSIDE_DIAMETER), tube.size(Kind.BORE)
    plain.at_least(tube.quantity, 1, "tubes")
    clear = max(requirement.size(Kind.FACE_OUTSIDE), requirement.size(Kind.BORE)) + 1
    plain.at_least(hole, clear, "tube's bore")
    if hole >= wide:
        plain.no("no tube")
        return []
    length, width, _ = flat(bar)
    plain.at_least(length, wide, "bar across the tube")
    ring, met = round_area(wide) - round_area(hole), width * (wide - hole)
    weaker = min(pressed(bar.material), pressed(tube.material))
    return [
        moment * 4 / ((wide + hole) / 2),
        tube_force(tube, tube.length),
        tube.material.tensile_least / 3 * min(ring, met),
        ring * min(pressed(tube.material), pressed(requirement.pushed)),
        min(met, ring) * weaker,
    ]
