"""The life of a part that wears towards its limit: a Weibull for the hours at which it gets there.

A part at its limit is taken as failed, which is the safe side: it may run on, and nobody vouches
for it. Source: planning method of this project.
"""

from collections.abc import Callable
from math import log

from shared.life.weibull import GREATEST_SHAPE, LEAST_SHAPE, LifeSpec

EARLY, HALF = 0.05, 0.5
"""Quantiles of the hours to the limit that the Weibull goes through."""
WORTH_FOLDING_IN = 0.001
"""Chance to be at the limit already from which on it counts in the fit."""
SUREST_FAILURE = 1 - 1e-12
_FARTHEST_HOURS = 1e9
_HALVINGS = 80


def wear_life(chance: Callable[[float], float], warranty_hours: float) -> LifeSpec | None:
    """The Weibull life of a part that is at its limit within t hours with ``chance(t)``.

    Through the hours reached with 5 % and 50 %. A part that may be at its limit already (chance(0)
    above 0.001) has no such early hours: then through the chance at the warranty's end, which holds
    it, and the 50 % hours; where these come first, at a constant hazard. A shape beyond what a life
    may have is cut, and the earlier point kept. None: the limit is out of reach (10^9 h).

    >>> life = wear_life(lambda hours: min(1.0, (hours / 1000) ** 2), 500.0)
    >>> round(1 - life.survival(1000 * 0.05**0.5), 6)
    0.05
    """
    at_once = chance(0.0)
    if at_once >= SUREST_FAILURE:
        return LifeSpec.from_warranty_chance(SUREST_FAILURE, warranty_hours)
    half = _hours_at(chance, HALF)
    if half is None:
        return None
    if at_once < WORTH_FOLDING_IN:
        early = _hours_at(chance, EARLY)
        return None if early is None else through((early, EARLY), (half, HALF))
    in_warranty = min(chance(warranty_hours), SUREST_FAILURE)
    if half <= warranty_hours or in_warranty >= HALF:
        return LifeSpec.from_warranty_chance(in_warranty, warranty_hours)
    return through((warranty_hours, in_warranty), (half, HALF))


def _hours_at(chance: Callable[[float], float], level: float) -> float | None:
    """First hours at which the chance has reached a level, rounded down; None: out of reach."""
    low, high = 0.0, 1.0
    while chance(high) < level:
        if high >= _FARTHEST_HOURS:
            return None
        low, high = high, high * 2
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if chance(middle) < level:
            low = middle
        else:
            high = middle
    return low


def through(first: tuple[float, float], second: tuple[float, float]) -> LifeSpec:
    """The Weibull that has failed with these chances by these hours: (hours, chance).

    Hours and chances rise from the first to the second; chances above 0 and below 1. A shape beyond
    what a life may have is cut, and the first kept.

    >>> life = through((500.0, 0.01), (3000.0, 0.5))
    >>> [round(1 - life.survival(hours), 9) for hours in (500.0, 3000.0)]
    [0.01, 0.5]
    """
    (t1, p1), (t2, p2) = first, second
    shape = GREATEST_SHAPE
    if t2 > t1 > 0:
        shape = log(log(1 - p2) / log(1 - p1)) / log(t2 / t1)
    shape = min(max(shape, LEAST_SHAPE), GREATEST_SHAPE)
    return LifeSpec(shape, max(t1, 1e-6) / (-log(1 - p1)) ** (1 / shape))
