"""The plain side of a bar that is bolted on and held against a stop."""

from math import pi, sqrt

from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm
from tests.shared.fasteners.substitutes.plain_facts import (
    begin,
    has_sound_head,
    room,
    thread_length,
)
from tests.shared.fasteners.substitutes.plain_fits import metal
from tests.shared.fasteners.substitutes.plain_screws import screws_of
from tests.shared.fasteners.substitutes.plain_threads import friction as friction_between
from tests.shared.fasteners.substitutes.plain_threads import (
    head_ring,
    round_area,
    screw_torque,
    seat,
    strength,
    thread_holds,
    turning_arms,
    weakest,
)
from tests.shared.fasteners.substitutes.plain_turning import deep, flat, pressed, upright


def counterhold_bar(requirement, parts):
    """A bar on two screws, its end against a stop, holds a hub."""
    plain = begin(requirement)
    bars = [piece for piece, _ in parts if piece.form in {ItemForm.BAR, ItemForm.PLATE}]
    lots = screws_of(plain, requirement, parts, 2)
    plain.at_least(requirement.count(Kind.THREAD), 2, "holes")
    if not requirement.nothing_in_the_way:
        plain.no("a shaft may stand out under the bar")
    if not bars:
        plain.no("no bar")
    apart, depth, gap = (requirement.size(one) for one in (Kind.SPACING, Kind.DEPTH, Kind.REACH))
    wall, torque = requirement.size(Kind.WALL), requirement.torque
    facts = {"apart": apart, "depth": depth, "gap": gap, "wall": wall, "torque": torque}
    if not (plain.known(**facts) and lots and bars):
        return plain
    bar, turned = bars[0], 1000 * torque.amount.most
    if not metal(plain, bar, bends=True) or not plain.known(bar=flat(bar)):
        return plain
    length, width, high = flat(bar)
    major, hole = requirement.thread.major, 1.2 * requirement.thread.major
    plain.at_least(bar.quantity, 1, "bars")
    plain.at_least(hole, bar.size(Kind.BORE) or 0.0, "bar's hole")
    plain.at_least(length, 3 * apart + 3 * major, "bar's length")
    plain.at_least(width, 3 * major, "bar's width")
    plain.at_least(major, gap, "gap")
    stop = length - apart / 2 - 3 * major
    clear = requirement.size(Kind.CLEAR_DIAMETER)
    if clear is not None:
        plain.at_least(clear / 2, length - apart / 2 - 1.5 * major, "room to the bar's end")
    if stop <= 0 or width <= hole:
        plain.no("no bar is left")
        return plain
    push = turned * (1 / apart + 1 / (2 * stop))
    p_bar, p_work = pressed(bar.material), pressed(requirement.workpiece)
    shear = (
        weakest("shear_least")
        if requirement.workpiece is None
        else requirement.workpiece.shear_least
    )
    plain.at_least(p_bar * high * major, push, "bar's side")
    plain.at_least(bar.material.tensile_least / 5 * (width - hole) * high, push, "bar's edge")
    section = high * (width**3 - hole**3) / 6 / width
    plain.at_least(bar.material.tensile_least / 3 * section, turned, "bar's bending")
    plain.at_least(upright(bar, length, width, high), turned, "bar sideways")
    torques = []
    for piece, _ in lots:
        has_sound_head(plain, piece.fastener)
        thread, found = piece.fastener.thread, strength(piece.fastener)
        engaged = piece.length - high - gap
        room(plain, requirement, piece.length + major)
        plain.at_least(engaged, 0.8 * major, "engagement")
        plain.at_least(depth - thread.pitch / 2, engaged, "depth")
        plain.at_least(thread_length(piece), engaged, "thread length")
        held = thread_holds(plain, requirement, piece, engaged)
        if not held:
            return plain
        chamfer = requirement.size(Kind.CHAMFER)
        mouth = thread.pitch if chamfer is None else chamfer
        counted = min(engaged - mouth - thread.pitch, 2.5 * major)
        arm = gap + mouth + push / major / p_bar / 2
        bears = deep(arm, counted)
        plain.at_least(bears * major * p_work, push, "hole's side")
        plain.at_least(2 * wall * bears * shear / 2.5, push, "hole's edge")
        root, least_yield = thread.root_external, found.strength.yield_least
        moment = push * (arm + push / major / p_work / 2)
        tension = 32 * moment / pi / root**3 + 0.27 * least_yield
        both = sqrt(tension**2 + 3 * (push / round_area(root)) ** 2)
        plain.at_least(least_yield / 1.5, both, "screw")
        outside, inside = head_ring(piece.fastener)
        on_bar = seat(bar.material, round_area(outside) - round_area(inside))
        arms = turning_arms(piece.fastener, friction_between(requirement, piece))
        alone = screw_torque(
            piece.fastener, friction_between(requirement, piece), arms, all_twists=False
        )
        torques.append(min(alone, min(held, on_bar) * arms[0] / 1000))
    plain.torque = 0.3 * min(torques) / 1.06
    return plain
