"""Quantities that a record states of a thing."""

from shared.quantities.positive import check_positive as check_measure

__all__ = ["check_measure"]
