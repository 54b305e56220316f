"""Basic diameters of a thread from its major diameter, its pitch and its form. Lengths in mm.

ISO 68-1 (also the profile of ASME B1.1), BS 84, BS 93, BS 811, ISO 228-1, ASME B1.20.1.
"""

from dataclasses import dataclass
from math import pi, sqrt
from typing import Final

from shared.standards.thread_model import Flanks

MM_PER_INCH: Final = 25.4

SIXTY_HEIGHT: Final = sqrt(3) / 2
"""Height H of the sharp triangle of a 60 degree thread, in pitches."""

_TENSILE_AREA_INCH: Final = 0.9743
"""ASME B1.1: the tensile stress area is that of a circle of d - 0.9743 / n."""
_NPT_HEIGHT: Final = 0.8


@dataclass(frozen=True, slots=True)
class Diameters:
    """Basic diameters, mm: pitch, the hole's minor (D1), the bottom of the screw's thread (d3)."""

    pitch: float
    minor_internal: float
    root_external: float


@dataclass(frozen=True, slots=True)
class _Form:
    """Depths in pitches: of the pitch line, of the hole's crests, of the screw's bottom."""

    angle: float
    to_pitch_line: float
    to_hole_crest: float
    to_screw_root: float


# Each depth counts on both sides of the diameter. The screw's root at 60 degrees is the rounded one
# of ISO 68-1 (17/24 H below the crest): it lies deeper than the flat of ASME B1.1, and so never
# makes a screw stronger than it is.
_FORMS: Final = {
    Flanks.SIXTY: _Form(60.0, SIXTY_HEIGHT * 3 / 4, SIXTY_HEIGHT * 5 / 4, SIXTY_HEIGHT * 17 / 12),
    Flanks.WHITWORTH: _Form(55.0, 0.640327, 2 * 0.640327, 2 * 0.640327),
    Flanks.BA: _Form(47.5, 0.6, 1.2, 1.2),
    Flanks.CYCLE: _Form(60.0, 0.5327, 2 * 0.5327, 2 * 0.5327),
}


def flank_angle(flanks: Flanks) -> float:
    """Return the angle between the flanks in degrees.

    >>> flank_angle(Flanks.WHITWORTH)
    55.0
    """
    return _FORMS[flanks].angle


def diameters(major: float, pitch: float, flanks: Flanks) -> Diameters:
    """Return the basic diameters of a parallel thread. ``major`` and ``pitch`` in mm.

    >>> d = diameters(8.0, 1.25, Flanks.SIXTY)
    >>> round(d.pitch, 3), round(d.minor_internal, 3), round(d.root_external, 3)
    (7.188, 6.647, 6.466)
    """
    form = _FORMS[flanks]
    return Diameters(
        pitch=major - form.to_pitch_line * pitch,
        minor_internal=major - form.to_hole_crest * pitch,
        root_external=major - form.to_screw_root * pitch,
    )


def stress_area(pitch_diameter: float, root_external: float) -> float:
    """Return the tensile stress area in mm2 by ISO 898-1: a circle of the mean of d2 and d3.

    For British threads this is the same rule, by common practice.

    >>> round(stress_area(7.188, 6.466), 1)
    36.6
    """
    return pi / 4 * ((pitch_diameter + root_external) / 2) ** 2


def stress_area_inch(major: float, pitch: float) -> float:
    """Return the tensile stress area in mm2 of a unified thread by ASME B1.1; lengths in mm.

    >>> round(stress_area_inch(6.35, 1.27), 2)
    20.53
    """
    return pi / 4 * (major - _TENSILE_AREA_INCH * pitch) ** 2


@dataclass(frozen=True, slots=True)
class TaperDiameters:
    """Diameters of a taper pipe thread, mm: pitch at the small end (E0), all at the gauge plane."""

    pitch_small_end: float
    major: float
    pitch: float
    minor: float


def npt_diameters(pipe_outside: float, pitch: float, hand_tight: float) -> TaperDiameters:
    """Return the diameters of an NPT thread by ASME B1.20.1. All lengths in mm.

    ``hand_tight`` is the length L1 from the small end to the gauge plane; the taper is 1 in 16 on
    the diameter, the thread 0.8 pitches high.

    >>> round(npt_diameters(0.405 * 25.4, 25.4 / 27, 0.1615 * 25.4).pitch / 25.4, 5)
    0.3736
    """
    inch = MM_PER_INCH
    small_end = pipe_outside - (0.05 * pipe_outside + 1.1 * inch) * pitch / inch
    pitch_diameter = small_end + hand_tight / 16
    height = _NPT_HEIGHT * pitch
    return TaperDiameters(
        small_end, pitch_diameter + height, pitch_diameter, pitch_diameter - height
    )
