"""Limits of size of threads: ISO 965-1, ASME B1.1, BS 84, BS 93, ISO 228-1, ISO 7-1. In mm.

Where the house knows neither formula nor table (taper pipe threads, cycle threads), the limits are
None: nothing is made up. Normal length of engagement, uncoated threads.
"""

from typing import Final

from shared.standards.thread_model import Thread, ThreadLimits, ThreadSeries
from shared.standards.thread_tolerances_inch import (
    ba_hole,
    ba_screw,
    unified_hole,
    unified_screw,
    whitworth_hole,
    whitworth_screw,
)
from shared.standards.thread_tolerances_metric import metric_hole, metric_screw
from shared.standards.thread_tolerances_pipe import pipe_hole, pipe_screw

_UNIFIED: Final = frozenset(
    {ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN}
)
_WHITWORTH: Final = frozenset({ThreadSeries.BSW, ThreadSeries.BSF})

# ISO 965-1: a thread without a class is of 5H/6h up to M1.4, of 6H/6g from M1.6.
_FIRST_MEDIUM: Final = 1.6


def screw_limits(thread: Thread, tolerance_class: str | None = None) -> ThreadLimits | None:
    """Return the limits of the external thread, or None where the house knows none.

    Classes: metric "6g", "4h", "5g6g"...; unified "1A" to "3A"; Whitworth "close", "medium",
    "free"; BA "close", "normal"; G "A", "B". None takes 6g (6h below M1.6), 2A, medium, normal, A.
    A class unknown for the series gives None.

    >>> from shared.standards.threads import thread_named
    >>> limits = screw_limits(thread_named("M8x1.25"))
    >>> limits.tolerance_class, round(limits.major_least, 3), round(limits.major_most, 3)
    ('6g', 7.76, 7.972)
    """
    if thread.is_metric:
        default = "6g" if thread.major >= _FIRST_MEDIUM else "6h"
        return metric_screw(thread, tolerance_class or default)
    if thread.series in _UNIFIED:
        return unified_screw(thread, tolerance_class or "2A")
    if thread.series in _WHITWORTH:
        return whitworth_screw(thread, tolerance_class or "medium")
    if thread.series is ThreadSeries.BA:
        return ba_screw(thread, tolerance_class or "normal")
    if thread.series is ThreadSeries.PIPE_PARALLEL:
        return pipe_screw(thread, tolerance_class or "A")
    return None


def hole_limits(thread: Thread, tolerance_class: str | None = None) -> ThreadLimits | None:
    """Return the limits of the internal thread, or None where the house knows none.

    Classes: metric "6H", "6G", "5H", "4H5H"...; unified "1B" to "3B"; Whitworth "medium",
    "normal"; BA "normal"; G and Rp "normal", their only one. None takes 6H (5H below M1.6), 2B,
    normal (BS 84: the nut for a medium bolt). A class unknown for the series gives None.
    """
    if thread.is_metric:
        default = "6H" if thread.major >= _FIRST_MEDIUM else "5H"
        return metric_hole(thread, tolerance_class or default)
    if thread.series in _UNIFIED:
        return unified_hole(thread, tolerance_class or "2B")
    if thread.series in _WHITWORTH:
        return whitworth_hole(thread, tolerance_class or "normal")
    if thread.series is ThreadSeries.BA:
        return ba_hole(thread, tolerance_class or "normal")
    if thread.series in {ThreadSeries.PIPE_PARALLEL, ThreadSeries.PIPE_PARALLEL_INTERNAL}:
        return pipe_hole(thread, tolerance_class or "normal")
    return None
