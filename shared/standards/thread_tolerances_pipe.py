"""Limits of parallel pipe threads by ISO 228-1 and ISO 7-1. Lengths in mm."""

from dataclasses import dataclass
from functools import cache
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows
from shared.standards.thread_model import Thread, ThreadLimits, ThreadSeries


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeTolerances(Sourced):
    """Tolerances of one size, mm: pitch diameter (class A and hole), hole's minor, screw's major.

    ``parallel_internal`` is the deviation, either way, of an Rp thread of ISO 7-1.
    """

    nominal: str
    pitch_diameter: float
    minor_internal: float
    major_external: float
    parallel_internal: float | None


_CLASSES: Final = {"A": 1.0, "B": 2.0}


def pipe_tolerances() -> tuple[PipeTolerances, ...]:
    """Return the tolerances of parallel pipe threads. Raises BrokenTable."""
    return rows("thread_tolerances_pipe", PipeTolerances, "nominal")


@cache
def _by_size() -> dict[str, PipeTolerances]:
    return {row.nominal: row for row in pipe_tolerances()}


def pipe_screw(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of an external G thread in class A or B; None for another class."""
    share = _CLASSES.get(tolerance_class)
    row = _by_size().get(thread.nominal)
    if share is None or row is None:
        return None
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=False,
        major_least=thread.major - row.major_external,
        major_most=thread.major,
        pitch_least=thread.pitch_diameter - share * row.pitch_diameter,
        pitch_most=thread.pitch_diameter,
        minor_least=None,
        minor_most=thread.root_external,
    )


def pipe_hole(thread: Thread, tolerance_class: str) -> ThreadLimits | None:
    """Return the limits of an internal G or Rp thread (class "normal", their only one), or None.

    An Rp thread may lie below its basic size as well as above.
    """
    row = _by_size().get(thread.nominal)
    if row is None or tolerance_class != "normal":
        return None
    if thread.series is ThreadSeries.PIPE_PARALLEL:
        below, pitch_above, minor_above = 0.0, row.pitch_diameter, row.minor_internal
    elif row.parallel_internal is not None:
        below = pitch_above = minor_above = row.parallel_internal
    else:
        return None
    return ThreadLimits(
        tolerance_class=tolerance_class,
        is_internal=True,
        major_least=thread.major - below,
        major_most=None,
        pitch_least=thread.pitch_diameter - below,
        pitch_most=thread.pitch_diameter + pitch_above,
        minor_least=thread.minor_internal - below,
        minor_most=thread.minor_internal + minor_above,
    )


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="thread_tolerances_pipe",
        title="Tolerances of parallel pipe threads G and Rp",
        load=pipe_tolerances,
        note="Rp from memory. Taper pipe threads have none here: they are gauged, not measured.",
    ),
)
