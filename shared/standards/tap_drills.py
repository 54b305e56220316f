"""Drills for tapped holes (ISO 2306, handbook tables, BS 1157). Diameters in millimetres.

Where the house lists no drill for a thread, the rule of the trade is major diameter less pitch,
taken only where it lies inside the limits of the hole's minor diameter.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows
from shared.standards.thread_model import Thread, ThreadSeries
from shared.standards.thread_tolerances import hole_limits


@dataclass(frozen=True, slots=True, kw_only=True)
class TapDrill(Sourced):
    """The drill listed for a thread: its name ("6.8" in mm; "#7", "F", "27/64") and diameter."""

    designation: str
    name: str
    diameter: float


def tap_drills() -> tuple[TapDrill, ...]:
    """Return the listed drills, in file order. Raises BrokenTable."""
    return rows("tap_drills", TapDrill, "designation")


@cache
def _by_thread() -> Mapping[str, TapDrill]:
    return MappingProxyType({one.designation: one for one in tap_drills()})


def tap_drill_named(thread: Thread) -> TapDrill | None:
    """Return the drill listed for the thread with its name and source, or None."""
    return _by_thread().get(thread.designation)


def drill_diameter(thread: Thread) -> float | None:
    """Return the drill diameter in mm: the listed one, else major less pitch, else None.

    The rule is used only where it falls inside the limits of the hole's minor diameter for the
    default class; where these are not known nothing is given. Cycle threads are the exception: the
    rule leaves 94 % of their shallow thread, so it stands without limits, as common practice.
    """
    listed = tap_drill_named(thread)
    if listed is not None:
        return listed.diameter
    by_rule = thread.major - thread.pitch
    if thread.series is ThreadSeries.CYCLE:
        return by_rule
    limits = hole_limits(thread)
    if limits is None or thread.stress_area is None or limits.minor_least is None:
        return None
    return by_rule if limits.minor_least <= by_rule <= limits.minor_most else None


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="tap_drills",
        title="Tap drills: metric M1 to M64, unified, British and pipe threads",
        load=tap_drills,
        note="Fine-thread and pipe drills are partly from memory. The handbook drills of 9/16-18 "
        "and 5/8-18 UNF lie 0.02 mm above the limit of class 2B. A drill for NPT is for tapping "
        "without taper reaming. R and Rc have none.",
    ),
)
