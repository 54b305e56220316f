"""The plain side of screws that push, pull, hold and guide, each with its bar where it has one."""

from math import log, pi

from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm, TightRing
from tests.shared.fasteners.substitutes.plain_facts import (
    begin,
    enough,
    fits_thread,
    has_sound_head,
    head_height,
    room,
    thread_length,
    tip_lost,
    without_sunk_head,
)
from tests.shared.fasteners.substitutes.plain_threads import (
    column,
    friction,
    head_ring,
    modulus_of,
    pushing_arms,
    round_area,
    screw_torque,
    seat,
    set_and_forces,
    strength,
    thread_holds,
    turning_arms,
)

SAME_SIZE = 0.01


def of(parts, *forms):
    return [(piece, count) for piece, count in parts if piece.form in forms]


def screws_of(plain, requirement, parts, wanted):
    """Return the screws whose thread, class and friction are known, else refuse."""
    lots = of(parts, ItemForm.SCREW, ItemForm.THREADED_ROD)
    enough(plain, lots, wanted)
    for piece, _ in lots:
        if not fits_thread(plain, requirement, piece, has_head=True):
            return []
        if strength(piece.fastener) is None:
            plain.no("no strength is known")
            return []
        if not plain.known(
            length=piece.length,
            threaded=thread_length(piece),
            friction=friction(requirement, piece),
        ):
            return []
    return lots


def _force(plain, requirement, lots, ceilings, arms):
    """Set all screws to the least ceiling; refuse unless they surely give the most needed."""
    if requirement.force is None:
        plain.no("force not stated")
    if plain.reasons:
        return
    ceiling = min(ceilings)
    plain.torque = ceiling / 1.06
    plain.force = sum(
        count * set_and_forces(ceiling, each)[1]
        for (_, count), each in zip(lots, arms, strict=True)
    )
    plain.at_least(plain.force, requirement.force.amount.most, "force")


def jacking_screws(requirement, parts):
    """Screws in tapped holes of a loose part push on what is behind it."""
    plain = begin(requirement)
    plate, reach = requirement.size(Kind.PLATE_THICKNESS), requirement.size(Kind.REACH)
    travel = requirement.size(Kind.TRAVEL)
    lots = screws_of(plain, requirement, parts, max(1, requirement.count(Kind.THREAD)))
    if requirement.is_symmetric is not True:
        plain.no("not said to be symmetric")
    if not plain.known(plate=plate, reach=reach, travel=travel) or not lots:
        return plain
    plain.at_least(reach, plate, "reach")
    ceilings, every_arm = [], []
    for piece, _ in lots:
        thread, found = piece.fastener.thread, strength(piece.fastener)
        lost, mu = tip_lost(piece), friction(requirement, piece)
        plain.at_least(without_sunk_head(piece), reach + travel + lost + thread.pitch, "length")
        plain.at_least(thread_length(piece) - lost, reach + travel, "thread length")
        has_sound_head(plain, piece.fastener)
        room(plain, requirement, piece.length - lost + head_height(piece.fastener))
        holds = thread_holds(plain, requirement, piece, plate, thread.pitch + 0.25 * thread.major)
        tip = round_area(0.8 * thread.root_external)
        least_yield, root = found.strength.yield_least, thread.root_external
        long = reach - plate + travel + thread.pitch
        bears = min(
            holds,
            seat(requirement.pushed, tip),
            least_yield * tip,
            column(round_area(root), root / 4, max(long, 0.0), least_yield, modulus_of(found)),
        )
        arms = pushing_arms(thread, mu)
        ceilings.append(
            min(
                screw_torque(piece.fastener, mu, arms, all_twists=True),
                bears * arms[0] / 1000,
            )
        )
        every_arm.append(arms)
    _force(plain, requirement, lots, ceilings, every_arm)
    return plain


def _one(plain, parts, *forms):
    """Return the one bar or plate of a set."""
    found = of(parts, *forms)
    enough(plain, found, 1)
    return found[0][0] if found else None


def _bar(plain, piece, *, bends=True):
    """Return length, width, thickness of a bar that may bend, else refuse."""
    if piece is None:
        return None
    sizes = tuple(piece.size(kind) for kind in (Kind.LENGTH, Kind.WIDTH, Kind.THICKNESS))
    if not plain.known(material=piece.material, sizes=None if None in sizes else sizes):
        return None
    if bends and (piece.material.is_brittle or piece.material.material == "PA66"):
        plain.no("the material may not bend")
    return sizes


def washers_under(plain, requirement, parts, screws):
    """Return how high the washers under each head are, mm; refuse those that do not fit."""
    high, major = 0.0, requirement.thread.major
    for piece, count in of(parts, ItemForm.WASHER):
        plain.at_least(piece.quantity, count, "washers")
        bore, outside = piece.size(Kind.BORE), piece.size(Kind.OUTSIDE_DIAMETER)
        widest_hole = head_ring(requirement.fastener)[1]
        if piece.fastener is None:
            plain.known(bore=bore, outside=outside)
        elif abs(piece.fastener.thread.major - major) > SAME_SIZE:
            plain.no("washers of another size")
        if bore is not None and not major <= bore <= widest_hole:
            plain.no("the washers' hole is not the screw's")
        plain.at_least(outside or 1.7 * major, 1.7 * major, "washers' outside")
        if count % screws:
            plain.no("not so many washers under each head")
        high += count / screws * piece.size(Kind.THICKNESS)
    return high


def _room_round(plain, requirement, count, sizes):
    """Refuse a bar or plate that, cut short, does not turn in the clear room round the axis."""
    cut, length, width = sizes
    clear = requirement.size(Kind.CLEAR_DIAMETER)
    is_told = requirement.size(Kind.CLEAR_HEIGHT) is not None
    if clear is None and is_told and not requirement.nothing_in_the_way:
        plain.no("nobody said how far off it stands")
    if clear is not None:
        long, wide = min(cut, length), width if count == 2 else min(cut, width)
        plain.at_least(clear**2, long**2 + wide**2, "room across")


def bar_across_screws(requirement, parts):
    """A bar across screws in tapped holes bears on the shaft's end and pulls the hub."""
    plain = begin(requirement)
    count = requirement.count(Kind.THREAD)
    plain.at_least(count, 2, "holes")
    depth, reach = requirement.size(Kind.DEPTH), requirement.size(Kind.REACH)
    shaft, travel = requirement.size(Kind.OUTSIDE_DIAMETER), requirement.size(Kind.TRAVEL)
    apart = requirement.size(Kind.SPACING if count == 2 else Kind.PIN_CIRCLE)
    if requirement.is_symmetric is not True:
        plain.no("not said to be symmetric")
    if requirement.tight_ring in (TightRing.INNER, TightRing.BOTH):
        plain.no("pulled through the balls of a bearing")
    lots = screws_of(plain, requirement, parts, count)
    bar = _one(plain, parts, ItemForm.BAR, ItemForm.PLATE)
    sizes = _bar(plain, bar)
    is_known = plain.known(depth=depth, reach=reach, shaft=shaft, travel=travel, apart=apart)
    if not (is_known and sizes and lots):
        return plain
    length, width, high = sizes
    thread = requirement.thread
    major = thread.major
    if count > 2 and bar.form is not ItemForm.PLATE:
        plain.no("a bar lies on two screws only")
    plain.at_least(length, apart + 3 * major, "bar's length")
    plain.at_least(width, 3 * major + (apart if count > 2 else 0.0), "bar's width")
    plain.at_least(reach, travel, "the hub meets the bar")
    _room_round(plain, requirement, count, (apart + 3 * major, length, width))
    under = washers_under(plain, requirement, parts, count)
    under_head = [bar.material, *(one.material for one, _ in of(parts, ItemForm.WASHER))]
    plain.at_least(apart, shaft + major, "screws beside the shaft")
    bored = bar.size(Kind.BORE)
    if bored is not None:
        meets = abs((bar.size(Kind.SPACING) or 0.0) - apart) <= 1 and count == 2
        if not (meets and major <= bored <= 1.2 * major):
            plain.no("a hole where the bar bears")
    ceilings, every_arm = [], []
    for piece, _ in lots:
        has_sound_head(plain, piece.fastener)
        mu = friction(requirement, piece)
        room(plain, requirement, piece.length + major)
        engaged = piece.length - high - under - reach
        plain.at_least(engaged, major, "engagement")
        plain.at_least(depth - thread.pitch / 2, engaged + travel, "depth")
        plain.at_least(thread_length(piece), engaged + travel, "thread length")
        lever = apart / 4 if count == 2 else apart / 2 * 0.354
        stress = bar.material.tensile_least / 3
        bends = stress * min(width, apart) * high**2 / 6 / lever
        if count > 2:
            # A round plate held at its rim, the load on a circle in its middle.
            spread = 1 + (1 + bar.material.poisson_ratio) * log(max(apart / shaft, 1.0))
            bends = min(bends, stress * high**2 * 2 * pi / 3 / spread)
        on_shaft = 0.5 * round_area(min(width, shaft))
        outside, inside = head_ring(piece.fastener)
        on_head = round_area(outside) - round_area(max(inside, bored or 0.0))
        bears = min(
            thread_holds(plain, requirement, piece, engaged),
            *(seat(each, on_head) for each in under_head),
            bends / count,
            seat(requirement.pushed, on_shaft) / count,
            seat(bar.material, on_shaft) / count,
        )
        arms = turning_arms(piece.fastener, mu)
        ceilings.append(
            min(
                screw_torque(piece.fastener, mu, arms, all_twists=False),
                bears * arms[0] / 1000,
            )
        )
        every_arm.append(arms)
    _force(plain, requirement, lots, ceilings, every_arm)
    return plain
