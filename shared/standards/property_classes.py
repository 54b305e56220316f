"""Property classes of screws: what a mark on the head promises, by size.

Stresses in MPa, diameters in mm, hardness as the standard states it. ISO 898-1 (steel, metric
threads, M1.6 to M39), ISO 3506-1 (stainless, metric threads), SAE J429 (steel, inch threads, 1/4 to
1 1/2 in). Whatever lies outside a standard's sizes has no strength here: ``why_no_strength``
says why. The SAE rows are kept in ksi as printed and turned exactly, never rounded up.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Basis, Sourced, rows

MPA_PER_KSI: Final = 6.894757293168361
_TO_MPA: Final = MappingProxyType({"MPa": 1.0, "ksi": MPA_PER_KSI})
_SAME_SIZE: Final = 0.005
"""Sizes nearer than this are one: 1/4 in is 6.35 mm, however it was turned into millimetres."""

_LONGEST_GRADE_2: Final = 152.4
"""SAE J429 (from memory): a screw of grade 2 longer than 6 in has the figures of grade 1."""
_LONG_GRADE_2: Final = "Longer than 6 in, so grade 2 has the figures of grade 1."


class ClassFamily(StrEnum):
    """The standard that a property class belongs to."""

    STEEL = "ISO 898-1"
    STAINLESS = "ISO 3506-1"
    SAE = "SAE J429"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRow(Sourced):
    """One row of the table: a class over a band of sizes (``over`` excluded, ``most`` included)."""

    name: str
    family: ClassFamily
    over: float
    most: float
    unit: str
    proof: float | None
    yield_least: float
    tensile_least: float
    tensile_nominal: float
    yield_kind: str
    hv_least: float | None
    hv_most: float | None
    rockwell: str
    rockwell_least: float | None
    rockwell_most: float | None
    note: str


@dataclass(frozen=True, slots=True)
class ClassStrength:
    """What a class promises at one size. Stresses in MPa.

    ``proof`` is the stress under proof load; None where the standard states none (stainless):
    there ``yield_least`` (0.2 % on the full screw) is the only limit before lasting stretch.
    ``hv_least`` and ``hv_most`` are Vickers limits, ``rockwell_least`` and ``rockwell_most`` those
    on the scale ``rockwell`` ("HRB", "HRC"); None or "" where the standard states none.
    """

    name: str
    family: ClassFamily
    proof: float | None
    yield_least: float
    yield_kind: str
    tensile_least: float
    tensile_nominal: float
    hv_least: float | None
    hv_most: float | None
    rockwell: str
    rockwell_least: float | None
    rockwell_most: float | None
    note: str
    standard: str
    edition: str
    basis: Basis

    @property
    def is_stainless(self) -> bool:
        """Whether it is a stainless steel of ISO 3506-1."""
        return self.family is ClassFamily.STAINLESS


def class_rows() -> tuple[ClassRow, ...]:
    """Return the rows of the table as they stand, stresses in the unit printed."""
    return rows("property_classes", ClassRow, "name", "over")


@cache
def class_names() -> tuple[str, ...]:
    """Return the canonical names of all classes, in the order of the table.

    >>> class_names()[:3], "A2-70" in class_names(), "SAE 5" in class_names()
    (('4.6', '4.8', '5.6'), True, True)
    """
    return tuple(dict.fromkeys(row.name for row in class_rows()))


def lowest_class(*, is_metric: bool) -> str:
    """Return the class that a screw without a mark counts as: nothing better can be relied on.

    Common practice, no source.

    >>> lowest_class(is_metric=True), lowest_class(is_metric=False)
    ('4.6', 'SAE 1')
    """
    return "4.6" if is_metric else "SAE 1"


def family_of(property_class: str) -> ClassFamily | None:
    """Return the standard of a class; None for a name that is no screw's class here."""
    return next((row.family for row in class_rows() if row.name == property_class), None)


def strength_of(
    property_class: str,
    major: float,
    *,
    is_metric: bool | None = None,
    length: float | None = None,
) -> ClassStrength | None:
    """Return what a class promises for a screw of major diameter ``major`` and ``length`` (mm).

    None where the standard has no such size, the name is no screw's class, or ``is_metric`` is
    given and the standard is for the other kind of thread. Class 8.8 is weaker up to 16 mm,
    and a screw of SAE grade 2 longer than 6 in has the figures of grade 1.
    Sources: ISO 898-1:2013, ISO 3506-1:2009, SAE J429:2014, as each row says.

    >>> strength_of("8.8", 8).proof, strength_of("8.8", 20).proof, strength_of("A2-70", 8).proof
    (580.0, 600.0, None)
    """
    if property_class == "SAE 2" and length is not None and length > _LONGEST_GRADE_2:
        lowest = strength_of("SAE 1", major, is_metric=is_metric)
        return lowest and replace(lowest, name=property_class, note=_LONG_GRADE_2)
    for row in class_rows():
        if row.name != property_class or not row.over < major - _SAME_SIZE <= row.most:
            continue
        if is_metric is not None and is_metric is (row.family is ClassFamily.SAE):
            return None
        return _strength(row)
    return None


def why_no_strength(
    property_class: str, major: float, *, is_metric: bool | None = None
) -> str | None:
    """Say in a sentence why ``strength_of`` gives None; None where it gives a strength.

    >>> why_no_strength("8.8", 42)
    'The tables have class 8.8 of ISO 898-1 up to 39 mm; 42 mm is larger.'
    """
    if strength_of(property_class, major, is_metric=is_metric) is not None:
        return None
    found = [row for row in class_rows() if row.name == property_class]
    if not found:
        return f"{property_class} is no screw's property class in the tables of the house."
    family = found[0].family
    if is_metric is not None and is_metric is (family is ClassFamily.SAE):
        kind = "inch" if family is ClassFamily.SAE else "metric"
        return f"{family} is for {kind} threads: class {property_class} says nothing of this one."
    most = max(row.most for row in found)
    if major > most:
        return (
            f"The tables have class {property_class} of {family} up to {most:g} mm;"
            f" {major:g} mm is larger."
        )
    least = "1/4 in" if family is ClassFamily.SAE else "M1.6"
    return f"{family} begins at {least}; {major:g} mm is smaller."


@cache
def _strength(row: ClassRow) -> ClassStrength:
    factor = _TO_MPA[row.unit]
    return ClassStrength(
        name=row.name,
        family=row.family,
        proof=None if row.proof is None else row.proof * factor,
        yield_least=row.yield_least * factor,
        yield_kind=row.yield_kind,
        tensile_least=row.tensile_least * factor,
        tensile_nominal=row.tensile_nominal * factor,
        hv_least=row.hv_least,
        hv_most=row.hv_most,
        rockwell=row.rockwell,
        rockwell_least=row.rockwell_least,
        rockwell_most=row.rockwell_most,
        note=row.note,
        standard=row.family.value,
        edition=row.edition,
        basis=row.basis,
    )


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="property_classes",
        title="Property classes of screws: proof, yield, tensile strength, hardness by size",
        load=class_rows,
        note="ISO 898-1 ends at M39, SAE J429 begins at 1/4 in and ends at 1 1/2 in. That 4.8 ends"
        " at M16, 5.8 at M24 and the stainless 70 and 80 at M24 (older sheets: M20) is from memory."
        " Structural bolting has the higher figures of 8.8 from M12. Rows marked memory want a"
        " look at the printed standard.",
    ),
)
