"""Rolling bearings: boundary dimensions, the trade's marks, how finely they are made.

Lengths in millimetres. A bearing's number says its plan of boundary dimensions (ISO 15, ISO 355,
ISO 104, ISO 1206, ISO 3245; inch series by ABMA); what stands before and behind it is the trade's
and makers' own, described here by meaning. Rows with ``basis`` "memory" have not been compared with
the printed standard.
"""

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final, Literal

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import BrokenTable, Sourced, rows

_STEP: Final = 5
_BORES_OF_THE_FIRST_CODES: Final = MappingProxyType({"00": 10, "01": 12, "02": 15, "03": 17})
_MOST_BORE: Final = 480.0
"""Bore code 96: above it a number gives the bore after a slash."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BearingRow(Sourced):
    """A number of a plan. ``width`` is the open bearing's, or the assembled one of a tapered one.

    ``width_sealed`` is the width with shields or seals, None where such a one is not usual.
    ``is_inch`` is 1 where the sizes are inch sizes. ``commonness`` weighs how often a workshop
    meets it (1: an everyday one): the authors' judgement, no source.
    """

    designation: str
    alias: str
    type_name: str
    series: str
    bore: float
    outside: float
    width: float
    width_sealed: float | None
    is_inch: int
    commonness: float

    @property
    def is_tapered(self) -> bool:
        """Whether it is a tapered roller bearing."""
        return self.type_name.startswith("tapered")

    @property
    def is_needle(self) -> bool:
        """Whether it is a needle roller bearing."""
        return "needle" in self.type_name

    @property
    def standard(self) -> str:
        """The publication its sizes are from, without how that was read."""
        return self.source.partition(" (")[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkRow(Sourced):
    """A prefix or suffix: how it is written, the house's one spelling, its family and meaning."""

    mark: str
    canonical: str
    family: str
    meaning: str
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceRow(Sourced):
    """Deviations (mm) of one dimension, for nominal sizes over ``over`` up to ``upto``.

    ``lower`` and ``upper`` are those of the mean diameter in a plane; one diameter, as a caliper
    finds it, may lie ``spread`` further out. For the width the bore decides.
    """

    bearing: str
    dimension: str
    over: float
    upto: float
    lower: float
    upper: float
    spread: float


def bearing_rows() -> tuple[BearingRow, ...]:
    """Return every number of the house, checked. Raises BrokenTable.

    >>> next(row.outside for row in bearing_rows() if row.designation == "6205")
    52.0
    """
    found = rows("bearings", BearingRow, "designation")
    for row in found:
        if not 0 < row.bore < row.outside or row.width <= 0 or row.commonness <= 0:
            raise BrokenTable(f"bearings.csv: the sizes of {row.designation} cannot be")
        if row.width_sealed is not None and row.width_sealed < row.width:
            raise BrokenTable(f"bearings.csv: {row.designation} is narrower sealed than open")
    return found


def mark_rows() -> tuple[MarkRow, ...]:
    """Return every prefix and suffix with its meaning, in the order of the file."""
    return rows("bearing_marks", MarkRow, "mark", "place")


def tolerance_rows() -> tuple[ToleranceRow, ...]:
    """Return the deviations by kind of bearing, dimension and step of nominal size."""
    return rows("bearing_tolerances", ToleranceRow, "bearing", "dimension", "over")


@cache
def by_number() -> MappingProxyType[str, BearingRow]:
    """Return every row by its designation and by its other name: "6800" and "61800" alike.

    Raises BrokenTable for a name that stands twice.
    """
    named: dict[str, BearingRow] = {}
    for row in bearing_rows():
        for name in {row.designation, row.alias} - {""}:
            if name in named:
                raise BrokenTable(f"bearings.csv: {name} stands twice")
            named[name] = row
    return MappingProxyType(named)


def bore_of_code(code: str) -> float | None:
    """Return the bore, mm, that the last two figures of a bearing's number stand for.

    ISO 15 practice: 00 to 03 are 10, 12, 15, 17 mm, from 04 to 96 five times the code. None for
    other texts.

    >>> bore_of_code("03"), bore_of_code("22")
    (17.0, 110.0)
    """
    if len(code) != len("00") or not (code.isascii() and code.isdigit()):
        return None
    first = _BORES_OF_THE_FIRST_CODES.get(code)
    if first is not None:
        return float(first)
    bore = float(_STEP * int(code))
    return bore if bore <= _MOST_BORE else None


def deviations(
    row: BearingRow, dimension: Literal["bore", "outside", "width"]
) -> tuple[float, float]:
    """Return the lower and upper deviation, mm, of one diameter or width in the normal class.

    ISO 492: of the mean bore -0.010 to 0 at 25 mm, of a single diameter 0.003 more at each end.
    Raises BrokenTable for a size that no step of the tolerances has.

    >>> deviations(by_number()["6205"], "bore")
    (-0.013, 0.003)
    """
    kind = _made_as(row)
    size = row.outside if dimension == "outside" else row.bore
    for step in tolerance_rows():
        if step.bearing == kind and step.dimension == dimension and step.over < size <= step.upto:
            return round(step.lower - step.spread, 6), round(step.upper + step.spread, 6)
    raise BrokenTable(f"bearing_tolerances.csv: no step for {dimension} of {row.designation}")


def _made_as(row: BearingRow) -> str:
    if row.is_tapered:
        return "inch tapered" if row.is_inch else "tapered"
    if row.type_name.startswith("drawn cup"):
        return "drawn cup"
    return "thrust" if row.type_name.startswith("thrust") else "radial"


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="bearings",
        title="Boundary dimensions of ball and roller bearings, bores 3 to 120 mm and inch",
        load=bearing_rows,
        note="Radial ball and roller bearings agree with the ISO 15 plan or catalogue data of a"
        " general-purpose library, thrust ones with a library of parts, the assembled widths of"
        " tapered ones and usual drawn cups with public lists. The other drawn cups, most inch"
        " tapered sets and RNA49 and the sealed widths of inch bearings are from memory."
        " Bearing units, inch drawn cups and most inch tapered sets are left out.",
    ),
    TableInfo(
        name="bearing_marks",
        title="Prefixes and suffixes of bearings, by meaning",
        load=mark_rows,
        note="From memory. Makers' own marks have no standard: compare the part itself.",
    ),
    TableInfo(
        name="bearing_tolerances",
        title="Limits of bore, outside diameter and width of bearings in the normal class",
        load=tolerance_rows,
        note="Radial and metric tapered: memory and a public table. Inch tapered: memory."
        " Drawn cups wider than the standard, as loose ones are out of round.",
    ),
)
