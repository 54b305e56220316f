"""O-rings of the published lists: AS568 by dash number, ISO 3601-1, JIS B 2401, metric trade sizes.

Lengths in millimetres. AS568 is an inch standard: its figures are kept in inches, and the metric
ones are those printed beside them, rounded to 0.01 mm. The sections of the lists lie close together
(1.78 and 1.8, 3.53, 3.55 and 3.5) and are not one list: a ring is named by the list it is from.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Basis, Sourced, rows

AS568: Final = "AS568"
TRADE_SIZE: Final = "common practice"
"""What stands for the standard where sizes are only those that the trade stocks."""

_NOMINAL_SECTIONS: Final = MappingProxyType(
    {1.78: ("1/16", 0.011), 2.62: ("3/32", 0.013), 3.53: ("1/8", 0.016)}
    | {5.33: ("3/16", 0.025), 6.99: ("1/4", 0.025)}
)
_WITHOUT_NOMINAL: Final = frozenset({"005"})
"""Its nominal size breaks the rule that the others keep."""

_HALVES_FROM: Final = 15.5


@dataclass(frozen=True, slots=True, kw_only=True)
class As568Row(Sourced):
    """A line of AS568: figures in inches, tolerances either way."""

    dash: str
    inside_inches: float
    section_inches: float
    inside_tolerance_inches: float
    section_tolerance_inches: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MetricORingRow(Sourced):
    """A line of a metric list; ``number`` is its name in JIS B 2401, else empty. mm."""

    standard: str
    number: str
    inside: float
    section: float
    inside_tolerance: float
    section_tolerance: float
    commonness: float


@dataclass(frozen=True, slots=True)
class ORingSize:
    """A ring of a list: inside diameter and section with their tolerances either way, mm.

    ``name`` is unique in the house: "AS568-214", "JIS B 2401 P10A", "O-ring 25x3.55".
    ``number`` is the list's own ("214", "P10A"), empty where rings are named by size.
    ``nominal_inches`` is how the trade says an AS568 size ("1 x 1/8"), empty elsewhere.
    """

    name: str
    standard: str
    number: str
    inside: float
    section: float
    inside_tolerance: float
    section_tolerance: float
    nominal_inches: str
    commonness: float
    source: str
    edition: str
    basis: Basis


def class_b_inside_tolerance(inside: float) -> float:
    """Return the tolerance either way of an inside diameter, mm: ISO 3601-1 class B.

    >>> round(class_b_inside_tolerance(24.99), 2)
    0.3
    """
    return float(inside**0.95 * 0.009 + 0.11)


def class_b_section_tolerance(section: float) -> float:
    """Return the tolerance either way of a section, mm: ISO 3601-1 class B.

    Above 8.4 mm the last figure grows in proportion, which is no part of the standard.
    """
    for up_to, tolerance in ((2.25, 0.08), (3.15, 0.09), (4.5, 0.10), (6.3, 0.13), (8.4, 0.15)):
        if section <= up_to:
            return tolerance
    return 0.15 * section / 8.4


def section_tolerance(section: float) -> float:
    """Return the tolerance either way of a cord or ring of this section, mm.

    That of a list which holds the section, else ISO 3601-1 class B.

    >>> section_tolerance(2.62), section_tolerance(2.5)
    (0.08, 0.09)
    """
    return _tolerances().get(section) or class_b_section_tolerance(section)


@cache
def o_rings() -> tuple[ORingSize, ...]:
    """Return every ring of every list: AS568 in the order of its numbers, then the metric ones."""
    inch = rows("o_rings_as568", As568Row, "dash")
    metric = rows("o_rings_metric", MetricORingRow, "inside", "section")
    return (*(_from_as568(row) for row in inch), *(_from_metric(row) for row in metric))


@cache
def o_rings_by_size() -> MappingProxyType[tuple[float, float], ORingSize]:
    """Return the rings by inside diameter and section as printed, mm."""
    return MappingProxyType({(ring.inside, ring.section): ring for ring in o_rings()})


@cache
def o_rings_by_number() -> MappingProxyType[str, ORingSize]:
    """Return the rings that have a number: "214" of AS568, "P10A" and "G50" of JIS B 2401."""
    return MappingProxyType({ring.number: ring for ring in o_rings() if ring.number})


@cache
def o_rings_by_inch_size() -> MappingProxyType[tuple[float, float], ORingSize]:
    """Return AS568 rings by inside diameter and section in inches, actual and nominal."""
    found: dict[tuple[float, float], ORingSize] = {}
    for row in rows("o_rings_as568", As568Row, "dash"):
        ring = o_rings_by_number()[row.dash]
        found[row.inside_inches, row.section_inches] = ring
        if ring.nominal_inches:
            nominal = _NOMINAL_SECTIONS[ring.section]
            found.setdefault((_nominal_inside(row, nominal[1]), _fraction(nominal[0])), ring)
    return MappingProxyType(found)


@cache
def _tolerances() -> MappingProxyType[float, float]:
    return MappingProxyType({ring.section: ring.section_tolerance for ring in o_rings()[::-1]})


def millimetres(inches: float) -> float:
    """Return inches as the millimetres that are printed beside them: two places, halves up.

    >>> millimetres(0.984), millimetres(6.725)
    (24.99, 170.82)
    """
    exact = Decimal(str(inches)) * Decimal("25.4")
    return float(exact.quantize(Decimal("0.01"), ROUND_HALF_UP))


def _from_as568(row: As568Row) -> ORingSize:
    section = millimetres(row.section_inches)
    nominal = _NOMINAL_SECTIONS.get(section)
    return ORingSize(
        name=f"{AS568}-{row.dash}",
        standard=AS568,
        number=row.dash,
        inside=millimetres(row.inside_inches),
        section=section,
        inside_tolerance=millimetres(row.inside_tolerance_inches),
        section_tolerance=millimetres(row.section_tolerance_inches),
        nominal_inches=""
        if nominal is None or row.dash in _WITHOUT_NOMINAL
        else f"{_as_fraction(_nominal_inside(row, nominal[1]))} x {nominal[0]}",
        # Boss rings go into one kind of fitting only; the rest serves everywhere.
        commonness=0.3 if row.dash > "899" else 1.0,
        source=row.source,
        edition=row.edition,
        basis=row.basis,
    )


def _from_metric(row: MetricORingRow) -> ORingSize:
    size = f"O-ring {_short(row.inside)}x{_short(row.section)}"
    return ORingSize(
        name=f"{row.standard} {row.number}" if row.number else size,
        standard=row.standard,
        number=row.number,
        inside=row.inside,
        section=row.section,
        inside_tolerance=row.inside_tolerance,
        section_tolerance=row.section_tolerance,
        nominal_inches="",
        commonness=row.commonness,
        source=row.source,
        edition=row.edition,
        basis=row.basis,
    )


def _nominal_inside(row: As568Row, under: float) -> float:
    """Return the size in inches that the ring is called by; large rings go by halves."""
    parts = 2 if row.inside_inches > _HALVES_FROM else 64
    return round((row.inside_inches + under) * parts - 0.1) / parts


def _fraction(text: str) -> float:
    upper, lower = text.split("/")
    return int(upper) / int(lower)


def _as_fraction(value: float) -> str:
    whole, part = divmod(round(value * 64), 64)
    lower = 64
    while part and part % 2 == 0:
        part, lower = part // 2, lower // 2
    return " ".join(word for word in (str(whole or ""), f"{part}/{lower}" if part else "") if word)


def _short(value: float) -> str:
    return f"{value:g}"


def _as568_rows() -> Sequence[As568Row]:
    return rows("o_rings_as568", As568Row, "dash")


def _metric_rows() -> Sequence[MetricORingRow]:
    return rows("o_rings_metric", MetricORingRow, "inside", "section")


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="o_rings_as568",
        title="O-rings by dash number, 001 to 475, and 900 for tube fitting bosses",
        load=_as568_rows,
        note="Numbers up to 475 agree in two origins; the 900 numbers are from memory.",
    ),
    TableInfo(
        name="o_rings_metric",
        title="O-rings in millimetres: ISO 3601-1 and JIS B 2401 to 400 mm, and trade sizes",
        load=_metric_rows,
        note="Sizes from memory but for six of JIS B 2401. Tolerances by the formula of class B of"
        " ISO 3601-1, which is wider than the own tolerances of JIS B 2401 (P20: 0.26 for 0.22)."
        " Whole millimetre sizes are common practice and no standard's list.",
    ),
)
