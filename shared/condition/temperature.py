"""Sizes of parts that were measured warm or cold, where that is worth a word."""

from typing import Final

from shared.condition.model import Finding
from shared.quantities.units import canonical
from shared.standards.thermal_expansion import widest_expansion

REFERENCE_TEMPERATURE_C: Final = 20.0
"""Temperature for which sizes are given. Source: ISO 1 (from memory)."""

TEMPERATURE_LEEWAY_K: Final = 5.0
"""Beyond this the temperature is worth a word. Common practice, no source."""


def kelvin_away(finding: Finding, kind: str) -> float | None:
    """How far a part measured for length was from 20 °C, in K; None: no temperature, or near."""
    temperature = finding.part_temperature
    if temperature is None or kind != "length":
        return None
    away = canonical(temperature, "temperature") - REFERENCE_TEMPERATURE_C
    return away if abs(away) > TEMPERATURE_LEEWAY_K else None


def change_to_reference(finding: Finding, value: float, kind: str) -> float:
    """By how much a size read in mm changes to 20 °C, of a part that moves as metal can at most.

    The most of any metal in the table thermal_expansion: nobody says of which the part is. 0 where
    the temperature is near 20 °C or not known.
    """
    away = kelvin_away(finding, kind)
    return 0.0 if away is None else -value * widest_expansion()[1] * 1e-6 * away
