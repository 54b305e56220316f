"""What tools that are no screws may bear: bars, plates, tubes, pins. mm, mm2, N, MPa.

Nobody knows the stock's own strength: the least of its material counts, divided by safety factors
that are common practice, no source.
"""

from math import isfinite, pi, sqrt
from typing import Final

from shared.errors import OutOfRange
from shared.fasteners.substitutes.model import Check, Piece
from shared.standards.hole_materials import HoleMaterial, MaterialKind

STEEL_MODULUS: Final = 205_000.0
"""Elastic modulus of steel, MPa, a little low: a column then comes out weaker. From memory."""

ENDS: Final = 2.0
"""A column with one end free to move sideways counts as twice its length."""
BENDING_SAFETY: Final = 3.0
SHEAR_SAFETY: Final = 5.0
COMPRESSION_SAFETY: Final = 3.0
"""Over tensile strength; all safety factors are common practice, no source."""
BASIS: Final = "least tensile strength over 3, shear over 5: common practice, no source"
COLUMN_BASIS: Final = (
    "Johnson's or Euler's load over 5/3 to 23/12, the more the slimmer (AISC 1989, from memory)"
)

_OVER_YIELD: Final = 2.0


def critical_stress(slenderness: float, yield_stress: float, modulus: float) -> float:
    """Return the mean stress, MPa, at which a straight column gives way.

    Short columns by J. B. Johnson's parabola, long ones by Euler; they meet at half of yield.
    ``slenderness`` is the length that counts over the radius of gyration. Source: Mechanical
    Engineering Design, columns (from memory).
    """
    squared = slenderness * slenderness
    if squared <= 2 * pi**2 * modulus / yield_stress:
        return yield_stress * (1 - yield_stress * squared / (4 * pi**2 * modulus))
    return pi**2 * modulus / squared


def column_safety(slenderness: float, yield_stress: float, modulus: float) -> float:
    """Return by how much a column has to be too strong: 5/3 for a stub, 23/12 for a long one.

    5/3 + 3/8 r - r^3 / 8, r the slenderness over that at which Johnson's and Euler's meet: the
    slimmer, the more a bend that nobody sees takes away. Source: AISC Specification (allowable
    stress design, 1989), E2, from memory.
    """
    share = min(slenderness / sqrt(2 * pi**2 * modulus / yield_stress), 1.0)
    return 5 / 3 + 3 / 8 * share - share**3 / 8


def column_force(
    area: float,
    gyration: float,
    length: float,
    yield_stress: float,
    modulus: float = STEEL_MODULUS,
) -> float:
    """Return the force, N, that a column of a free ``length`` may bear, ``column_safety`` kept.

    ``area`` in mm2, ``gyration`` the least radius of gyration, mm, ``yield_stress`` and ``modulus``
    in MPa. One end may move sideways: twice the length counts. Holds for a load on the axis.
    Raises OutOfRange for what is no column (a length below 0, the others not above 0).

    >>> round(column_force(20.1, 4.77 / 4, 20, 640))
    6455
    """
    for field, value in (
        ("area", area),
        ("gyration", gyration),
        ("yield_stress", yield_stress),
        ("modulus", modulus),
    ):
        if not (isfinite(value) and value > 0):
            raise OutOfRange(field, value, "more than 0")
    if not (isfinite(length) and length >= 0):
        raise OutOfRange("length", length, "0 or more")
    slenderness = ENDS * length / gyration
    stress = critical_stress(slenderness, yield_stress, modulus)
    return area * stress / column_safety(slenderness, yield_stress, modulus)


def round_gyration(diameter: float, bore: float = 0.0) -> float:
    """Return the radius of gyration, mm, of a round bar or of a tube: sqrt(D^2 + d^2) / 4."""
    return sqrt(diameter * diameter + bore * bore) / 4


def allowed_bending(material: HoleMaterial) -> float:
    """Return the bending stress, MPa, that a bar or pin may bear: a third of tensile strength."""
    return material.tensile_least / BENDING_SAFETY


def allowed_shear(material: HoleMaterial) -> float:
    """Return the mean shear stress, MPa, that a pin may bear: a fifth of tensile strength."""
    return material.tensile_least / SHEAR_SAFETY


def allowed_compression(material: HoleMaterial) -> float:
    """Return the stress, MPa, that a short tube may bear: a third of tensile strength."""
    return material.tensile_least / COMPRESSION_SAFETY


def column_yield(material: HoleMaterial) -> float:
    """Return the yield, MPa, to count a column with: half of the tensile strength."""
    return material.tensile_least / _OVER_YIELD


def tool_material_check(piece: Piece, *, bends: bool) -> Check:
    """Check that a piece is of a material that may bear load as a tool.

    ``bends``: it is bent or sheared (bar, plate, pin), where what is brittle breaks without
    warning. Unknown material fails: the weakest of the table would be no tool.
    """
    name, material = "material", piece.material
    if material is None:
        detail = (
            f"{piece.name}: say what it is made of, in a word of the table such as steel or"
            " 42CrMo4; unknown metal is not trusted with a load."
        )
        return Check(name, False, detail, BASIS, missing="material")
    told = f"{piece.name} of {material.title}"
    if material.kind is MaterialKind.PLASTIC:
        return Check(name, False, f"{told}: plastic creeps and bears no load here.", BASIS)
    if bends and material.is_brittle:
        return Check(name, False, f"{told}: it is brittle and breaks without warning.", BASIS)
    detail = f"{told}, counted with {material.tensile_least:.4g} MPa tensile."
    return Check(name, True, detail, f"{material.source}, {material.edition}, from memory")
