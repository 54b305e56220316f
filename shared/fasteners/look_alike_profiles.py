"""A thread's flanks at the limits of its tolerances, and how a screw's sit in a hole's.

The ridge of the screw is w(x) = P/2 - (x - d2) tan(a) wide at the diameter x, the space in the hole
g(x) = P/2 - (x - d2) tan(a), each with its own pitch P, pitch diameter d2 and half angle a. The
first ridge needs g - w > 0 wherever both flanks stand; every turn more takes the difference of the
pitches from it, so the screw binds after n = min(g - w) / |difference| turns. With equal angles
min(g - w) is (d2_hole - d2_screw) tan(a) + (P_hole - P_screw)/2: the axial play at the pitch
diameter, and half a turn more or less for the finer or the thicker ridge. Derived here from the
profiles of ISO 68-1, BS 84, BS 93, BS 811 and ISO 228-1.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import pi, radians, sqrt, tan
from typing import Final

from shared.standards.thread_model import Flanks, Thread, ThreadLimits, ThreadSeries
from shared.standards.threads import hole_limits, screw_limits

EQUAL: Final = 1e-9
"""Pitches nearer than this, mm, are one pitch."""

UNFELT: Final = 0.02
"""In parts of the pitch: so little interference of the flanks gives way to the fingers (common
practice; short 5-44 screws are known to start in M3x0.5)."""

# Axial depth of the rounding at the crest, in pitches, from the crest to where the flank runs
# straight: Whitworth radius 0.1373 P, BA 2/11 P, cycle P/6 (geometry of the forms).
_ROUNDING: Final = {
    Flanks.SIXTY: 0.0,
    Flanks.WHITWORTH: 0.0739,
    Flanks.BA: 0.1100,
    Flanks.CYCLE: 0.0833,
}
_TAPER: Final = 1 / 16
_GAUGE_LENGTH_TURNS: Final = 4.5
"""From small end to gauge plane: 4.1 to 5.5 turns of NPT and R up to 1 1/2 (from memory)."""
_TAPER_TOLERANCE_TURNS: Final = 1.0
"""Of gauging, either way (from memory)."""
_TAPER_CHAMFER_TURNS: Final = 1.0
"""By which the chamfers let a taper start deeper (common practice)."""
_TAPER_TRUNCATION: Final = 0.12
"""In parts of the pitch: so much smaller may the crests of a taper screw be (from memory)."""
_IMPOSSIBLE_SCREWS: Final = {ThreadSeries.PIPE_TAPER_INTERNAL, ThreadSeries.PIPE_PARALLEL_INTERNAL}


@dataclass(frozen=True, slots=True)
class Material:
    """One side at one limit: diameters in mm. ``major`` of a hole is where a crest meets its root;
    ``minor`` of a screw is the bottom of its thread.
    """

    major: float
    pitch_diameter: float
    minor: float


@dataclass(frozen=True, slots=True)
class Side:
    """A screw or a hole with most material (``tight``) and least (``loose``)."""

    pitch: float
    half_angle_tangent: float
    rounding: float
    tight: Material
    loose: Material
    is_estimated: bool


def can_be_screw(thread: Thread) -> bool:
    """Whether the series has an external thread."""
    return thread.series not in _IMPOSSIBLE_SCREWS


def can_be_hole(thread: Thread) -> bool:
    """Whether the series has an internal thread."""
    return thread.series is not ThreadSeries.PIPE_TAPER_EXTERNAL


@cache
def screw_side(thread: Thread) -> Side:
    """Return the limits of a screw: by its default tolerance class; a taper's at its small end."""
    if thread.is_taper:
        back = _GAUGE_LENGTH_TURNS * thread.pitch * _TAPER
        return _taper_side(thread, -back, tight_sign=1)
    limits = screw_limits(thread)
    if limits is None:
        tolerance = _estimated_pitch_tolerance(thread)
        least_major = thread.major - _estimated_major_tolerance(thread)
        limits = _limits(
            False,
            (least_major, thread.major),
            (thread.pitch_diameter - tolerance, thread.pitch_diameter),
            (thread.root_external - tolerance, thread.root_external),
        )
        is_estimated = True
    else:
        is_estimated = False
    major_most = thread.major if limits.major_most is None else limits.major_most
    return _side(
        thread,
        Material(major_most, limits.pitch_most, _root(thread, limits.pitch_most)),
        Material(limits.major_least, limits.pitch_least, _root(thread, limits.pitch_least)),
        is_estimated,
    )


@cache
def hole_side(thread: Thread) -> Side:
    """Return the limits of a hole: by its default tolerance class; a taper's at the gauge plane.

    The root of a hole has no upper limit; it is taken to grow with the pitch diameter, and for
    60 degrees by H/12 more (the sharpest tap: from memory).
    """
    if thread.is_taper:
        return _taper_side(thread, 0.0, tight_sign=-1)
    limits = hole_limits(thread)
    is_estimated = limits is None
    if limits is None:
        tolerance = 1.32 * _estimated_pitch_tolerance(thread)
        most_minor = thread.minor_internal + _estimated_minor_tolerance(thread)
        limits = _limits(
            True,
            (thread.major, None),
            (thread.pitch_diameter, thread.pitch_diameter + tolerance),
            (thread.minor_internal, most_minor),
        )
    minor_least = thread.minor_internal if limits.minor_least is None else limits.minor_least
    sharp = sqrt(3) / 2 * thread.pitch / 12 if thread.flanks is Flanks.SIXTY else 0.0
    room = limits.major_least + (limits.pitch_most - limits.pitch_least) + sharp
    return _side(
        thread,
        Material(limits.major_least, limits.pitch_least, minor_least),
        Material(room, limits.pitch_most, limits.minor_most),
        is_estimated,
    )


def flank_play(screw: Side, hole: Side, at: Callable[[Side], Material]) -> float | None:
    """Return the least axial play of the screw's ridge in the hole, mm; None: it cannot enter.

    ``at`` picks the limit of both sides. Where the screw slips through without touching a flank the
    play is that of the two crests.
    """
    a, b = at(screw), at(hole)
    if a.major > b.major + EQUAL or a.minor > b.minor + EQUAL:
        return None
    low = b.minor
    high = max(low, min(a.major - 2 * screw.rounding, b.major))
    play = min(_play(screw, a, hole, b, x) for x in (low, high))
    unfelt = EQUAL if at is tight else UNFELT * hole.pitch
    return max(play, 0.0) if play > -unfelt else None


def tight(side: Side) -> Material:
    """The limit of most material: the largest screw, the smallest hole."""
    return side.tight


def loose(side: Side) -> Material:
    """The limit of least material: the smallest screw, the largest hole."""
    return side.loose


def strip_share(screw: Thread, hole: Thread) -> float | None:
    """Return what of the strip strength is left, in parts of that of each thread's own mate.

    Shear areas per length of engagement at the limits of least material, the weaker of the hole's
    thread sheared at the screw's crests and the screw's at the hole's; all turns taken to carry.
    Forms of FED-STD-H28/2B. None for tapers and one-sided series.
    """
    both = (screw, hole)
    if any(one.is_taper for one in both) or not (can_be_hole(screw) and can_be_screw(hole)):
        return None
    a, b = screw_side(screw), hole_side(hole)
    of_hole = _hole_area(b, a.loose.major) / _hole_area(b, screw_side(hole).loose.major)
    of_screw = _screw_area(a, b.loose.minor) / _screw_area(a, hole_side(screw).loose.minor)
    return min(1.0, max(0.0, min(of_hole, of_screw)))


def _hole_area(hole: Side, crest: float) -> float:
    if crest <= hole.loose.minor:
        return 0.0
    ridge = hole.pitch / 2 + (crest - hole.loose.pitch_diameter) * hole.half_angle_tangent
    return pi * crest * max(ridge, 0.0) / hole.pitch


def _screw_area(screw: Side, crest: float) -> float:
    if crest >= screw.loose.major:
        return 0.0
    ridge = screw.pitch / 2 + (screw.loose.pitch_diameter - crest) * screw.half_angle_tangent
    return pi * crest * max(ridge, 0.0) / screw.pitch


def _play(screw: Side, a: Material, hole: Side, b: Material, x: float) -> float:
    space = hole.pitch / 2 + (b.pitch_diameter - x) * hole.half_angle_tangent
    ridge = screw.pitch / 2 + (a.pitch_diameter - x) * screw.half_angle_tangent
    return space - ridge


def _side(thread: Thread, tight: Material, loose: Material, is_estimated: bool) -> Side:
    return Side(
        thread.pitch,
        tan(radians(thread.flank_angle / 2)),
        _ROUNDING[thread.flanks] * thread.pitch,
        tight,
        loose,
        is_estimated,
    )


def _taper_side(thread: Thread, shift: float, tight_sign: int) -> Side:
    tight = _TAPER_TOLERANCE_TURNS * thread.pitch * _TAPER * tight_sign
    loose = tight + _TAPER_CHAMFER_TURNS * thread.pitch * _TAPER * tight_sign
    root = thread.minor_internal if tight_sign < 0 else thread.root_external

    truncated = _TAPER_TRUNCATION * thread.pitch if tight_sign > 0 else 0.0

    def moved(by: float, crest: float = 0.0) -> Material:
        return Material(thread.major + by - crest, thread.pitch_diameter + by, root + by)

    return _side(thread, moved(shift + tight), moved(shift - loose, truncated), False)


def _root(thread: Thread, pitch_diameter: float) -> float:
    return thread.root_external + pitch_diameter - thread.pitch_diameter


def _limits(
    is_internal: bool,
    major: tuple[float, float | None],
    pitch: tuple[float, float],
    minor: tuple[float, float],
) -> ThreadLimits:
    return ThreadLimits("estimated", is_internal, *major, *pitch, *minor)


def _estimated_pitch_tolerance(thread: Thread) -> float:
    """T_d2 of ISO 965-1, grade 6, in mm."""
    return float(0.090 * thread.pitch**0.4 * thread.major**0.1)


def _estimated_major_tolerance(thread: Thread) -> float:
    """T_d of ISO 965-1, grade 6, in mm."""
    return float(0.180 * thread.pitch ** (2 / 3) - 0.00315 / thread.pitch**0.5)


def _estimated_minor_tolerance(thread: Thread) -> float:
    """T_D1 of ISO 965-1, grade 6, in mm."""
    if thread.pitch < 1:
        return float(0.433 * thread.pitch - 0.190 * thread.pitch**1.22)
    return float(0.230 * thread.pitch**0.7)
