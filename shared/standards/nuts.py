"""Nuts: proof stress by class and size, and which nut goes with which screw. Stresses in MPa.

ISO 898-2 (steel, metric), the older DIN 267-4 (nuts of 0.8 d height, lower loads under the same
number, marked between two strokes), ISO 3506-2 (stainless), SAE J995 (steel, inch). A nut of a
fine thread is taken at the proof stress of the coarse one, which is the lower: on the safe side.
"""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.property_classes import MPA_PER_KSI, ClassFamily, family_of
from shared.standards.reader import Basis, Sourced, rows

_TO_MPA: Final = MappingProxyType({"MPa": 1.0, "ksi": MPA_PER_KSI})
_SAME_SIZE: Final = 0.005


class NutFamily(StrEnum):
    """The standard that a nut's class belongs to."""

    STEEL = "ISO 898-2"
    OLDER = "DIN 267-4"
    STAINLESS = "ISO 3506-2"
    SAE = "SAE J995"


class NutStyle(StrEnum):
    """How high a nut is."""

    THIN = "thin"
    """About half the diameter: carries part of what the screw does, whatever is marked."""
    REGULAR = "regular"
    """ISO style 1, about 0.9 times the diameter."""
    HIGH = "high"
    """ISO style 2, about the diameter."""


class NutPitches(StrEnum):
    """Which pitches a row holds for."""

    ANY = "any"
    COARSE = "coarse"
    FINE = "fine"


@dataclass(frozen=True, slots=True, kw_only=True)
class NutRow(Sourced):
    """One row of the table: a class over a band of sizes (``over`` excluded, ``most`` included)."""

    name: str
    family: NutFamily
    style: NutStyle
    pitches: NutPitches
    over: float
    most: float
    unit: str
    proof: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NutPairing(Sourced):
    """A nut class and a screw's class that it carries to the screw's own breaking."""

    nut: str
    screw: str
    standard: str


@dataclass(frozen=True, slots=True)
class NutProof:
    """What a nut must carry: ``stress`` (MPa) on the screw's stress area, ``load`` in N."""

    name: str
    family: NutFamily
    style: NutStyle
    stress: float
    load: float
    note: str
    edition: str
    basis: Basis


def nut_rows() -> tuple[NutRow, ...]:
    """Return the rows of the table as they stand, stresses in the unit printed."""
    return rows("nuts", NutRow, "name", "family", "style", "pitches", "over")


def nut_pairings() -> tuple[NutPairing, ...]:
    """Return which nut carries which screw, row by row."""
    return rows("nut_pairings", NutPairing, "nut", "screw")


def nut_class_names() -> tuple[str, ...]:
    """Return the canonical names of all nut classes, in the order of the table.

    >>> nut_class_names()[:4]
    ('04', '05', '5', '6')
    """
    return tuple(dict.fromkeys(row.name for row in nut_rows()))


def nut_proof_load(
    nut_class: str,
    major: float,
    stress_area: float,
    *,
    style: NutStyle | None = None,
    is_older: bool = False,
    is_fine: bool = False,
) -> NutProof | None:
    """Return the proof load (N) of a nut: proof stress (MPa) times ``stress_area`` (mm2).

    ``major`` in mm. ``style`` None: the regular height where the class has one, else its own;
    ``is_older``: the mark stands between two strokes, or the nut is of 0.8 d height. None where no
    table has the class at this size. Sources: ISO 898-2:2012, DIN 267-4:1983, ISO 3506-2:2009,
    SAE J995:2012, as each row says.

    >>> nut_proof_load("8", 8, 36.6).load, nut_proof_load("8", 8, 36.6, is_older=True).load
    (31842.0, 29280.0)
    """
    pitch = NutPitches.FINE if is_fine else NutPitches.COARSE
    found = [
        row
        for row in nut_rows()
        if row.name == nut_class
        and row.over < major - _SAME_SIZE <= row.most
        and (row.family is NutFamily.OLDER) is is_older
        and row.pitches in {NutPitches.ANY, pitch}
        and style in {None, row.style}
    ]
    if not found:
        return None
    row = min(found, key=lambda row: row.style is not NutStyle.REGULAR)
    stress = row.proof * _TO_MPA[row.unit]
    load = stress * stress_area
    return NutProof(row.name, row.family, row.style, stress, load, row.note, row.edition, row.basis)


def nut_classes_for(screw_class: str) -> tuple[str, ...]:
    """Return the nut classes that carry a screw's class to its breaking, the least first.

    A nut of the same steel and class or a higher one goes with a stainless screw. Thin nuts never.
    Sources: ISO 898-2:2012 table 2, SAE J995:2012; stainless: ISO 3506-2:2009 (from memory).

    >>> nut_classes_for("8.8"), nut_classes_for("A2-70"), nut_classes_for("SAE 5")
    (('8', '9', '10', '12'), ('A2-70', 'A2-80'), ('SAE 5', 'SAE 8'))
    """
    if family_of(screw_class) is ClassFamily.STAINLESS:
        steel, _, strength = screw_class.partition("-")
        own = [row for row in nut_rows() if row.name.startswith(f"{steel}-")]
        regular = [row.name for row in own if row.style is NutStyle.REGULAR]
        return tuple(name for name in regular if int(name.partition("-")[2]) >= int(strength))
    return tuple(row.nut for row in nut_pairings() if row.screw == screw_class)


def nut_carries(nut_class: str, screw_class: str) -> bool:
    """Tell whether a regular nut of a class carries a screw of a class until the screw breaks.

    >>> nut_carries("8", "8.8"), nut_carries("8", "10.9"), nut_carries("05", "8.8")
    (True, False, False)
    """
    return nut_class in nut_classes_for(screw_class)


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="nuts",
        title="Nuts: proof stress by class, height and size; the older lower loads told apart",
        load=nut_rows,
        note="Rows marked memory (thin nuts, class 9, sizes to M4, most of DIN 267-4 and"
        " of the stainless ones) want a look at the printed standard. Proof stresses of"
        " fine-thread nuts are higher; the house uses the coarse ones.",
    ),
    TableInfo(
        name="nut_pairings",
        title="Which nut class carries which screw",
        load=nut_pairings,
    ),
)
