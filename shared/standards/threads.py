"""Threads of the published series, with their basic dimensions. Lengths in millimetres.

ISO 261 and 724 (M1 to M64), ASME B1.1 (number 0 to 3 in), BS 84, BS 93, BS 811, ISO 228-1, ISO 7-1,
ASME B1.20.1 (up to 2 in). The tables hold the sizes; diameters and areas are computed.
"""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.tap_drills import TapDrill, drill_diameter, tap_drill_named
from shared.standards.thread_model import Thread, ThreadLimits, ThreadSeries
from shared.standards.thread_sizes import (
    british_threads,
    metric_threads,
    pipe_threads,
    unified_threads,
)
from shared.standards.thread_tolerances import hole_limits, screw_limits

__all__ = [
    "TABLES",
    "TapDrill",
    "Thread",
    "ThreadLimits",
    "ThreadSeries",
    "hole_limits",
    "metric_pitches",
    "screw_limits",
    "tap_drill_named",
    "thread_named",
    "threads",
    "threads_of",
]

_SAME_NOMINAL: Final = 1e-6
_ISO_261: Final = frozenset({ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE})


@cache
def threads() -> tuple[Thread, ...]:
    """Return every size of every series.

    Series by series in the order of ThreadSeries, small to large, of one diameter the coarser pitch
    first. Raises BrokenTable.
    """
    order = list(ThreadSeries)
    found = (*metric_threads(), *unified_threads(), *british_threads(), *pipe_threads())
    return tuple(
        replace(one, tap_drill=drill_diameter(one))
        for one in sorted(found, key=lambda one: (order.index(one.series), one.major, -one.pitch))
    )


@cache
def _by_name() -> Mapping[str, Thread]:
    return MappingProxyType({one.designation: one for one in threads()})


def thread_named(canonical: str) -> Thread | None:
    """Return the thread of this canonical designation, or None.

    >>> thread_named("M8x1.25").tap_drill
    6.8
    """
    return _by_name().get(canonical)


@cache
def threads_of(series: ThreadSeries) -> tuple[Thread, ...]:
    """Return the sizes of one series, small to large."""
    return tuple(one for one in threads() if one.series is series)


def metric_pitches(nominal: float) -> tuple[Thread, ...]:
    """Return the metric threads of a nominal diameter in mm: coarse first, then ever finer.

    Those of ISO 261; older pitches are left out.

    Empty where ISO 261 has no such diameter.

    >>> [one.designation for one in metric_pitches(10.0)]
    ['M10x1.5', 'M10x1.25', 'M10x1', 'M10x0.75']
    """
    return tuple(
        one
        for one in threads()
        if one.series in _ISO_261 and abs(one.major - nominal) < _SAME_NOMINAL
    )


_TWO_SOURCES: Final = (
    " No printed standard was read: two-sources is memory, and a public table or library with the"
    " same figures."
)

TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="threads_metric",
        title="Metric threads: coarse, fine and older, M1 to M64",
        load=metric_threads,
        note="All pitches of ISO 261; of older ones the usual six (M4x0.75, M5x0.9 and such)."
        + _TWO_SOURCES,
    ),
    TableInfo(
        name="threads_unified",
        title="Unified threads: UNC, UNF, UNEF, constant pitches and specials, number 0 to 3 in",
        load=unified_threads,
        note="Of the specials (UNS) the usual ones only; constant pitches from memory in part."
        + _TWO_SOURCES,
    ),
    TableInfo(
        name="threads_british",
        title="British threads: Whitworth, fine, BA 0 to 16, cycle",
        load=british_threads,
        note="The cycle series is not complete, and partly from memory." + _TWO_SOURCES,
    ),
    TableInfo(
        name="threads_pipe",
        title="Pipe threads: G, R, Rc, Rp, NPT, 1/16 to 2 in",
        load=pipe_threads,
        note="Taper threads by their diameters at the gauge plane." + _TWO_SOURCES,
    ),
)
