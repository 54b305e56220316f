"""Heads, sockets and clearance holes: width across flats, keys, bearing faces. Lengths in mm.

ISO 272 and ISO 4014 (metric hexagons), the older DIN 931 flats, the small heads of the Japanese
standard, heads with a flange, structural ones, ASME B18.2.1 (inch), the two Whitworth sizes of
spanner, BA; ISO 4762 and its kin, ASME B18.3 (sockets); ISO 273, ASME B18.2.8 (holes). Inch rows
are kept in inches as printed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final, NamedTuple

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows
from shared.standards.thread_geometry import MM_PER_INCH
from shared.standards.thread_model import Thread, ThreadSeries

TO_MM: Final = MappingProxyType({"mm": 1.0, "in": MM_PER_INCH})
"""Millimetres in the unit of a row."""
SAME_SIZE: Final = 0.01
"""Diameters of screws that differ by less, mm, are one size."""
_ROUGH: Final = 0.965
"""Share of the nominal width that a rough (product grade C) or worn head still has, about: ISO 4016
has 12.57 for 13 mm, 35 for 36 (from memory). A worn head must not pass for the size below alone."""
_UNDER_NOMINAL: Final = 0.45
"""A screw's outside diameter lies this far under its nominal size at most: tolerance and wear."""


class HeadThreads(StrEnum):
    """Which threads a head is made with."""

    METRIC = "metric"
    UNIFIED = "unified"
    WHITWORTH = "Whitworth"
    BA = "BA"


class HeadForm(StrEnum):
    """What presses on the part: the face that the bearing face is asked of."""

    HEXAGON = "hexagon"
    SOCKET_CAP = "socket cap"


_THREADS_OF: Final = MappingProxyType(
    {
        ThreadSeries.METRIC_COARSE: HeadThreads.METRIC,
        ThreadSeries.METRIC_FINE: HeadThreads.METRIC,
        ThreadSeries.METRIC_OLDER: HeadThreads.METRIC,
        ThreadSeries.UNC: HeadThreads.UNIFIED,
        ThreadSeries.UNF: HeadThreads.UNIFIED,
        ThreadSeries.UNEF: HeadThreads.UNIFIED,
        ThreadSeries.UN: HeadThreads.UNIFIED,
        ThreadSeries.BSW: HeadThreads.WHITWORTH,
        ThreadSeries.BSF: HeadThreads.WHITWORTH,
        ThreadSeries.BA: HeadThreads.BA,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hexagon(Sourced):
    """One hexagon of one size, lengths in ``unit``; ``major`` the basic major diameter in mm.

    ``flats`` is the nominal and greatest width, ``flats_least`` the least when new; ``face_least``
    the least diameter of the bearing face, ``height`` the head's: None where the house has none.
    ``pitches`` are those usual with this head, the commonest first, in mm; empty: the head does not
    tell.
    """

    kind: str
    threads: HeadThreads
    nominal: str
    major: float
    unit: str
    flats: float
    flats_least: float
    face_least: float | None
    height: float | None
    pitches: str
    standard: str
    note: str

    @property
    def across_flats(self) -> float:
        """Nominal width across flats, mm."""
        return self.flats * TO_MM[self.unit]

    @property
    def across_flats_least(self) -> float:
        """Least width across flats of a new one, mm."""
        return self.flats_least * TO_MM[self.unit]

    @property
    def usual_pitches(self) -> tuple[float, ...]:
        """Pitches usual with this head, mm, the commonest first; empty: not told."""
        return tuple(float(pitch) for pitch in self.pitches.split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Socket(Sourced):
    """One screw with a hexagon socket, lengths in ``unit``; ``major`` in mm."""

    form: str
    threads: HeadThreads
    nominal: str
    major: float
    unit: str
    key: float
    head: float | None
    face_least: float | None
    standard: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearanceHole(Sourced):
    """The holes that a screw passes through, lengths in ``unit``; ``major`` in mm."""

    threads: HeadThreads
    nominal: str
    major: float
    unit: str
    close: float
    medium: float
    loose: float
    standard: str

    @property
    def medium_diameter(self) -> float:
        """The hole of the medium (inch: normal) series, mm."""
        return self.medium * TO_MM[self.unit]


class BearingFace(NamedTuple):
    """What a head presses with: least diameter of its face and the medium hole under it, mm."""

    face: float
    hole: float


def hexagons() -> tuple[Hexagon, ...]:
    """Return all hexagons, row by row."""
    return rows("hexagons", Hexagon, "kind", "major")


def sockets() -> tuple[Socket, ...]:
    """Return all screws with hexagon sockets, row by row."""
    return rows("sockets", Socket, "form", "threads", "major")


def clearance_holes() -> tuple[ClearanceHole, ...]:
    """Return all clearance holes, row by row."""
    return rows("clearance_holes", ClearanceHole, "threads", "major")


def heads_of(thread: Thread) -> tuple[Hexagon, ...]:
    """Return the hexagons that screws and nuts of a thread are made with; none for pipe threads."""
    return tuple(row for row in hexagons() if _is_for(row, thread))


def sockets_of(thread: Thread) -> tuple[Socket, ...]:
    """Return the socket screws that are made with a thread."""
    return tuple(row for row in sockets() if _is_for(row, thread))


def clearance_hole_of(thread: Thread) -> ClearanceHole | None:
    """Return the holes that a screw of this thread passes through; None where none is listed."""
    return next((row for row in clearance_holes() if _is_for(row, thread)), None)


def _is_for(row: Hexagon | Socket | ClearanceHole, thread: Thread) -> bool:
    # By diameter, not by name: "1" names a number size as well as one inch.
    family = _THREADS_OF.get(thread.series)
    return row.threads is family and abs(row.major - thread.major) < SAME_SIZE


def heads_for(
    across_flats: float,
    plus_minus: float,
    major: float | None = None,
    major_plus_minus: float = 0.05,
) -> tuple[Hexagon, ...]:
    """Return the hexagons that a measured width across flats (mm) may be, the nearest first.

    A head is never over its nominal width, so the width may lie between the least of a rough or
    worn one and the nominal, give or take ``plus_minus``. ``major`` is
    the outside diameter measured (or the nominal size): a screw is never over its nominal size
    and seldom more than 0.45 mm under it.

    >>> [(row.nominal, row.kind, row.usual_pitches) for row in heads_for(14, 0.1, major=10)]
    [('M10', 'small hexagon, Japanese standard', (1.25,))]
    """
    found = [
        row
        for row in hexagons()
        if _least_found(row) - plus_minus <= across_flats <= row.across_flats + plus_minus
        and (
            major is None
            or major - major_plus_minus <= row.major <= major + major_plus_minus + _UNDER_NOMINAL
        )
    ]
    return tuple(sorted(found, key=lambda row: (abs(row.across_flats - across_flats), row.major)))


def _least_found(row: Hexagon) -> float:
    return min(row.across_flats_least, _ROUGH * row.across_flats)


def bearing_face(major: float, head: HeadForm = HeadForm.HEXAGON) -> BearingFace | None:
    """Return the bearing face of a head and the hole under it, for a major diameter in mm.

    ISO 4014 or ISO 4762 with the medium hole of ISO 273; inch sizes ASME B18.2.1 or B18.3 with the
    normal hole of B18.2.8. The face is the least one: at a given torque a larger face leaves less
    force in the screw. None where the house has no such size.

    >>> bearing_face(8), bearing_face(8, HeadForm.SOCKET_CAP)
    (BearingFace(face=11.63, hole=9.0), BearingFace(face=12.33, hole=9.0))
    """
    heads: Sequence[Hexagon | Socket] = (
        hexagons()
        if head is HeadForm.HEXAGON
        else [row for row in sockets() if row.form == head.value]
    )
    for row in heads:
        if row.face_least is None or abs(row.major - major) > SAME_SIZE:
            continue
        for hole in clearance_holes():
            if hole.threads is row.threads and abs(hole.major - row.major) < SAME_SIZE:
                return BearingFace(row.face_least * TO_MM[row.unit], hole.medium_diameter)
    return None


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="hexagons",
        title="Widths across flats of hexagon heads and nuts, M1.6 to M64 and inch sizes",
        load=hexagons,
        note="ISO and DIN 931 flats agree with a public parts library but for M7, inch and British"
        " ones with public tables; larger Whitworth ones from 1 in, BA flats and DIN 6921 from M12"
        " are from memory. Usual pitches are a hint of the head, never a measurement.",
    ),
    TableInfo(
        name="sockets",
        title="Hexagon-socket screws: key and head, M1.6 to M64, #0 to 1 in",
        load=sockets,
    ),
    TableInfo(
        name="clearance_holes",
        title="Clearance holes, three series, M1.6 to M64 and inch sizes",
        load=clearance_holes,
        note="ISO 273 from memory; for M12, M14, M16 a public parts library has 0.5 mm more.",
    ),
)
