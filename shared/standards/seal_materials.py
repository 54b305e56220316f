"""What seals are made of, and what each bears: fluids and temperatures (degrees Celsius).

The ratings are the trade's common ones and tell what to leave alone; a grade is chosen by its
maker's sheet. Names by ISO 1629.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows


class Rating(StrEnum):
    """How a material bears a fluid."""

    SUITABLE = "suitable"
    LIMITED = "limited"
    """Serves within the limits that the reason names."""
    UNKNOWN = "unknown"
    """Not published: ask, do not try."""
    UNSUITABLE = "unsuitable"


@dataclass(frozen=True, slots=True, kw_only=True)
class SealMaterialRow(Sourced):
    """A material. Every usual grade bears ``lower_surely`` to ``upper_surely``; the best ones more.

    ``aliases`` are further names, split by semicolons.
    """

    code: str
    name: str
    aliases: str
    lower_surely: float
    lower_best: float
    upper_surely: float
    upper_best: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SealFluidRow(Sourced):
    """A fluid, its further names split by semicolons, and what to beware of."""

    name: str
    aliases: str
    caution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SealRatingRow(Sourced):
    """How a material bears a fluid, up to what temperature, and why (empty: nothing to say)."""

    material: str
    fluid: str
    rating: Rating
    upper: float | None
    reason: str


def seal_materials() -> tuple[SealMaterialRow, ...]:
    """Return the materials, the commonest first."""
    return rows("seal_materials", SealMaterialRow, "code")


def seal_fluids() -> Sequence[SealFluidRow]:
    """Return the fluids."""
    return rows("seal_fluids", SealFluidRow, "name")


def seal_ratings() -> Sequence[SealRatingRow]:
    """Return how each material bears each fluid."""
    return rows("seal_material_ratings", SealRatingRow, "material", "fluid")


@cache
def materials_by_word() -> MappingProxyType[str, SealMaterialRow]:
    """Return the materials by code and every further name, in small letters."""
    return MappingProxyType(
        {
            word.casefold(): row
            for row in seal_materials()
            for word in (row.code, row.name, *row.aliases.split(";"))
            if word
        }
    )


@cache
def fluids_by_word() -> MappingProxyType[str, SealFluidRow]:
    """Return the fluids by every name, in small letters."""
    return MappingProxyType(
        {
            word.casefold(): row
            for row in seal_fluids()
            for word in (row.name, *row.aliases.split(";"))
            if word
        }
    )


@cache
def ratings_by_fluid() -> MappingProxyType[str, tuple[SealRatingRow, ...]]:
    """Return the ratings of all materials in each fluid, by the fluid's name."""
    return MappingProxyType(
        {
            fluid.name: tuple(row for row in seal_ratings() if row.fluid == fluid.name)
            for fluid in seal_fluids()
        }
    )


TABLES: Final[tuple[TableInfo, ...]] = (
    TableInfo(
        name="seal_materials",
        title="Materials of seals and O-rings with their temperatures",
        load=seal_materials,
        note="Names by ISO 1629 (PTFE by ISO 1043-1); temperatures are common practice.",
    ),
    TableInfo(name="seal_fluids", title="Fluids that seals meet", load=seal_fluids),
    TableInfo(
        name="seal_material_ratings",
        title="How materials of seals bear fluids",
        load=seal_ratings,
        note="Common practice without a source, meant to say what to leave alone: the sheet of the"
        " grade decides.",
    ),
)
