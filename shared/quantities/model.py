"""A quantity as it was entered: a decimal value, a unit code, at most one statement of doubt."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Quantity:
    """Value and unit code as entered; at most one of the three ways of the GUM to state doubt.

    ``standard_uncertainty`` u; ``expanded_uncertainty`` U = k u with ``coverage_factor`` k
    (default 2); ``plus_minus`` a, half-width of a rectangular distribution, u = a / sqrt(3).
    All in ``unit``. Source: JCGM 100:2008 (GUM) 4.3 and 6.2.
    """

    value: Decimal
    unit: str
    standard_uncertainty: Decimal | None = None
    expanded_uncertainty: Decimal | None = None
    coverage_factor: Decimal | None = None
    plus_minus: Decimal | None = None
