"""Plain washers by thread: ISO 7089, 7090, 7093-1 and the two inch series. Lengths in mm."""

from dataclasses import dataclass
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.hexagons import SAME_SIZE, TO_MM, HeadThreads
from shared.standards.reader import Sourced, rows
from shared.standards.thread_model import Thread


@dataclass(frozen=True, slots=True, kw_only=True)
class Washer(Sourced):
    """One washer, sizes nominal and in ``unit``; ``major`` the screw's diameter in mm."""

    form: str
    threads: HeadThreads
    nominal: str
    major: float
    unit: str
    inside: float
    outside: float
    thickness: float
    standard: str
    note: str

    @property
    def inside_diameter(self) -> float:
        """Hole, mm."""
        return self.inside * TO_MM[self.unit]

    @property
    def outside_diameter(self) -> float:
        """Outside diameter, mm."""
        return self.outside * TO_MM[self.unit]

    @property
    def height(self) -> float:
        """Thickness, mm."""
        return self.thickness * TO_MM[self.unit]


def washers() -> tuple[Washer, ...]:
    """Return all washers, row by row."""
    return rows("washers", Washer, "form", "threads", "major")


def washers_of(thread: Thread) -> tuple[Washer, ...]:
    """Return the washers made for a screw's diameter; British and BA sizes have none here."""
    family = HeadThreads.METRIC if thread.is_metric else HeadThreads.UNIFIED
    is_unified = thread.series.value.startswith("UN")
    return tuple(
        row
        for row in washers()
        if row.threads is family
        and abs(row.major - thread.major) < SAME_SIZE
        and (thread.is_metric or is_unified)
    )


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="washers",
        title="Plain washers, normal and large, M1.6 to M64 and 1/4 to 1 in",
        load=washers,
        note="Metric diameters to M36 agree with a public parts library, inch ones to 7/8 narrow"
        " with a handbook's table; rows marked memory have none.",
    ),
)
