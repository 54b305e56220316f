"""What a tapped hole or the seat of a head may be made of, and how strong that is. MPa.

The low end is what counts: a casting is weaker than its test bar, and nobody knows the part's own.
All rows are from memory of the standards they name.
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Final

from shared.errors import InvalidInput
from shared.standards.catalogue_model import TableInfo
from shared.standards.plain_words import plain_words
from shared.standards.reader import Sourced, rows

_LONGEST: Final = 60


class MaterialKind(StrEnum):
    """What sort it is; ``STEEL`` is unalloyed or low-alloy, ``COPPER`` any brass or bronze."""

    CAST_IRON = "cast-iron"
    STEEL = "steel"
    STAINLESS = "stainless"
    ALUMINIUM = "aluminium"
    MAGNESIUM = "magnesium"
    COPPER = "copper"
    ZINC = "zinc"
    PLASTIC = "plastic"


class Toughness(StrEnum):
    """How it gives way when bent: after it has bent, or all at once."""

    TOUGH = "tough"
    BRITTLE = "brittle"


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleMaterial(Sourced):
    """One material.

    ``tensile_least`` is the strength to count on, ``tensile_typical`` what a sound piece has;
    ``shear_ratio`` shear over tensile strength; ``seat_pressure`` what the surface under a head
    bears without sinking in: VDI 2230-1 limits since 2003, from memory, rounded down (its edition
    of 1986 has 260 for S235 and 210 for austenitic stainless, which later tests raised).
    ``elastic_modulus``, MPa, and ``poisson_ratio`` are from memory of the handbooks; of grey iron
    the high end, so that a press fit never comes out looser than it is.
    """

    material: str
    title: str
    also_written: str
    tensile_least: float
    tensile_typical: float
    shear_ratio: float
    seat_pressure: float
    kind: MaterialKind
    elastic_modulus: float
    poisson_ratio: float
    toughness: Toughness
    note: str

    @property
    def shear_least(self) -> float:
        """Shear strength to count on, MPa."""
        return self.tensile_least * self.shear_ratio

    @property
    def is_brittle(self) -> bool:
        """Whether it breaks without bending first: cast iron of any kind, and every casting."""
        return self.toughness is Toughness.BRITTLE

    @property
    def is_steel(self) -> bool:
        """Whether it is unalloyed or low-alloy steel: what the conversion of hardness is for."""
        return self.kind is MaterialKind.STEEL


def hole_materials() -> tuple[HoleMaterial, ...]:
    """Return every material, in the order of the table."""
    return rows("hole_materials", HoleMaterial, "material")


def hole_material_of(words: str, pointer: str = "/hole_material") -> HoleMaterial:
    """Return the material that ``words`` name; raises InvalidInput naming all that are known.

    A general name is the weakest usual one of its kind, "cast aluminium" the commonest: its note
    names the weaker.

    >>> hole_material_of("cast aluminium").material
    'EN AC-46000'
    >>> [hole_material_of(name).material for name in ("carbon steel", "4140", "wrought aluminium")]
    ['S235', '42CrMo4+A', 'EN AW-6060-T5']
    """
    row = _by_name().get(plain_words(words)) if len(words) <= _LONGEST else None
    if row is None:
        known = "; ".join(f"{one.material} ({one.title})" for one in hole_materials())
        raise InvalidInput(
            pointer, "This material is not in the table.", f"Give one of: {known}.", "material"
        )
    return row


@cache
def _by_name() -> dict[str, HoleMaterial]:
    return {
        plain_words(name): row
        for row in hole_materials()
        for name in (row.material, row.title, *row.also_written.split(";"))
    }


TABLES: Final = (
    TableInfo(
        "hole_materials",
        "Strength of the materials that threads are tapped in and heads sit on",
        hole_materials,
        "From memory throughout. Shear is taken as 0.6 of tensile for all, which is low for cast"
        " iron. Ductile cast iron counts as brittle: a bar of it is not to be trusted.",
    ),
)
"""The tables of this module."""
