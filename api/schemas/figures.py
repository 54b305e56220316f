"""Computed figures on their way out: nine significant digits, at most twelve places.

Confidences have six, and are rounded down.
"""

from decimal import ROUND_DOWN, Decimal

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


def rounded_down(value: float) -> Decimal:
    """Return a chance with six significant digits, never above what was computed.

    What a float adds in its last digits is no part of it.

    >>> rounded_down(0.7999999), rounded_down(0.98 * 0.95), rounded_down(1.0)
    (Decimal('0.799999'), Decimal('0.931000'), Decimal('1.00000'))
    """
    figure = Decimal(f"{value:.11e}")
    place = Decimal(1).scaleb(figure.adjusted() - 5)
    return figure.quantize(max(place, _SMALLEST_PLACE), rounding=ROUND_DOWN)
