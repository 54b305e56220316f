"""Chance that what a part bears exceeds what it can: stress against strength, both scattered.

Symbols: mu and s mean and standard deviation of strength (S) and stress (L), in one unit;
P = Phi(-(mu_S - mu_L) / sqrt(s_S^2 + s_L^2)). Holds for two independent normal distributions.
Source: interference theory, any text on reliability (from memory).
"""

from dataclasses import dataclass
from math import erfc, hypot, inf, isfinite, sqrt

from shared.errors import InvalidInput, OutOfRange

FAR_TAIL = 1e-6
"""Chance below which the answer says more of the normal curve than of the part."""


@dataclass(frozen=True, slots=True)
class Scattered:
    """Mean and standard deviation of a normal distribution, both in one unit."""

    mean: float
    standard_deviation: float


@dataclass(frozen=True, slots=True)
class Interference:
    """Chance of failure; ``margin`` counts standard deviations of the difference.

    ``factor`` is the ratio of the means, None where the stress has a mean of 0 or below.
    """

    failure_probability: float
    margin: float
    factor: float | None
    assumptions: tuple[str, ...]


def interference(stress: Scattered, strength: Scattered) -> Interference:
    """Chance that a stress drawn at random exceeds a strength drawn at random.

    Raises OutOfRange for a standard deviation below 0 or a mean that is not finite, InvalidInput
    where neither of the two scatters.

    >>> round(interference(Scattered(20.0, 6.0), Scattered(40.0, 7.0)).failure_probability, 7)
    0.0150298
    """
    for name, one in (("stress", stress), ("strength", strength)):
        if not isfinite(one.mean):
            raise OutOfRange(f"{name}/mean", one.mean, "a finite number")
        if not 0 <= one.standard_deviation < inf:
            raise OutOfRange(f"{name}/standard_deviation", one.standard_deviation, "0 or more")
    spread = hypot(stress.standard_deviation, strength.standard_deviation)
    if spread == 0:
        raise InvalidInput(
            "/strength/standard_deviation",
            "Neither stress nor strength scatters, so there is no chance to tell.",
            "Give the standard deviation of at least one of them.",
        )
    margin = (strength.mean - stress.mean) / spread
    chance = erfc(margin / sqrt(2)) / 2
    said = [
        "Stress and strength are normal and do not depend on each other.",
        "One load, once: how often it comes and what it wears is not in it.",
    ]
    if chance < FAR_TAIL:
        said.append(
            f"Below {FAR_TAIL:.6f} the figure tells of the tail of a normal curve, which no record"
            " of parts reaches: take it as unlikely, not as a number to count on."
        )
    factor = strength.mean / stress.mean if stress.mean > 0 else None
    return Interference(chance, margin, factor, tuple(said))
