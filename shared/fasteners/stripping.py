"""When a thread strips: shear areas, effective engagement, the load, the engagement needed.

Lengths in mm, areas in mm2, loads in N, stresses in MPa. The weak screw in the wide hole counts:
limits of size on the unlucky side, the low end of the material's strength.
"""

from dataclasses import dataclass
from math import isfinite, pi, radians, tan
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.shapes import is_stud
from shared.fasteners.strength import MOST_OVER_LEAST_TENSILE
from shared.standards.hole_materials import HoleMaterial
from shared.standards.thread_model import Thread, ThreadLimits
from shared.standards.threads import hole_limits, screw_limits

SCREW_SHEAR_RATIO: Final = 0.6
"""Shear over tensile strength of a screw's own thread. VDI 2230-1, from memory."""
BENDING: Final = 0.897
"""What is left of a thread's strength as its flanks bend: the least of the curve by Alexander
(1977), as VDI 2230-1 quotes it, from memory."""
BASIC_LOSS: Final = 0.3
"""Where no limits of size are known: share taken off the area by basic sizes (M8 6g/6H: 0.23)."""
MOST_COUNTED: Final = 2.5
"""Engagement counted, in diameters: the first threads carry most, more length adds little. Common
practice, no source; published engagements end at 2.5."""
CHAMFER_PITCHES: Final = 1.0
INCOMPLETE_PITCHES: Final = 1.0
"""Taken off where not given: mouth of the hole, point of the screw. Common practice, no source."""
MOST_LENGTH: Final = 10_000.0
SOUND_HOLE: Final = (
    "Counted for a sound thread in a boss at least 1.9 diameters across: one that was"
    " overtightened, repaired, worn or stands near an edge holds less."
)
"""VDI 2230-1: below 1.9 diameters across the wall gives way (from memory)."""


@dataclass(frozen=True, slots=True)
class ShearAreas:
    """Shear areas per mm of engagement, mm2/mm: the hole's thread and the screw's own."""

    internal: float
    external: float
    basis: str


@dataclass(frozen=True, slots=True)
class Engagement:
    """How much thread carries, mm: as given, less what does not carry, and what is counted."""

    given: float
    chamfer: float
    incomplete: float
    effective: float
    counted: float
    notes: tuple[str, ...]


def internal_area(thread: Thread, major_least: float, pitch_most: float) -> float:
    """Return the shear area of the hole's thread per mm of engagement, mm2/mm.

    pi n Ds [1/(2n) + tan a (Ds - En)]: least major diameter Ds of the screw, greatest pitch
    diameter En of the hole, n threads per mm, a half the flank angle (0.57735 for 30 degrees).
    Source: FED-STD-H28/2B; Machinery's Handbook (from memory; reproduces published areas).
    """
    slope = tan(radians(thread.flank_angle / 2))
    height = thread.pitch / 2 + slope * (major_least - pitch_most)
    return pi * major_least * height / thread.pitch


def external_area(thread: Thread, minor_most: float, pitch_least: float) -> float:
    """Return the shear area of the screw's thread per mm of engagement, mm2/mm.

    pi n Kn [1/(2n) + tan a (Es - Kn)]: greatest minor diameter Kn of the hole, least pitch diameter
    Es of the screw. Source: as for ``internal_area``.
    """
    slope = tan(radians(thread.flank_angle / 2))
    height = thread.pitch / 2 + slope * (pitch_least - minor_most)
    return pi * minor_most * height / thread.pitch


def shear_areas(thread: Thread) -> ShearAreas:
    """Return both shear areas at the limits of size, or by basic sizes less a stated share."""
    screw, hole = screw_limits(thread), hole_limits(thread)
    if screw is not None and hole is not None:
        return _at_limits(thread, screw, hole)
    left = 1 - BASIC_LOSS
    return ShearAreas(
        internal=left * internal_area(thread, thread.major, thread.pitch_diameter),
        external=left * external_area(thread, thread.minor_internal, thread.pitch_diameter),
        basis=f"basic sizes less {BASIC_LOSS:.0%}: no limits of size are known for this thread",
    )


def effective_engagement(
    thread: Thread,
    engagement: float,
    chamfer: float | None = None,
    incomplete: float | None = None,
) -> Engagement:
    """Return how much of ``engagement``, from the hole's face to the last thread that meets, holds.

    ``chamfer`` is the depth of the countersink, ``incomplete`` the length of threads not full at
    screw's point or hole's end; one pitch each where not given. Raises InvalidInput for lengths
    that are none, or where nothing is left.
    """
    for name, length in (
        ("engagement", engagement),
        ("chamfer", chamfer),
        ("incomplete_threads", incomplete),
    ):
        least_is_fine = name != "engagement" and length == 0
        if length is None or least_is_fine:
            continue
        if not (isfinite(length) and 0 < length <= MOST_LENGTH):
            raise InvalidInput(
                f"/{name}",
                f"{name} is {length:g} mm; wanted a length up to {MOST_LENGTH:g} mm.",
                "Measure it from the face of the hole.",
                "out-of-range",
            )
    mouth = CHAMFER_PITCHES * thread.pitch if chamfer is None else chamfer
    point = INCOMPLETE_PITCHES * thread.pitch if incomplete is None else incomplete
    effective = engagement - mouth - point
    if effective <= 0:
        raise InvalidInput(
            "/engagement",
            f"Of {engagement:g} mm nothing carries: chamfer {mouth:g} mm and incomplete threads"
            f" {point:g} mm take it up.",
            "Use a longer screw, or give the chamfer and incomplete threads as measured.",
            "engagement-too-short",
        )
    counted = min(effective, MOST_COUNTED * thread.major)
    notes = []
    if chamfer is None or incomplete is None:
        notes.append(
            f"Taken off the engagement: {mouth:g} mm for the hole's chamfer, {point:g} mm for"
            " incomplete threads; what was not given counts one pitch."
        )
    if counted < effective:
        notes.append(
            f"Only {MOST_COUNTED:g} diameters are counted: threads further in carry little."
        )
    return Engagement(engagement, mouth, point, effective, counted, tuple(notes))


def check_within_length(fastener: Fastener, engagement: float) -> None:
    """Raise InvalidInput where more thread is said to be engaged than the screw is long.

    A stud's nominal length leaves out the end in the hole.
    """
    length = fastener.length
    if length is None or engagement <= length or is_stud(fastener):
        return
    raise InvalidInput(
        "/engagement",
        f"A screw of {length:g} mm cannot stand {engagement:g} mm deep in a hole.",
        "Give the length of thread that meets: the screw's length less the parts under its head.",
        "engagement-too-long",
    )


def hole_strip_load(thread: Thread, counted: float, material: HoleMaterial) -> float:
    """Return the load, N, at which the hole's thread of ``counted`` mm may strip, at the least."""
    return shear_areas(thread).internal * counted * material.shear_least * BENDING


def screw_strip_load(thread: Thread, counted: float, tensile: float) -> float:
    """Return the load, N, at which the screw's own thread may strip, at the least."""
    return shear_areas(thread).external * counted * tensile * SCREW_SHEAR_RATIO * BENDING


def equal_strength_engagement(thread: Thread, area: float) -> float:
    """Return the engagement, mm, at which screw and a hole of its own strength are as strong.

    Le = 2 At / (shear area of the screw per mm): the strip area is twice the stress area ``area``.
    Full threads only. Source: FED-STD-H28/2B.
    """
    return 2 * area / shear_areas(thread).external


def weaker_hole_factor(thread: Thread, screw_tensile: float, hole_tensile: float) -> float:
    """Return J, by which a weaker hole lengthens the engagement: (ASs Rm) / (ASn Rm of the hole).

    Counts where above 1. Source: FED-STD-H28/2B.
    """
    areas = shear_areas(thread)
    return areas.external * screw_tensile / (areas.internal * hole_tensile)


def full_strength_engagement(
    thread: Thread, area: float, screw_tensile: float, material: HoleMaterial
) -> float | None:
    """Return the full threads, mm, at which the screw breaks before either thread strips.

    The screw is taken 1.2 times as strong as its class promises, the hole at its low end. None
    where more than 2.5 diameters would be needed: an insert or a larger thread then. Sources:
    FED-STD-H28/2B for the areas, VDI 2230-1 for the shares (from memory).
    """
    breaking = MOST_OVER_LEAST_TENSILE * screw_tensile * area
    needed = max(
        equal_strength_engagement(thread, area),
        breaking / hole_strip_load(thread, 1.0, material),
    )
    return needed if needed <= MOST_COUNTED * thread.major else None


def _at_limits(thread: Thread, screw: ThreadLimits, hole: ThreadLimits) -> ShearAreas:
    return ShearAreas(
        internal=internal_area(thread, screw.major_least, hole.pitch_most),
        external=external_area(thread, hole.minor_most, screw.pitch_least),
        basis=f"limits of size {screw.tolerance_class}/{hole.tolerance_class}",
    )
