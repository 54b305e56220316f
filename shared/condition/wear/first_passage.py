"""Wear that runs unevenly: a drift with scatter of its own, and when it first reaches the limit.

Drifted Brownian motion w(t) = mu t + sigma B(t): the time to a distance D has the inverse Gaussian
distribution, mean D / mu, variance D sigma^2 / mu^3. Source: any text on degradation models
(Statistical Methods for Reliability Data, degradation chapter, from memory).
"""

from dataclasses import dataclass
from math import exp, hypot, isfinite, sqrt

from shared.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class FirstPassage:
    """Distance D to the limit, drift mu per hour, scatter sigma per square root of an hour.

    All above 0, in one unit of size. Raises OutOfRange otherwise.
    """

    distance: float
    drift: float
    scatter: float

    def __post_init__(self) -> None:
        for name in ("distance", "drift", "scatter"):
            value = getattr(self, name)
            if not (isfinite(value) and value > 0):
                raise OutOfRange(name, value, "above 0")

    @property
    def mean(self) -> float:
        """Mean hours to the limit.

        >>> round(FirstPassage(0.12, 4e-5, 0.0006).mean, 6)
        3000.0
        """
        return self.distance / self.drift

    @property
    def standard_deviation(self) -> float:
        """Standard deviation of the hours."""
        return sqrt(self.distance * self.scatter**2 / self.drift**3)

    def survival(self, hours: float, u: float = 0.0) -> float:
        """Probability that the limit is not reached within ``hours`` (0 or more).

        Phi((D - mu t)/s) - exp(a D) Phi(-(D + mu t)/s), a = 2 mu/sigma^2, s^2 = sigma^2 t. ``u`` is
        the standard uncertainty of how far the limit is at those hours: both terms averaged over a
        normal distribution of D, so that s^2 = sigma^2 t + u^2, and D + a u^2 / 2 in the exponent,
        D + a u^2 after it. Where D may be below 0 that is on the safe side.
        """
        from scipy.special import erfcx, ndtr  # noqa: PLC0415  (slow to import)

        if not hours >= 0:
            raise OutOfRange("hours", hours, "0 or more")
        if hours == 0 and u == 0:
            return 1.0
        spread = hypot(self.scatter * sqrt(hours), u)
        way, a = self.drift * hours, 2 * self.drift / self.scatter**2
        ahead = (self.distance - way) / spread
        past = (self.distance + a * u * u + way) / spread
        # The factor alone would overflow where scatter is small. With Phi(-p) written as
        # erfcx(p / sqrt 2) exp(-p^2 / 2) / 2 the exponents add up to -(D - mu t)^2 / (2 s^2).
        back = float(erfcx(past / sqrt(2))) * exp(-ahead * ahead / 2) / 2
        return min(1.0, max(0.0, float(ndtr(ahead)) - back))
