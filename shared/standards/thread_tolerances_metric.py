"""Limits of metric threads by ISO 965-1, normal length of engagement, uncoated. Lengths in mm.

The tables hold grade 6, in micrometres; the other grades stand a fixed number of steps of the
preferred numbers R40 away, as the tables of the standard do. The formulas behind them (printed in
the standard) are used in the tests: the tables leave them by one step at most.
"""

import re
from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows
from shared.standards.thread_model import Thread, ThreadLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class PitchTolerances(Sourced):
    """What depends on the pitch alone; pitch in mm, all else in micrometres.

    Tolerance of the screw's major diameter (T_d 6), of the hole's minor (T_D1 6), and the
    fundamental deviations g (the screw's es; the hole's EI for G) and e, as distances.
    """

    pitch: float
    major_external_6: float
    minor_internal_6: float
    deviation_g: float
    deviation_e: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DiameterTolerances(Sourced):
    """Tolerance of the screw's pitch diameter (T_d2 6, micrometres) by diameter range and pitch."""

    over: float
    up_to: float
    pitch: float
    pitch_external_6: float


# ISO 3, R40 rounded as the tables round them.
_R40_DECADE: Final = (
    100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280,
    300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850,
    900, 950,
)  # fmt: skip
_BELOW_HUNDRED: Final = (
    10, 10.6, 11.2, 11.8, 12.5, 13.2, 14, 15, 16, 17, 18, 19, 20, 21, 22, 24, 25, 26, 28, 30, 32,
    34, 36, 38, 40, 42, 45, 48, 50, 53, 56, 60, 63, 67, 71, 75, 80, 85, 90, 95,
)  # fmt: skip
R40: Final = (*_BELOW_HUNDRED, *_R40_DECADE, *(10 * one for one in _R40_DECADE))

# Steps of R40 from grade 6 of the same quantity; for the hole's pitch diameter from the screw's.
_MAJOR_STEPS: Final = {4: -8, 6: 0, 8: 8}
_MINOR_STEPS: Final = {4: -8, 5: -4, 6: 0, 7: 4, 8: 8}
_SCREW_PITCH_STEPS: Final = {3: -12, 4: -8, 5: -4, 6: 0, 7: 4, 8: 8, 9: 12}
_HOLE_PITCH_STEPS: Final = {4: -3, 5: 1, 6: 5, 7: 9, 8: 13}

_SCREW_CLASS: Final = re.compile(r"([3-9])([egh])(?:([468])([egh]))?", re.ASCII)
_HOLE_CLASS: Final = re.compile(r"([4-8])([GH])(?:([4-8])([GH]))?", re.ASCII)
_MICROMETRE: Final = 1e-3
# ISO 965-1: the bottom of the screw's thread is rounded with 0.125 P at least; such a rounding in a
# 60 degree groove reaches (sqrt(3) / 2 - 0.25) P below the pitch diameter.
_DEEPEST_ROOT: Final = 3**0.5 / 2 - 0.25


def pitch_tolerances() -> tuple[PitchTolerances, ...]:
    """Return the tolerances that depend on the pitch alone. Raises BrokenTable."""
    return rows("thread_tolerances_metric", PitchTolerances, "pitch")


def diameter_tolerances() -> tuple[DiameterTolerances, ...]:
    """Return the tolerances of the screw's pitch diameter. Raises BrokenTable."""
    return rows("thread_tolerances_metric_pitch", DiameterTolerances, "over", "pitch")


def metric_screw(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a metric screw, or None for a class or size the tables do not hold.

    The lower limit of the root is the deepest that the least rounding allows: a reference size.
    """
    read = _SCREW_CLASS.fullmatch(tolerance_class)
    by_pitch = _by_pitch().get(thread.pitch)
    pitch_grade_6 = _pitch_external_6(thread)
    if read is None or by_pitch is None or pitch_grade_6 is None:
        return None
    pitch_shift = _deviation(by_pitch, read[2])
    major_shift = _deviation(by_pitch, read[4] or read[2])
    major_steps = _MAJOR_STEPS.get(int(read[3] or read[1]))
    if pitch_shift is None or major_shift is None or major_steps is None:
        return None
    major = thread.major - major_shift
    pitch = thread.pitch_diameter - pitch_shift
    pitch_least = pitch - _stepped(pitch_grade_6, _SCREW_PITCH_STEPS[int(read[1])])
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=False,
        major_least=major - _stepped(by_pitch.major_external_6, major_steps),
        major_most=major,
        pitch_least=pitch_least,
        pitch_most=pitch,
        minor_least=pitch_least - _DEEPEST_ROOT * thread.pitch,
        minor_most=thread.minor_internal - pitch_shift,
    )


def metric_hole(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of a metric hole, or None for a class or size the tables do not hold."""
    read = _HOLE_CLASS.fullmatch(tolerance_class)
    by_pitch = _by_pitch().get(thread.pitch)
    pitch_grade_6 = _pitch_external_6(thread)
    if read is None or by_pitch is None or pitch_grade_6 is None:
        return None
    pitch_shift = _deviation(by_pitch, read[2].lower()) or 0.0
    minor_shift = _deviation(by_pitch, (read[4] or read[2]).lower()) or 0.0
    pitch = thread.pitch_diameter + pitch_shift
    minor = thread.minor_internal + minor_shift
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=True,
        major_least=thread.major + pitch_shift,
        major_most=None,
        pitch_least=pitch,
        pitch_most=pitch + _stepped(pitch_grade_6, _HOLE_PITCH_STEPS[int(read[1])]),
        minor_least=minor,
        minor_most=minor
        + _stepped(by_pitch.minor_internal_6, _MINOR_STEPS[int(read[3] or read[1])]),
    )


@cache
def _by_pitch() -> dict[float, PitchTolerances]:
    return {row.pitch: row for row in pitch_tolerances()}


def _pitch_external_6(thread: Thread) -> float | None:
    for row in diameter_tolerances():
        if row.over < thread.major <= row.up_to and row.pitch == thread.pitch:
            return row.pitch_external_6
    return None


def _deviation(row: PitchTolerances, position: str) -> float | None:
    """Return the distance from the basic size in mm; None where the table has none."""
    if position == "h":
        return 0.0
    found = row.deviation_g if position == "g" else row.deviation_e
    return None if found is None else found * _MICROMETRE


def _stepped(grade_6: float, steps: int) -> float:
    """Return the tolerance, in mm, so many steps of R40 from grade 6 (micrometres)."""
    at = bisect_left(R40, grade_6)
    return R40[at + steps] * _MICROMETRE


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="thread_tolerances_metric",
        title="Tolerances and deviations of metric threads by pitch",
        load=pitch_tolerances,
        note="Grade 6, positions g, e, h, G, H; other grades are steps of the preferred numbers.",
    ),
    TableInfo(
        name="thread_tolerances_metric_pitch",
        title="Tolerances of the pitch diameter of metric screws by diameter and pitch",
        load=diameter_tolerances,
        note="Grade 6, normal length of engagement, M1 to M90.",
    ),
)
