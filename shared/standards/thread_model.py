"""What a thread of a published series is. Lengths in millimetres, angles in degrees."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from shared.standards.reader import Basis


class ThreadSeries(StrEnum):
    """The published series that a thread belongs to."""

    METRIC_COARSE = "metric coarse"
    METRIC_FINE = "metric fine"
    METRIC_OLDER = "metric older"
    """Sizes and pitches of national standards before ISO 261, met on old vehicles and machines."""
    UNC = "UNC"
    UNF = "UNF"
    UNEF = "UNEF"
    UN = "UN"
    """Constant-pitch series of ASME B1.1 (8-UN, 12-UN, 16-UN) and specials (UNS)."""
    BSW = "BSW"
    BSF = "BSF"
    BA = "BA"
    CYCLE = "BSC"
    PIPE_PARALLEL = "G"
    """ISO 228-1: joints not made pressure-tight on the threads."""
    PIPE_TAPER_EXTERNAL = "R"
    PIPE_TAPER_INTERNAL = "Rc"
    PIPE_PARALLEL_INTERNAL = "Rp"
    NPT = "NPT"


METRIC_SERIES: Final = frozenset(
    {ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE, ThreadSeries.METRIC_OLDER}
)


class Flanks(StrEnum):
    """The form of the thread."""

    SIXTY = "60 degrees"
    """ISO 68-1, ASME B1.1, NPT."""
    WHITWORTH = "55 degrees"
    """BSW, BSF, ISO 228-1, ISO 7-1."""
    BA = "47.5 degrees"
    CYCLE = "60 degrees, rounded"


@dataclass(frozen=True, slots=True)
class Thread:
    """One size of one series. Diameters are basic ones; taper threads' at the gauge plane.

    ``designation`` is the canonical name, unique in the house: "M8x1.25", "M8x1", "M5x0.9",
    "1/4-20 UNC", "10-32 UNF", "1 1/8-8 UN", "1/4-20 BSW", "1/4-26 BSF", "2 BA", "1/4-26 BSC",
    "G 1/8", "R 1/8", "Rc 1/8", "Rp 1/8", "1/8-27 NPT". ``nominal`` is its size as the trade says it
    ("M8", "1/4", "10", "2 BA", "1/8"). ``minor_internal`` D1 is the basic minor diameter of the
    hole, ``root_external`` d3 the diameter at the bottom of the screw's thread. ``stress_area`` is
    None where the thread is no fastener (pipe). ``turns_per_inch`` is given where the standard
    states it. ``commonness`` > 0 weighs how often a workshop meets the size (1: an everyday one).
    """

    designation: str
    series: ThreadSeries
    nominal: str
    major: float
    pitch: float
    turns_per_inch: float | None
    flanks: Flanks
    flank_angle: float
    pitch_diameter: float
    minor_internal: float
    root_external: float
    stress_area: float | None
    tap_drill: float | None
    is_taper: bool
    commonness: float
    standard: str
    edition: str
    basis: Basis

    @property
    def is_metric(self) -> bool:
        """Whether it is a metric thread of the ISO form, by ISO 261 or older."""
        return self.series in METRIC_SERIES


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """The limits of size of one side of a thread in one tolerance class, in mm.

    For a screw: major, pitch and minor (root) diameter. For a hole the same; its major diameter has
    no upper limit (None), a screw's root no lower one where the standard states none.
    """

    tolerance_class: str
    is_internal: bool
    major_least: float
    major_most: float | None
    pitch_least: float
    pitch_most: float
    minor_least: float | None
    minor_most: float
