"""Which thread a measured screw or hole may be.

A screw is made between its limits and never over its nominal diameter, so a reading above it rules
the size out; crests wear, so a used one measures smaller. The pitch of a cut or rolled thread is
true to a few parts in a thousand: what is doubtful is the reading of it.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Mapping
from functools import cache
from math import isfinite
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.interchange.identification.model import (
    Change,
    Doubt,
    MadeSize,
    Measured,
    PartState,
    StandardSize,
)
from shared.standards.thread_geometry import MM_PER_INCH
from shared.standards.thread_model import Thread, ThreadSeries
from shared.standards.threads import hole_limits, screw_limits, threads

DIMENSIONS: Final = ("major", "minor", "pitch")
"""Outside diameter of a screw, bore of a hole's thread, pitch: mm."""

SEEN_MISFIT: Final = 0.2
"""A step in mm that the eye sees between a gauge leaf and a thread (common practice)."""
LEAF_TURNS: Final = 8
"""Turns of a thread that a gauge leaf usually meets (common practice)."""
PITCH_TOLERANCE: Final = 0.002
"""In parts of the pitch: lead of a made thread, either way (common practice, no source)."""

_TAPER: Final = 1 / 16
_TAPER_TURNS: Final = 4.5
"""From the small end of a taper screw to its gauge plane, and as far beyond (from memory)."""
_WEAR: Final = {PartState.NEW: 0.0, PartState.UNKNOWN: 0.02, PartState.USED: 0.04}
"""Mean loss at the crests in parts of the pitch (common practice, no source)."""
_ESTIMATED_TOLERANCE: Final = 0.2
"""In parts of the pitch: width of the limits of a diameter where the house holds none: near what
ISO 965-1 grade 6 gives at a pitch of 1 mm."""

_NEAR_MAJOR: Final = 0.06
_NEAR_PITCH: Final = 0.14
_NAMED: Final = 4
"""A look-alike: outside diameter and pitch as near as this, in parts; so many are named."""

_FAMILIES: Final = {
    ThreadSeries.METRIC_COARSE: "metric",
    ThreadSeries.METRIC_FINE: "metric",
    ThreadSeries.METRIC_OLDER: "metric",
    ThreadSeries.UNC: "Unified",
    ThreadSeries.UNF: "Unified",
    ThreadSeries.UNEF: "Unified",
    ThreadSeries.UN: "Unified",
    ThreadSeries.BSW: "Whitworth",
    ThreadSeries.BSF: "Whitworth",
    ThreadSeries.BA: "British Association",
    ThreadSeries.CYCLE: "cycle",
    ThreadSeries.PIPE_PARALLEL: "pipe",
    ThreadSeries.PIPE_TAPER_EXTERNAL: "pipe",
    ThreadSeries.PIPE_TAPER_INTERNAL: "pipe",
    ThreadSeries.PIPE_PARALLEL_INTERNAL: "pipe",
    ThreadSeries.NPT: "American pipe",
}
_NO_SCREW: Final = {ThreadSeries.PIPE_TAPER_INTERNAL, ThreadSeries.PIPE_PARALLEL_INTERNAL}


@cache
def sizes(state: PartState, internal: bool = False) -> tuple[StandardSize, ...]:
    """Return every thread in the house as a size to be told by measuring, in mm.

    A screw by "major" and "pitch", a hole (``internal``) by "minor" and "pitch".
    """
    return tuple(
        _hole(thread, state) if internal else _screw(thread, state)
        for thread in threads()
        if (
            thread.series is not ThreadSeries.PIPE_TAPER_EXTERNAL if internal else _is_screw(thread)
        )
    )


def is_hole(is_internal: bool, measured: Collection[str]) -> bool:
    """Return whether a hole was measured: said so, or a "minor" and no "major" is given.

    Raises InvalidInput for a "minor" beside a "major", and for a "major" of what is said a hole.

    >>> is_hole(False, ["minor", "pitch"])
    True
    """
    if "major" in measured and ("minor" in measured or is_internal):
        raise InvalidInput(
            "/minor" if "minor" in measured else "/major",
            "major is measured of a screw, minor of a hole or nut.",
            "Give major alone for a screw, minor alone for a hole.",
            "not-together",
        )
    return is_internal or "minor" in measured


def advise(measured: Mapping[str, Measured], state: PartState) -> tuple[str, ...]:
    """Return which reading to trust and what else to measure."""
    said = []
    if "major" in measured:
        said.append(
            "Trust the outside diameter for what it rules out: no sound screw is larger than its"
            " nominal diameter. Measure over unworn crests, away from the end."
        )
    if "minor" in measured:
        said.append(
            "The bore of a hole's thread is drilled generously and tells the size only roughly;"
            " a screw that fits without force, in its whole length, tells more."
        )
    pitch = measured.get("pitch")
    if pitch is None:
        said.append(
            "Without the pitch most sizes have several answers: lay a pitch gauge or count the"
            " turns in 25.4 mm."
        )
    elif pitch.value > 0 and pitch.width > 0.012 * pitch.value:
        said.append(
            "Metric and inch pitches lie within a few per cent of each other: measure over ten"
            " turns or more and divide."
        )
    if state is not PartState.NEW:
        said.append("Worn crests make a screw measure smaller and a hole larger.")
    said.append("The hand of the thread is not told by these sizes: look at the helix.")
    return tuple(said)


def pitch_from_turns_per_inch(count: Measured) -> Measured:
    """Return the pitch, mm, from turns per inch; the doubt is carried over at its wider side.

    Raises OutOfRange unless the count is above its doubt and at most 1000.

    >>> pitch = pitch_from_turns_per_inch(Measured(26.0, 0.5))
    >>> round(pitch.value, 4), round(pitch.width, 4)
    (0.9769, 0.0192)
    """
    if not (isfinite(count.value) and 0 < count.value <= 1000):
        raise OutOfRange("tpi", count.value, "above 0 and at most 1000 turns per inch")
    if not 0 <= count.width < count.value:
        raise OutOfRange("tpi_plus_minus", count.width, "0 or more, and below the count")
    value = MM_PER_INCH / count.value
    return Measured(value, MM_PER_INCH / (count.value - count.width) - value, count.doubt)


def pitch_from_length(length: Measured, turns: int) -> Measured:
    """Return the pitch, mm, from the length over so many turns: the doubt shrinks by their number.

    Raises OutOfRange for a length not above 0 or fewer turns than 1.
    """
    if not (isfinite(length.value) and length.value > 0):
        raise OutOfRange("length", length.value, "above 0")
    if turns < 1:
        raise OutOfRange("turns", turns, "at least 1")
    return Measured(length.value / turns, length.width / turns, length.doubt)


def pitch_from_leaf(leaf: float, turns: int = LEAF_TURNS) -> Measured:
    """Return the pitch, mm, that a gauge leaf tells which fits, or nearly fits, over ``turns``.

    A misfit shows when the leaf is 0.2 mm off at its end. Raises OutOfRange for a leaf not above 0
    or fewer turns than 1.

    >>> pitch_from_leaf(1.0)
    Measured(value=1.0, width=0.025, doubt=<Doubt.RECTANGULAR: 'rectangular'>)
    """
    if not (isfinite(leaf) and leaf > 0):
        raise OutOfRange("pitch", leaf, "above 0")
    if turns < 1:
        raise OutOfRange("turns", turns, "at least 1")
    return Measured(leaf, SEEN_MISFIT / turns, Doubt.RECTANGULAR)


def _is_screw(thread: Thread) -> bool:
    return thread.series not in _NO_SCREW


def _screw(thread: Thread, state: PartState) -> StandardSize:
    limits = screw_limits(thread)
    least, most = thread.major - _ESTIMATED_TOLERANCE * thread.pitch, thread.major
    if thread.is_taper:
        reach = _TAPER_TURNS * thread.pitch * _TAPER
        least, most = thread.major - reach, thread.major + reach
    elif limits is not None:
        least = limits.major_least
    worn = _WEAR[state] * thread.pitch
    made = MadeSize(least, most, Change.SMALLER if worn else Change.NONE, worn)
    return _size(thread, "major", thread.major, made)


def _hole(thread: Thread, state: PartState) -> StandardSize:
    limits = hole_limits(thread)
    least = thread.minor_internal
    most = least + _ESTIMATED_TOLERANCE * thread.pitch
    if thread.is_taper:
        least = thread.minor_internal - _TAPER_TURNS * thread.pitch * _TAPER
        most = thread.minor_internal + thread.pitch * _TAPER
    elif limits is not None:
        least = least if limits.minor_least is None else limits.minor_least
        most = limits.minor_most
    worn = _WEAR[state] * thread.pitch
    made = MadeSize(least, most, Change.LARGER if worn else Change.NONE, worn)
    return _size(thread, "minor", thread.minor_internal, made)


def _size(thread: Thread, name: str, nominal: float, made: MadeSize) -> StandardSize:
    true = PITCH_TOLERANCE * thread.pitch
    return StandardSize(
        designation=thread.designation,
        standard=f"{thread.standard}:{thread.edition}" if thread.edition else thread.standard,
        made={name: made, "pitch": MadeSize(thread.pitch - true, thread.pitch + true)},
        nominal={name: nominal, "pitch": thread.pitch},
        commonness=thread.commonness,
        notes=_look_alike_notes(thread),
    )


@cache
def _by_major() -> tuple[tuple[Thread, ...], tuple[float, ...]]:
    ordered = tuple(sorted(threads(), key=lambda thread: thread.major))
    return ordered, tuple(thread.major for thread in ordered)


@cache
def _look_alike_notes(thread: Thread) -> tuple[str, ...]:
    """Name the threads of other families near in diameter and pitch, the nearest first."""
    ordered, majors = _by_major()
    reach = _NEAR_MAJOR * thread.major
    first, last = (
        bisect_left(majors, thread.major - reach),
        bisect_right(majors, thread.major + reach),
    )
    near = [
        other
        for other in ordered[first:last]
        if _FAMILIES[other.series] != _FAMILIES[thread.series]
        and abs(other.pitch - thread.pitch) <= _NEAR_PITCH * thread.pitch
    ]
    near.sort(key=lambda other: _distance(thread, other))
    notes = [
        f"Looks like {other.designation} ({_FAMILIES[other.series]}), which has {_figures(other)};"
        f" this one {_figures(thread)}."
        for other in near[:_NAMED]
    ]
    if thread.is_taper:
        notes.insert(0, "A taper of 1 in 16: the diameter depends on where it is measured.")
    return tuple(notes)


def _figures(thread: Thread) -> str:
    return (
        f"outside {thread.major:.2f} mm, pitch {thread.pitch:.4g} mm, flanks"
        f" {thread.flank_angle:g}°"
    )


def _distance(thread: Thread, other: Thread) -> float:
    return (
        abs(other.major - thread.major) / (_NEAR_MAJOR * thread.major)
        + abs(other.pitch - thread.pitch) / (_NEAR_PITCH * thread.pitch)
        + 1
        - min(other.commonness, 1.0)
    )
