"""Quantities that are stated of a thing: of the right kind, and more than nothing."""

from shared.errors import InvalidInput
from shared.quantities.model import Quantity
from shared.quantities.units import check_quantity


def check_positive(quantity: Quantity | None, kind: str, pointer: str) -> None:
    """Check that a quantity, where there is one, is of this kind and more than zero.

    Raises UnknownUnit, WrongDimension, InvalidInput ("out-of-range").
    """
    if quantity is None:
        return
    check_quantity(quantity, kind, pointer)
    if quantity.value <= 0:
        raise InvalidInput(
            f"{pointer}/value",
            f"Got {quantity.value:f} {quantity.unit}; wanted more than 0.",
            "Give more than 0.",
            "out-of-range",
        )
