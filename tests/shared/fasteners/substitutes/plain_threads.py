"""The plain side of a screw: friction, torque, strip, seat, wall and column. mm, N, N·m, MPa."""

from functools import cache
from math import cos, pi, radians, sqrt, tan

from shared.errors import InvalidInput
from shared.fasteners.faces import face_of, widest_face_of
from shared.fasteners.friction import friction_for
from shared.fasteners.model import FeatureKind
from shared.fasteners.strength import screw_strength
from shared.standards.hole_materials import hole_materials
from shared.standards.threads import hole_limits, screw_limits
from tests.shared.fasteners.substitutes.plain_facts import NEARLY


@cache
def strength(fastener):
    """Return the class figures; None where there are none."""
    try:
        return screw_strength(fastener)
    except InvalidInput:
        return None


def friction(requirement, piece, *, in_hole=True):
    """Return least and most friction; None for words that mean nothing."""
    if requirement.friction is not None:
        return requirement.friction.least, requirement.friction.most
    found = strength(piece.fastener)
    try:
        told = friction_for(
            requirement.lubrication, is_stainless=found.is_stainless, finish=piece.fastener.words
        )
        # Stainless steel galls whichever of the two is of it.
        hole = requirement.workpiece
        as_stainless = friction_for(
            requirement.lubrication, is_stainless=True, finish=piece.fastener.words
        )
    except InvalidInput:
        return None
    if in_hole and (hole is None or hole.kind == "stainless"):
        return min(told.least, as_stainless.least), max(told.most, as_stainless.most)
    return told.least, told.most


def in_thread(thread, mu):
    """Return torque over force in the thread alone, mm: climbing the pitch, rubbing at d2."""
    return thread.pitch / 2 / pi + mu * thread.pitch_diameter / 2 / cos(
        radians(thread.flank_angle) / 2
    )


def pushing_arms(thread, mu):
    """Return least and most torque over force of a screw that pushes with its end, mm."""
    return in_thread(thread, mu[0]), in_thread(thread, mu[1]) + mu[1] * thread.root_external / 3


def turning_arms(fastener, mu):
    """Return least and most torque over force of a head or nut that turns on its face, mm."""
    small, wide = _rings(fastener)
    thread = fastener.thread
    return in_thread(thread, mu[0]) + mu[0] * small / 2, in_thread(thread, mu[1]) + mu[1] * wide / 2


def head_ring(fastener):
    """Return outside and inside diameter of the least face under a head, mm."""
    face = face_of(fastener)
    return face.outside, face.inside


@cache
def _rings(fastener):
    least, widest = face_of(fastener), widest_face_of(fastener)
    return (least.outside + least.inside) / 2, (widest.outside + widest.inside) / 2


def screw_torque(fastener, mu, arms, *, all_twists):
    """Return the torque, N·m, at 90 % of yield in tension and (plastic) torsion together."""
    found = strength(fastener)
    around = sqrt(4 * found.area / pi)
    torques = []
    for friction_now, whole in zip(mu, arms, strict=True):
        twisting = whole if all_twists else in_thread(fastener.thread, friction_now)
        # One newton of force: its tension and the shear of its torque, plastic modulus pi d3 / 12.
        tension, shear = 1 / found.area, twisting / (pi * around**3 / 12)
        force = 0.9 * found.strength.yield_least / sqrt(tension**2 + 3 * shear**2)
        torques.append(force * whole / 1000)
    return min(torques)


def set_and_forces(ceiling, arms):
    """Return what a wrench with 6 % error is set to, N·m, and what force it surely gives, N."""
    torque = ceiling / 1.06
    return torque, 0.94 * torque * 1000 / arms[1]


@cache
def weakest(quality):
    """Return the least of a quality of all materials of the table."""
    return min(getattr(row, quality) for row in hole_materials())


def seat(material, area):
    """Return the force, N, that a face bears; one of unknown material as the weakest."""
    pressure = weakest("seat_pressure") if material is None else material.seat_pressure
    return pressure * area / 1.25


def wall_factor(plain, requirement):
    """Return what a thin wall leaves of a thread's strength."""
    wall = requirement.size(FeatureKind.WALL)
    if wall is None:
        plain.no("wall not stated")
        return 0.0
    across = (requirement.thread.major + 2 * wall) / requirement.thread.major
    if across < 1.4 - NEARLY:
        plain.no("wall too thin")
        return 0.0
    return 1.0 if across >= 1.9 else min(1.0, 3.8 * across - across**2 - 2.61)


@cache
def _shear_per_mm(thread):
    """Return the area sheared per mm of engagement: the hole's thread, the screw's."""
    screw, hole = screw_limits(thread), hole_limits(thread)
    left, major, pitch_screw = 1.0, thread.major, thread.pitch_diameter
    minor, pitch_hole = thread.minor_internal, thread.pitch_diameter
    if screw is None or hole is None:
        left = 0.7
    else:
        major, pitch_screw = screw.major_least, screw.pitch_least
        minor, pitch_hole = hole.minor_most, hole.pitch_most
    half = tan(radians(thread.flank_angle) / 2)
    # The width of a ridge where it meets the other's crest, on a circle there, once per pitch.
    at_hole = thread.pitch / 2 + half * (major - pitch_hole)
    at_screw = thread.pitch / 2 + half * (pitch_screw - minor)
    return left * pi * major * at_hole / thread.pitch, left * pi * minor * at_screw / thread.pitch


def thread_holds(plain, requirement, piece, engaged, incomplete=None):
    """Return the force, N, that hole and screw thread bear per screw; 0 and refused if none."""
    thread = requirement.thread
    chamfer = requirement.size(FeatureKind.CHAMFER)
    off = (thread.pitch if chamfer is None else chamfer) + (
        thread.pitch if incomplete is None else incomplete
    )
    counted = min(engaged - off, 2.5 * thread.major)
    factor = wall_factor(plain, requirement)
    if counted <= 0:
        plain.no("nothing of the thread carries")
        return 0.0
    shear = (
        weakest("shear_least")
        if requirement.workpiece is None
        else requirement.workpiece.shear_least
    )
    in_hole = _shear_per_mm(thread)[0] * counted * shear * 0.897 / 1.25 * factor
    return min(in_hole, own_thread_holds(piece, counted))


def own_thread_holds(piece, counted):
    """Return the force, N, that ``counted`` mm of a screw's own thread bear."""
    tensile = strength(piece.fastener).strength.tensile_least
    return _shear_per_mm(piece.fastener.thread)[1] * counted * 0.6 * tensile * 0.897 / 1.25


def modulus_of(found):
    """Return the modulus of a screw's steel, MPa."""
    stainless = next(row for row in hole_materials() if row.material == "1.4301")
    return stainless.elastic_modulus if found.is_stainless else 205_000.0


def column(area, gyration, length, yield_stress, modulus=205_000.0):
    """Return the force, N, that a column fixed at one end bears: Johnson or Euler, safe as AISC."""
    slender = 2 * length / gyration
    where_they_meet = sqrt(2 * pi**2 * modulus / yield_stress)
    if slender <= where_they_meet:
        stress = yield_stress - (yield_stress * slender / 2 / pi) ** 2 / modulus
        part = slender / where_they_meet
        return area * stress / (5 / 3 + 3 * part / 8 - part**3 / 8)
    return area * 12 / 23 * pi**2 * modulus / slender**2


def round_area(diameter):
    """Return the area of a circle, mm2."""
    return pi * diameter**2 / 4
