"""Reads the lists of thread sizes and computes what their standards define by formula. In mm."""

from dataclasses import dataclass
from functools import cache
from typing import Final

from shared.standards.reader import Sourced, rows
from shared.standards.thread_geometry import (
    MM_PER_INCH,
    diameters,
    flank_angle,
    npt_diameters,
    stress_area,
    stress_area_inch,
)
from shared.standards.thread_model import Flanks, Thread, ThreadSeries


@dataclass(frozen=True, slots=True, kw_only=True)
class MetricSize(Sourced):
    """A size of ISO 261; ``choice`` 1 to 3 is its order of preference there. Lengths in mm.

    Of the older series 3: for repair alone.
    """

    nominal: str
    series: ThreadSeries
    major: float
    pitch: float
    choice: int
    commonness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InchSize(Sourced):
    """A size given in inches and turns per inch; ``label`` is the series as it is written."""

    nominal: str
    label: str
    major_inches: float
    turns_per_inch: float
    commonness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BaSize(Sourced):
    """A BA number: diameter and pitch in mm, the pitch 0.9 to the power of the number, rounded."""

    number: int
    major: float
    pitch: float
    commonness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeSize(Sourced):
    """A size of ISO 228-1: major diameter in mm; ``in_iso_7`` "yes" where ISO 7-1 has it too."""

    nominal: str
    major: float
    turns_per_inch: float
    commonness: float
    in_iso_7: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NptSize(Sourced):
    """A size of ASME B1.20.1: outside diameter of the pipe and hand-tight engagement L1, inches."""

    nominal: str
    pipe_outside_inches: float
    turns_per_inch: float
    hand_tight_inches: float
    commonness: float


# The series of each label, its form, and whether its tensile stress area is ASME B1.1's.
_LABELS: Final = {
    "UNC": (ThreadSeries.UNC, Flanks.SIXTY),
    "UNF": (ThreadSeries.UNF, Flanks.SIXTY),
    "UNEF": (ThreadSeries.UNEF, Flanks.SIXTY),
    "UN": (ThreadSeries.UN, Flanks.SIXTY),
    "UNS": (ThreadSeries.UN, Flanks.SIXTY),
    "BSW": (ThreadSeries.BSW, Flanks.WHITWORTH),
    "BSF": (ThreadSeries.BSF, Flanks.WHITWORTH),
    "BSC": (ThreadSeries.CYCLE, Flanks.CYCLE),
}


@cache
def metric_threads() -> tuple[Thread, ...]:
    """Return the threads of ISO 261, and the older ones, in file order. Raises BrokenTable."""
    found = rows("threads_metric", MetricSize, "nominal", "pitch")
    return tuple(
        _parallel(
            row,
            designation=f"{row.nominal}x{row.pitch:g}",
            series=row.series,
            nominal=row.nominal,
            major=row.major,
            pitch=row.pitch,
            turns_per_inch=None,
            flanks=Flanks.SIXTY,
            commonness=row.commonness,
        )
        for row in found
    )


@cache
def unified_threads() -> tuple[Thread, ...]:
    """Return the threads of ASME B1.1 in file order. Raises BrokenTable."""
    found = rows("threads_unified", InchSize, "major_inches", "turns_per_inch", "label")
    return tuple(_inch(row) for row in found)


@cache
def british_threads() -> tuple[Thread, ...]:
    """Return BSW, BSF, cycle and BA threads in file order. Raises BrokenTable."""
    by_inch = rows("threads_british", InchSize, "major_inches", "turns_per_inch", "label")
    by_number = rows("threads_ba", BaSize, "number")
    return (
        *(_inch(row) for row in by_inch),
        *(
            _parallel(
                row,
                designation=f"{row.number} BA",
                series=ThreadSeries.BA,
                nominal=f"{row.number} BA",
                major=row.major,
                pitch=row.pitch,
                turns_per_inch=None,
                flanks=Flanks.BA,
                commonness=row.commonness,
            )
            for row in by_number
        ),
    )


@cache
def pipe_threads() -> tuple[Thread, ...]:
    """Return G, R, Rc, Rp and NPT threads. Raises BrokenTable."""
    sizes = rows("threads_pipe", PipeSize, "nominal")
    in_iso_7 = [row for row in sizes if row.in_iso_7 == "yes"]
    taper = (ThreadSeries.PIPE_TAPER_EXTERNAL, ThreadSeries.PIPE_TAPER_INTERNAL)
    return (
        *(_pipe(row, ThreadSeries.PIPE_PARALLEL, False) for row in sizes),
        *(_pipe(row, series, True) for series in taper for row in in_iso_7),
        *(_pipe(row, ThreadSeries.PIPE_PARALLEL_INTERNAL, False) for row in in_iso_7),
        *(_npt(row) for row in rows("threads_npt", NptSize, "nominal")),
    )


def _inch(row: InchSize) -> Thread:
    series, flanks = _LABELS[row.label]
    return _parallel(
        row,
        designation=f"{row.nominal}-{row.turns_per_inch:g} {row.label}",
        series=series,
        nominal=row.nominal,
        major=row.major_inches * MM_PER_INCH,
        pitch=MM_PER_INCH / row.turns_per_inch,
        turns_per_inch=row.turns_per_inch,
        flanks=flanks,
        commonness=row.commonness,
        is_unified=row.label.startswith("UN"),
    )


def _pipe(row: PipeSize, series: ThreadSeries, is_taper: bool) -> Thread:
    return _parallel(
        row,
        designation=f"{series.value} {row.nominal}",
        series=series,
        nominal=row.nominal,
        major=row.major,
        pitch=MM_PER_INCH / row.turns_per_inch,
        turns_per_inch=row.turns_per_inch,
        flanks=Flanks.WHITWORTH,
        commonness=row.commonness,
        is_pipe=True,
        is_taper=is_taper,
    )


def _npt(row: NptSize) -> Thread:
    pitch = MM_PER_INCH / row.turns_per_inch
    sizes = npt_diameters(
        row.pipe_outside_inches * MM_PER_INCH, pitch, row.hand_tight_inches * MM_PER_INCH
    )
    return Thread(
        designation=f"{row.nominal}-{row.turns_per_inch:g} NPT",
        series=ThreadSeries.NPT,
        nominal=row.nominal,
        major=sizes.major,
        pitch=pitch,
        turns_per_inch=row.turns_per_inch,
        flanks=Flanks.SIXTY,
        flank_angle=flank_angle(Flanks.SIXTY),
        pitch_diameter=sizes.pitch,
        minor_internal=sizes.minor,
        root_external=sizes.minor,
        stress_area=None,
        tap_drill=None,
        is_taper=True,
        commonness=row.commonness,
        standard=row.source,
        edition=row.edition,
        basis=row.basis,
    )


def _parallel(
    row: Sourced,
    *,
    designation: str,
    series: ThreadSeries,
    nominal: str,
    major: float,
    pitch: float,
    turns_per_inch: float | None,
    flanks: Flanks,
    commonness: float,
    is_unified: bool = False,
    is_pipe: bool = False,
    is_taper: bool = False,
) -> Thread:
    basic = diameters(major, pitch, flanks)
    area: float | None = stress_area(basic.pitch, basic.root_external)
    if is_unified:
        area = stress_area_inch(major, pitch)
    return Thread(
        designation=designation,
        series=series,
        nominal=nominal,
        major=major,
        pitch=pitch,
        turns_per_inch=turns_per_inch,
        flanks=flanks,
        flank_angle=flank_angle(flanks),
        pitch_diameter=basic.pitch,
        minor_internal=basic.minor_internal,
        root_external=basic.root_external,
        stress_area=None if is_pipe else area,
        tap_drill=None,
        is_taper=is_taper,
        commonness=commonness,
        standard=row.source,
        edition=row.edition,
        basis=row.basis,
    )
