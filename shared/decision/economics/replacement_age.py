"""At what age a part is best replaced before it fails.

Symbols: shape beta, scale eta (hours), age T, planned cost Cp, cost of a failure Cf or of a minimal
repair Cm. Amounts in one currency, ages in running hours, rates per running hour.
Sources: age replacement and periodic renewal with minimal repair as in Optimum Preventive
Maintenance Policies, Operations Research, 1960 (from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from shared.errors import InvalidInput, OutOfRange
from shared.life.calculation import MOST_HOURS
from shared.life.weibull import WeibullLife
from shared.quantities import Quantity
from shared.quantities.units import canonical, check_quantity

RAREST = 1e-6
"""An age that fewer parts than this reach is no plan."""

_HALVINGS = 200


class OnFailure(StrEnum):
    """What is done when the part fails before its planned age.

    ``replace``: a new one goes in and its age begins anew. ``minimal-repair``: it is mended to run
    on as old as it was.
    """

    REPLACE = "replace"
    MINIMAL_REPAIR = "minimal-repair"


@dataclass(frozen=True, slots=True)
class ReplacementAge:
    """The cheapest age in hours (None: never before a failure), with what an hour then costs.

    ``cost_per_hour_unplanned`` is the rate without any planned replacement; None: it has none, as
    repairs of an ever older part cost ever more (or, at a shape below 1, ever less).
    """

    hours: float | None
    cost_per_hour: float | None
    cost_per_hour_unplanned: float | None
    reason: str | None = None


def life_of(shape: float, scale: Quantity) -> WeibullLife:
    """The life whose scale is a time, exactly known.

    Raises InvalidInput with a pointer to the member: of another dimension, not above 0 or above
    10^9 h, with a doubt, shape outside 0.1 ... 100.

    >>> from decimal import Decimal
    >>> life_of(2.0, Quantity(Decimal(90), "min")).scale_hours
    1.5
    """
    check_quantity(scale, "time", "/scale")
    for way in ("standard_uncertainty", "expanded_uncertainty", "plus_minus"):
        if getattr(scale, way) is not None:
            raise InvalidInput(
                f"/scale/{way}",
                f"The scale states {way}, which is not taken into account.",
                "Leave it out; ask again at both ends of the range.",
                "uncertainty-misplaced",
            )
    hours = canonical(scale, "time")
    if not 0 < hours <= MOST_HOURS:
        raise OutOfRange("scale", f"{hours:g} h", f"above 0 and at most {MOST_HOURS:.0f} h")
    return WeibullLife(shape, hours)


def replacement_age(
    life: WeibullLife, planned_cost: float, failure_cost: float, on_failure: OnFailure
) -> ReplacementAge:
    """The age of least cost per running hour.

    ``replace``: least [Cp R(T) + Cf (1 - R(T))] / integral of R from 0 to T. ``minimal-repair``:
    least [Cp + Cm (T / eta)^beta] / T, at T = eta (Cp / (Cm (beta - 1)))^(1 / beta). Raises
    OutOfRange for costs that are not above 0.

    >>> found = replacement_age(WeibullLife(2.5, 1000.0), 1, 5, OnFailure.MINIMAL_REPAIR)
    >>> round(found.hours, 2), round(found.cost_per_hour, 7)
    (446.66, 0.0037314)
    """
    for field, cost in (("planned_cost", planned_cost), ("failure_cost", failure_cost)):
        if not (isfinite(cost) and cost > 0):
            raise OutOfRange(field, cost, "above 0")
    if on_failure is OnFailure.MINIMAL_REPAIR:
        return _minimal_repair(life, planned_cost, failure_cost)
    return _age_replacement(life, planned_cost, failure_cost)


def _minimal_repair(life: WeibullLife, planned: float, repair: float) -> ReplacementAge:
    beta, eta = life.shape, life.scale_hours
    if beta <= 1:
        rate = repair / eta if beta == 1 else None
        return ReplacementAge(None, rate, rate, _NO_WEAR)
    hours = eta * (planned / (repair * (beta - 1))) ** (1 / beta)
    # At the best age the repairs of a life cost planned / (beta - 1).
    return ReplacementAge(hours, planned * beta / (beta - 1) / hours, None)


_NO_WEAR = "At a shape of 1 or below an old part is no more likely to fail than a new one."
_NO_GAIN = "A failure costs no more than a planned replacement."
_NOBODY = "The best age is one that fewer than one part in a million reaches."


def _age_replacement(life: WeibullLife, planned: float, failure: float) -> ReplacementAge:
    unplanned = failure / life.mean_hours()
    if life.shape <= 1 or failure <= planned:
        reason = _NO_WEAR if life.shape <= 1 else _NO_GAIN
        return ReplacementAge(None, unplanned, unplanned, reason)
    # The derivative of the rate is 0 where hazard x mean hours run - chance of failure comes to
    # Cp / (Cf - Cp); the left side rises with the age while the hazard does.
    asked = planned / (failure - planned)
    hours = _root(lambda age: _condition(life, age) - asked, life.scale_hours)
    survives = life.reliability(hours)
    if survives < RAREST:
        return ReplacementAge(None, unplanned, unplanned, _NOBODY)
    rate = (planned * survives + failure * (1 - survives)) / life.expected_service_hours(hours)
    return ReplacementAge(hours, rate, unplanned)


def _condition(life: WeibullLife, age_hours: float) -> float:
    ratio: float = (age_hours / life.scale_hours) ** (life.shape - 1)
    hazard = life.shape / life.scale_hours * ratio
    run = life.expected_service_hours(age_hours)
    return hazard * run - (1 - life.reliability(age_hours))


def _root(rising: Callable[[float], float], middle: float) -> float:
    """Where a rising function crosses 0: bracketed by doubling, then halved on the ratio."""
    lower = upper = middle
    while rising(lower) > 0:
        lower /= 2
    while rising(upper) < 0:
        upper *= 2
    for _ in range(_HALVINGS):
        centre = float((lower * upper) ** 0.5)
        if not lower < centre < upper:
            break
        lower, upper = (centre, upper) if rising(centre) < 0 else (lower, centre)
    return upper
