"""Computed figures on their way out: nine significant digits, at most twelve places."""

from decimal import Decimal

from api.schemas.base import QuantityOut

_SMALLEST_PLACE = Decimal("1E-12")


def computed(value: float) -> Decimal:
    """Return a computed number as a decimal of nine significant digits and at most 12 places.

    >>> computed(0.95), computed(545.64136077), computed(1.2345678e-9)
    (Decimal('0.950000000'), Decimal('545.641361'), Decimal('1.235E-9'))
    """
    figure = Decimal(f"{value:.8e}")
    exponent = figure.as_tuple().exponent
    is_longer = isinstance(exponent, int) and exponent < -12
    return figure.quantize(_SMALLEST_PLACE) if is_longer else figure


def computed_quantity(value: float, unit: str) -> QuantityOut:
    """Return a computed value with its unit, ready to go out."""
    return QuantityOut(value=computed(value), unit=unit)


def computed_or_null(value: float | None) -> Decimal | None:
    """Return ``computed(value)``, None for none."""
    return None if value is None else computed(value)


def quantity_or_null(value: float | None, unit: str) -> QuantityOut | None:
    """Return ``computed_quantity(value, unit)``, None for none."""
    return None if value is None else computed_quantity(value, unit)
