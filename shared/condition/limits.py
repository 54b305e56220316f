"""Limits of a characteristic as recorded and in one unit, and where a size lies by them."""

from dataclasses import dataclass

from shared.assemblies.model import Characteristic, ServiceLimitKind
from shared.condition.conformity import is_within
from shared.condition.model import Zone
from shared.quantities import Quantity
from shared.quantities.units import canonical, kind_of

ZONES_WORST_LAST = (Zone.WITHIN_NEW, Zone.WITHIN_SERVICE, Zone.BEYOND, Zone.NO_LIMIT)
"""Where several sizes lie is told by the worst of them."""


@dataclass(frozen=True, slots=True)
class LimitPair:
    """Limits as recorded, and in the canonical unit of their kind; either end may be missing."""

    lower_text: Quantity | None
    upper_text: Quantity | None
    lower: float | None
    upper: float | None
    when: str

    @property
    def is_given(self) -> bool:
        """Whether there is any limit at all."""
        return self.lower is not None or self.upper is not None

    def holds(self, value: float) -> bool:
        """Whether a value lies within, doubt left aside."""
        return self.is_given and is_within(value, self.lower, self.upper)

    def __str__(self) -> str:
        if self.lower_text is None:
            return f"at most {as_entered(self.upper_text)} {self.when}"
        if self.upper_text is None:
            return f"at least {as_entered(self.lower_text)} {self.when}"
        return f"{as_entered(self.lower_text)} to {as_entered(self.upper_text)} {self.when}"


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits when new, those in service, and which of the two are judged by."""

    new: LimitPair
    service: LimitPair
    judged: LimitPair

    def zone(self, value: float) -> Zone:
        """Where a size lies, doubt left aside.

        A size that the limits it is judged by do not hold is never within new, as where those when
        new reach further than those in service.
        """
        if not self.new.is_given and not self.service.is_given:
            return Zone.NO_LIMIT
        if self.new.holds(value) and self.judged.holds(value):
            return Zone.WITHIN_NEW
        return Zone.WITHIN_SERVICE if self.service.holds(value) else Zone.BEYOND


def as_entered(quantity: Quantity | None) -> str:
    """Return a quantity as it was written, without its doubt."""
    return "" if quantity is None else f"{quantity.value:f} {quantity.unit}"


def kind_of_characteristic(characteristic: Characteristic, reading: Quantity | None) -> str:
    """Return the kind of quantity: by the limits where there are any, they say what it is.

    Else by the unit it is measured in, else by a reading (one must be there).
    """
    limits = (
        characteristic.service_lower,
        characteristic.service_upper,
        characteristic.new_lower,
        characteristic.new_upper,
    )
    unit = next((limit.unit for limit in limits if limit is not None), characteristic.unit)
    if unit is None:
        assert reading is not None
        unit = reading.unit
    return kind_of(unit)


def limits_of(characteristic: Characteristic, kind: str, *, is_kept: bool) -> Limits:
    """Return the limits of a characteristic in the canonical unit of ``kind``.

    A part that is kept is judged by the service limits, by those when new where there are no
    others; a new or reworked part by those when new alone. Raises WrongDimension for a limit of
    another kind.
    """

    def pair(lower: Quantity | None, upper: Quantity | None, when: str) -> LimitPair:
        return LimitPair(
            lower,
            upper,
            None if lower is None else canonical(lower, kind),
            None if upper is None else canonical(upper, kind),
            when,
        )

    is_discard = characteristic.service_limit_is is ServiceLimitKind.DISCARD
    in_service = "in service (beyond it the part is discarded)" if is_discard else "in service"
    new = pair(characteristic.new_lower, characteristic.new_upper, "when new")
    service = pair(characteristic.service_lower, characteristic.service_upper, in_service)
    return Limits(new, service, service if is_kept and service.is_given else new)
