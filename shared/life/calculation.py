"""Life of one part from quantities: chance to reach a horizon, hours to expect."""

from dataclasses import dataclass

from shared.errors import InvalidInput, OutOfRange
from shared.life.weibull import LifeSpec
from shared.quantities import Quantity
from shared.quantities.units import canonical, check_quantity

MOST_HOURS = 1e9
"""More hours than any machine runs: beyond it a figure is a slip."""


@dataclass(frozen=True, slots=True)
class LifeAnswer:
    """What a part of the given age has before it; times in hours."""

    reliability: float
    expected_service_hours: float
    mean_residual_hours: float
    lower_age_hours: float
    upper_age_hours: float
    assumptions: tuple[str, ...]


def further_life(shape: float, scale: Quantity, age: Quantity, horizon: Quantity) -> LifeAnswer:
    """Chance that a part sound at ``age`` lasts ``horizon`` more, and the hours to expect.

    ``horizon`` counts from now. An age with ``plus_minus`` is a range, of which every part counts
    alike. Raises InvalidInput with a pointer to the member: of another dimension, negative, above
    10^9 h, shape outside 0.1 ... 100, a doubt that is not a range.
    """
    scale_hours = hours_without_doubt(scale, "scale")
    horizon_hours = hours_without_doubt(horizon, "horizon")
    lower, upper = _age_range(age)
    spec = LifeSpec(shape, scale_hours, lower, upper)
    return LifeAnswer(
        spec.survival(horizon_hours),
        spec.expected_service_hours(horizon_hours),
        spec.mean_residual_hours(),
        lower,
        upper,
        tuple(_assumptions(shape, lower, upper)),
    )


def hours_without_doubt(quantity: Quantity, member: str) -> float:
    """Hours from 0 to 10^9 of a time that may state no doubt.

    Raises InvalidInput at "/member": of another dimension, a doubt stated, out of range.
    """
    return _hours(quantity, member)


def _assumptions(shape: float, lower: float, upper: float) -> list[str]:
    said = ["The part is sound today; the horizon counts from today."]
    if upper > lower:
        said.append(f"Every age from {lower:g} h to {upper:g} h counts alike.")
    if shape == 1:
        said.append("At shape 1 the age makes no difference.")
    if shape < 1:
        said.append(
            "At a shape below 1 a used part looks better than a new one: true only of parts that"
            " outlived their infant failures."
        )
    return said


def _age_range(age: Quantity) -> tuple[float, float]:
    middle = _hours(age, "age", may_have_range=True)
    if age.plus_minus is None:
        return middle, middle
    half = canonical(Quantity(age.plus_minus, age.unit), "time")
    return max(0.0, middle - half), middle + half


def _hours(quantity: Quantity, member: str, *, may_have_range: bool = False) -> float:
    """Hours, checked; a doubt that is not taken into account is refused, not dropped."""
    check_quantity(quantity, "time", f"/{member}")
    ways = ["standard_uncertainty", "expanded_uncertainty"]
    for way in ways if may_have_range else [*ways, "plus_minus"]:
        if getattr(quantity, way) is not None:
            raise InvalidInput(
                f"/{member}/{way}",
                f"The {member} states {way}, which is not taken into account.",
                "Leave it out; a doubtful age is given with plus_minus.",
                "uncertainty-misplaced",
            )
    hours = canonical(quantity, "time")
    if not 0 <= hours <= MOST_HOURS:
        raise OutOfRange(member, f"{hours:g} h", f"from 0 to {MOST_HOURS:.0f} h")
    return hours
