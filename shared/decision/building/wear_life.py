"""The life of a part that wears towards its limit: a Weibull for the hours at which it gets there.

A part at its limit is taken as failed, which is the safe side: it may run on, and nobody vouches
for it. Source: planning method of this project.
"""

from collections.abc import Callable
from math import inf, log

from shared.life.weibull import GREATEST_SHAPE, LEAST_SHAPE, LifeSpec

SUREST_FAILURE = 1 - 1e-12
LEAST_FAILURE = 1e-12
HALF = 0.5


def wear_life(
    chance: Callable[[float], float], warranty_hours: float, horizon_hours: float
) -> LifeSpec:
    """The Weibull life of a part that is at its limit within t hours with ``chance(t)``.

    Through the chances at the warranty's end and at the horizon, by which a plan is reckoned: there
    it is as hopeful as the trend, and less so only where no life is as steep or as flat. A constant
    hazard, which is no more hopeful at either, where both hours are one and where more fail than
    not by the first: what takes its place is no part that fails at once. ``chance`` never falls;
    both hours are above 0.

    >>> life = wear_life(lambda hours: min(0.9, (hours / 1000) ** 2), 500.0, 800.0)
    >>> [round(1 - life.survival(hours), 9) for hours in (500.0, 800.0)]
    [0.25, 0.64]
    """
    first, last = (
        (hours, min(max(chance(hours), LEAST_FAILURE), SUREST_FAILURE))
        for hours in sorted((warranty_hours, horizon_hours))
    )
    if first == last or first[1] > HALF:
        _, hours, failed = max((-log(1 - p) / t, t, p) for t, p in (first, last))
        return LifeSpec.from_warranty_chance(failed, hours)
    return through(first, last)


def through(first: tuple[float, float], second: tuple[float, float]) -> LifeSpec:
    """The Weibull that has failed with these chances by these hours: (hours, chance).

    Hours and chances never fall from the first to the second; chances above 0 and below 1. A shape
    beyond what a life may have is cut, on the safe side: too steep a one keeps the second, too flat
    a one the first, and the other is failed with more than its chance.

    >>> life = through((500.0, 0.01), (3000.0, 0.5))
    >>> [round(1 - life.survival(hours), 9) for hours in (500.0, 3000.0)]
    [0.01, 0.5]
    """
    (t1, p1), (t2, p2) = first, second
    shape = inf
    if t2 > t1 > 0:
        shape = log(log(1 - p2) / log(1 - p1)) / log(t2 / t1)
    is_steep = shape > GREATEST_SHAPE
    shape = min(max(shape, LEAST_SHAPE), GREATEST_SHAPE)
    hours, failed = (t2, p2) if is_steep else (t1, p1)
    return LifeSpec(shape, max(hours, 1e-6) / (-log(1 - failed)) ** (1 / shape))
