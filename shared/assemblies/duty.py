"""Whether the duty of a rolling bearing, as it is told, can be worked with."""

from shared.assemblies.model import BearingDuty
from shared.quantities.positive import check_positive


def check_duty(duty: BearingDuty) -> None:
    """Refuse a rating or a load that is no force, a speed that is none, and what is not above 0.

    Raises InvalidInput, UnknownUnit or WrongDimension with a pointer into the duty.
    """
    check_positive(duty.dynamic_rating, "force", "/dynamic_rating")
    check_positive(duty.equivalent_load, "force", "/equivalent_load")
    check_positive(duty.speed, "rotational-speed", "/speed")
