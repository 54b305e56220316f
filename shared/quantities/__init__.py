"""Quantities: units from a closed list, and a grammar for what people write."""

from shared.quantities.model import Quantity

__all__ = ["Quantity"]
