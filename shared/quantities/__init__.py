"""Quantities: units from a closed list, and a grammar for what people write."""

from shared.quantities.grammar import read_text
from shared.quantities.model import Quantity
from shared.quantities.reading import Reading, StatedTwin, TwinBound, TwinStatus
from shared.quantities.units import (
    CANONICAL_UNITS,
    UNIT_CODES,
    canonical,
    canonical_unit,
    canonical_without_doubt,
    check_number,
    check_quantity,
    convert,
    kind_of,
    same_dimension,
    standard_uncertainty,
)

__all__ = [
    "CANONICAL_UNITS",
    "UNIT_CODES",
    "Quantity",
    "Reading",
    "StatedTwin",
    "TwinBound",
    "TwinStatus",
    "canonical",
    "canonical_unit",
    "canonical_without_doubt",
    "check_number",
    "check_quantity",
    "convert",
    "kind_of",
    "read_text",
    "same_dimension",
    "standard_uncertainty",
]
