"""Limits of unified threads by ASME B1.1 and of British ones by BS 84 and BS 93. Lengths in mm.

ASME B1.1 prints its formulas, and its tables follow them (compared in the tests); its tables round
the minor diameter of a hole to 0.001 in. The formulas of BS 84 and BS 93 are from memory and agree
with a public page; the amount of BS 84's allowance is from memory alone.
"""

from math import cbrt, sqrt
from typing import Final

from shared.standards.thread_geometry import MM_PER_INCH
from shared.standards.thread_model import Thread, ThreadLimits, ThreadSeries

# Share of the class 2A tolerance of the pitch diameter; whether the screw has the allowance.
_UNIFIED_SCREW: Final = {"1A": (1.5, True), "2A": (1.0, True), "3A": (0.75, False)}
_UNIFIED_HOLE: Final = {"1B": 1.95, "2B": 1.3, "3B": 0.975}
_WHITWORTH_SCREW: Final = {"close": 2 / 3, "medium": 1.0, "free": 1.5}
_WHITWORTH_HOLE: Final = {"medium": 1.0, "normal": 1.5}
# BS 84: screws up to this size have an allowance, but for the close class.
_ALLOWANCE_UP_TO: Final = 0.75


def unified_screw(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a unified screw in class 1A, 2A or 3A; None for another class.

    The bottom of the thread is the flat one; its lower limit is the reference size of the standard.
    """
    kind = _UNIFIED_SCREW.get(tolerance_class)
    if kind is None:
        return None
    share, has_allowance = kind
    in_2a = _unified_2a(thread)
    pitch_inches = thread.pitch / MM_PER_INCH
    allowance = 0.3 * in_2a if has_allowance else 0.0
    major_tolerance = (0.09 if tolerance_class == "1A" else 0.06) * cbrt(pitch_inches) ** 2
    major = thread.major - allowance * MM_PER_INCH
    pitch = thread.pitch_diameter - allowance * MM_PER_INCH
    pitch_least = pitch - share * in_2a * MM_PER_INCH
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=False,
        major_least=major - major_tolerance * MM_PER_INCH,
        major_most=major,
        pitch_least=pitch_least,
        pitch_most=pitch,
        minor_least=pitch_least - sqrt(3) / 2 * 0.75 * thread.pitch,
        minor_most=thread.minor_internal - allowance * MM_PER_INCH,
    )


def unified_hole(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a unified hole in class 1B, 2B or 3B; None for another class."""
    share = _UNIFIED_HOLE.get(tolerance_class)
    if share is None:
        return None
    return _hole(
        thread,
        tolerance_class,
        share * _unified_2a(thread) * MM_PER_INCH,
        _unified_minor(thread, tolerance_class == "3B") * MM_PER_INCH,
    )


def _hole(thread: Thread, tolerance_class: str, pitch: float, minor: float) -> ThreadLimits:
    """Return a hole from its basic sizes up, by the tolerances of two diameters in mm."""
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=True,
        major_least=thread.major,
        major_most=None,
        pitch_least=thread.pitch_diameter,
        pitch_most=thread.pitch_diameter + pitch,
        minor_least=thread.minor_internal,
        minor_most=thread.minor_internal + minor,
    )


def _unified_2a(thread: Thread) -> float:
    """Return the class 2A tolerance of the pitch diameter in inches.

    The length of engagement is the diameter for the coarse, fine, 4-, 6- and 8-thread series, nine
    pitches for the others (in older editions, from memory, the diameter for 1-14 UNS too, which
    once was a fine one: its screws then may be 0.01 mm smaller).
    """
    diameter = thread.major / MM_PER_INCH
    pitch = thread.pitch / MM_PER_INCH
    is_by_diameter = thread.series in {ThreadSeries.UNC, ThreadSeries.UNF} or (
        thread.turns_per_inch in {4, 6, 8} and not thread.designation.endswith("UNS")
    )
    engagement = diameter if is_by_diameter else 9 * pitch
    return 0.0015 * (cbrt(diameter) + sqrt(engagement)) + 0.015 * cbrt(pitch) ** 2


def _unified_minor(thread: Thread, is_fine: bool) -> float:
    """Return the tolerance of the hole's minor diameter in inches; ``is_fine`` for class 3B."""
    diameter = thread.major / MM_PER_INCH
    pitch = thread.pitch / MM_PER_INCH
    by_size = 0.05 * cbrt(pitch) ** 2 + 0.03 * pitch / diameter - 0.002
    if is_fine:
        least = 0.23 * pitch - 1.5 * pitch**2 if pitch <= 1 / 13 else 0.12 * pitch
        return max(min(by_size, 0.394 * pitch), least)
    by_pitch = 0.25 * pitch - 0.4 * pitch**2 if pitch <= 1 / 4 else 0.15 * pitch
    if diameter >= 0.25:
        return by_pitch
    return max(min(by_size, 0.394 * pitch), by_pitch)


def whitworth_screw(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a BSW or BSF screw ("close", "medium", "free"), or None."""
    share = _WHITWORTH_SCREW.get(tolerance_class)
    if share is None:
        return None
    medium = _whitworth_medium(thread)
    root_pitch = sqrt(thread.pitch / MM_PER_INCH)
    has_allowance = tolerance_class != "close" and thread.major <= _ALLOWANCE_UP_TO * MM_PER_INCH
    allowance = 0.3 * medium * MM_PER_INCH if has_allowance else 0.0
    at_root = 0.013 if tolerance_class == "close" else 0.02
    pitch = thread.pitch_diameter - allowance
    major = thread.major - allowance
    minor = thread.root_external - allowance
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=False,
        major_least=major - (share * medium + 0.01 * root_pitch) * MM_PER_INCH,
        major_most=major,
        pitch_least=pitch - share * medium * MM_PER_INCH,
        pitch_most=pitch,
        minor_least=minor - (share * medium + at_root * root_pitch) * MM_PER_INCH,
        minor_most=minor,
    )


def whitworth_hole(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a BSW or BSF hole ("medium", "normal"), or None."""
    share = _WHITWORTH_HOLE.get(tolerance_class)
    if share is None or thread.turns_per_inch is None:
        return None
    constant = 0.007
    if thread.turns_per_inch >= 26:
        constant = 0.004
    elif thread.turns_per_inch >= 22:
        constant = 0.005
    return _hole(
        thread,
        tolerance_class,
        share * _whitworth_medium(thread) * MM_PER_INCH,
        0.2 * thread.pitch + constant * MM_PER_INCH,
    )


def _whitworth_medium(thread: Thread) -> float:
    """Return BS 84's medium tolerance of the effective diameter in inches, engaged one diameter."""
    diameter = thread.major / MM_PER_INCH
    pitch = thread.pitch / MM_PER_INCH
    return 0.002 * cbrt(diameter) + 0.003 * sqrt(diameter) + 0.005 * sqrt(pitch)


# BS 93, in pitches and mm: tolerances of major, effective and minor diameter of a screw.
_BA_ALLOWANCE: Final = 0.025
_BA_LAST_CLOSE: Final = 10


def ba_screw(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a BA screw ("normal"; "close" up to 10 BA), or None."""
    pitch = thread.pitch
    is_large = int(thread.nominal.split()[0]) <= _BA_LAST_CLOSE
    if tolerance_class == "close" and is_large:
        major, effective, minor, allowance = 0.15 * pitch, 0.08 * pitch + 0.02, 0.16 * pitch, 0.0
        minor += 0.04
    elif tolerance_class == "normal":
        major = (0.2 if is_large else 0.25) * pitch
        effective, minor = 0.1 * pitch + 0.025, 0.2 * pitch + 0.05
        allowance = _BA_ALLOWANCE if is_large else 0.0
    else:
        return None
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=False,
        major_least=thread.major - allowance - major,
        major_most=thread.major - allowance,
        pitch_least=thread.pitch_diameter - allowance - effective,
        pitch_most=thread.pitch_diameter - allowance,
        minor_least=thread.root_external - allowance - minor,
        minor_most=thread.root_external - allowance,
    )


def ba_hole(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a BA hole ("normal", the only class), or None."""
    if tolerance_class != "normal":
        return None
    return _hole(thread, tolerance_class, 0.12 * thread.pitch + 0.03, 0.375 * thread.pitch)
