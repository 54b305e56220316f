"""Lengths as exact numbers of millimetres; a shim of 0.002 in is 0.0508 mm and nothing else."""

from decimal import Decimal
from fractions import Fraction
from functools import cache

from shared.errors import InvalidInput
from shared.quantities import Quantity, canonical_without_doubt, check_quantity, convert
from shared.quantities.units import as_decimal, standard_uncertainty

THICKEST_MM = 50
"""No shim is thicker: what is, is a slip of the unit. Common practice, no source."""

_COVERAGE = 2


@cache
def _mm_in(unit: str) -> Fraction:
    return Fraction(convert(Decimal(1), unit, "mm"))


def exact_mm(length: Quantity, pointer: str) -> Fraction:
    """Return a length in mm, exactly; its doubt is left aside.

    Raises as ``check_quantity`` does, at ``pointer``.
    """
    check_quantity(length, "length", pointer)
    return Fraction(length.value) * _mm_in(length.unit)


def plain_mm(length: Quantity, pointer: str) -> Fraction:
    """Return a length in mm that is what it says; raises InvalidInput where it states a doubt."""
    canonical_without_doubt(
        length,
        "length",
        pointer,
        detail="It states an uncertainty; it is what it says.",
        fix="Leave it out; the doubt belongs to what was measured.",
    )
    return exact_mm(length, pointer)


def above_zero_mm(length: Quantity, pointer: str) -> Fraction:
    """Return a thickness in mm; raises InvalidInput unless above 0 and at most ``THICKEST_MM``."""
    size = exact_mm(length, pointer)
    if not 0 < size <= THICKEST_MM:
        raise InvalidInput(
            f"{pointer}/value",
            f"It is {length.value:f} {length.unit}; wanted more than 0 and at most"
            f" {THICKEST_MM} mm.",
            "Give the thickness of one shim; mend its value or its unit.",
            "out-of-range",
        )
    return size


def doubt_mm(length: Quantity) -> float | None:
    """Return the standard uncertainty stated with a length, mm; None: none is."""
    return standard_uncertainty(length, "length")


def half_width_mm(length: Quantity) -> Fraction | None:
    """Return how far off a length may be, mm: plus_minus, U, or 2 u (k = 2); None: not stated."""
    if length.plus_minus is not None:
        stated = Fraction(length.plus_minus)
    elif length.expanded_uncertainty is not None:
        stated = Fraction(length.expanded_uncertainty)
    elif length.standard_uncertainty is not None:
        stated = _COVERAGE * Fraction(length.standard_uncertainty)
    else:
        return None
    return stated * _mm_in(length.unit)


def in_unit(size: Fraction, unit: str) -> Quantity:
    """Return a number of mm as a quantity in a unit of length: exact with up to 28 digits.

    >>> in_unit(Fraction(381, 5000), "in")
    Quantity(value=Decimal('0.003'), unit='in', standard_uncertainty=None, \
expanded_uncertainty=None, coverage_factor=None, plus_minus=None)
    """
    return Quantity(as_decimal(size / _mm_in(unit)), unit)


def told(size: Fraction | float, unit: str = "mm") -> str:
    """Return a number of mm in words: at most six places, no zeros at the end.

    >>> told(Fraction(23, 10)), told(Fraction(381, 5000), "in")
    ('2.3 mm', '0.003 in')
    """
    exact = size if isinstance(size, Fraction) else Fraction(size)
    text = f"{float(exact / _mm_in(unit)):.6f}".rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} {unit}"
