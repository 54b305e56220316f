"""What temperature makes of a clearance.

Sizes hold at 20 °C (ISO 1, from memory). A diameter d grows by d alpha (T - 20 °C), so that the
clearance changes by d (alpha_hole (T_hole - 20) - alpha_shaft (T_shaft - 20)): closed form, for
parts that expand freely and evenly.
"""

from dataclasses import dataclass

from shared.errors import OutOfRange
from shared.standards.thermal_expansion import expansion_of, widest_expansion

REFERENCE_C = 20.0
COLDEST_C, HOTTEST_C = -40.0, 150.0
"""Outside these the ranges of the table do not hold: steel at 300 °C has 13 for its 12.6."""


@dataclass(frozen=True, slots=True)
class Expansion:
    """Coefficient of linear expansion of a part, 10^-6/K, least and most; what it is taken as."""

    least: float
    most: float
    taken_as: str


def expansion(material: str | None, pointer: str) -> Expansion:
    """Return the range of a material by its word; None: the widest of all metals, and said so.

    Raises InvalidInput at ``pointer`` for a word that is not in the table.
    """
    if material is None:
        least, most = widest_expansion()
        return Expansion(least, most, "a metal that nobody named: the widest range")
    row = expansion_of(material, pointer)
    return Expansion(row.least, row.most, row.material)


def clearance_change(
    diameter: float,
    hole_coefficient: float,
    hole_celsius: float,
    shaft_coefficient: float,
    shaft_celsius: float,
) -> float:
    """Change of a clearance from that at 20 °C; ``diameter`` mm, coefficients 10^-6/K. mm.

    Raises OutOfRange for temperatures beyond -40 to 150 °C.

    >>> round(clearance_change(100, 23, 80, 11.5, 80), 3)  # aluminium around steel, 60 K warmer
    0.069
    """
    for name, celsius in (("hole_temperature", hole_celsius), ("shaft_temperature", shaft_celsius)):
        if not COLDEST_C <= celsius <= HOTTEST_C:
            raise OutOfRange(name, f"{celsius:g} °C", f"{COLDEST_C:g} to {HOTTEST_C:g} °C")
    grows = hole_coefficient * (hole_celsius - REFERENCE_C)
    shaft_grows = shaft_coefficient * (shaft_celsius - REFERENCE_C)
    return diameter * (grows - shaft_grows) * 1e-6


def least_and_most_change(
    diameter: float,
    hole: Expansion,
    hole_celsius: float,
    shaft: Expansion,
    shaft_celsius: float,
) -> tuple[float, float]:
    """Least and most change of the clearance over both ranges of coefficients, mm."""
    changes = [
        clearance_change(diameter, of_hole, hole_celsius, of_shaft, shaft_celsius)
        for of_hole in (hole.least, hole.most)
        for of_shaft in (shaft.least, shaft.most)
    ]
    return min(changes), max(changes)
