"""Several parts that must all last: the series system.

R(t) = product of R_i(t): the parts fail independently of one another. What hits all of them at once
(contaminated oil, a cause not removed) is a further factor, the caller's. Source: MIL-HDBK-338B
5.3.6 (from memory).
"""

from collections.abc import Callable, Sequence
from math import inf, isfinite, prod

from shared.errors import OutOfRange
from shared.life.quadrature import integrate
from shared.life.weibull import LifeSpec

Survival = Callable[[float], float]
"""Chance to survive so many hours; 1 at 0 and never rising."""

_PRACTICALLY_NONE = 1e-13
_MOST_DOUBLINGS = 200
_MOST_HALVINGS = 60


def product_survival(survivals: Sequence[Survival]) -> Survival:
    """Survival of parts in series, whatever their kinds of life; of no parts: certain."""
    return lambda hours: prod(survival(hours) for survival in survivals)


def expected_hours(survival: Survival, horizon_hours: float, tolerance: float = 1e-9) -> float:
    """Integral of the survival from 0 to ``horizon_hours`` (the restricted mean), in hours.

    ``tolerance`` is in hours per hour of horizon. Raises OutOfRange for a negative horizon.
    """
    if not (isfinite(horizon_hours) and horizon_hours >= 0):
        raise OutOfRange("horizon", horizon_hours, "0 h or more")
    # From 0 in steps that double, the first one short enough that most systems outlive it: a
    # curve that is all over early is not missed by a wide rule.
    total, lower, upper = 0.0, 0.0, horizon_hours
    for _ in range(_MOST_HALVINGS):
        if survival(upper) > 0.5:
            break
        upper /= 2
    while upper < horizon_hours:
        total += integrate(survival, lower, upper, tolerance)
        lower, upper = upper, upper * 2
    return total + integrate(survival, lower, horizon_hours, tolerance)


def mean_life_hours(survival: Survival, first_guess_hours: float = 1.0) -> float:
    """Integral of the survival without end, in hours; infinite where it never comes to nothing.

    ``first_guess_hours`` is any time of the right order, to start the search for the far end.
    """
    far = first_guess_hours
    for _ in range(_MOST_DOUBLINGS):
        if survival(far) < _PRACTICALLY_NONE:
            return expected_hours(survival, far)
        far *= 2
    return inf


def series_survival(specs: Sequence[LifeSpec], interval_hours: float) -> float:
    """Chance that all the parts survive ``interval_hours`` from now.

    >>> four = [LifeSpec(2.0, 1000.0)] * 4
    >>> round(series_survival(four, 500.0), 6)  # equal parts: one of scale 1000 / 4^(1/2)
    0.367879
    """
    return product_survival([spec.survival for spec in specs])(interval_hours)


def series_expected_hours(specs: Sequence[LifeSpec], horizon_hours: float) -> float:
    """Hours that the whole is expected to run before its first failure, up to the horizon.

    Good to 10^-7 of the horizon.
    """
    return expected_hours(lambda hours: series_survival(specs, hours), horizon_hours, 1e-7)
