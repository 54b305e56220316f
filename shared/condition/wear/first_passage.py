"""Wear that runs unevenly: a drift with scatter of its own, and when it first reaches the limit.

Drifted Brownian motion w(t) = mu t + sigma B(t): the time to a distance D has the inverse Gaussian
distribution, mean D / mu, variance D sigma^2 / mu^3. Source: any text on degradation models
(Statistical Methods for Reliability Data, degradation chapter, from memory).
"""

from dataclasses import dataclass
from math import exp, isfinite, sqrt

from shared.errors import OutOfRange

_HALVINGS = 200


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

    def survival(self, hours: float) -> float:
        """Probability that the limit is not reached within ``hours`` (0 or more).

        Phi((D - mu t)/(sigma sqrt t)) - exp(2 mu D/sigma^2) Phi(-(D + mu t)/(sigma sqrt t)).
        """
        from scipy.special import log_ndtr, ndtr  # noqa: PLC0415  (slow to import)

        if not hours >= 0:
            raise OutOfRange("hours", hours, "0 or more")
        if hours == 0:
            return 1.0
        spread = self.scatter * sqrt(hours)
        way = self.drift * hours
        straight = float(ndtr((self.distance - way) / spread))
        # The factor alone would overflow where scatter is small: add the logarithms first.
        power = 2 * self.drift * self.distance / self.scatter**2
        back = exp(min(0.0, power + float(log_ndtr(-(self.distance + way) / spread))))
        return min(1.0, max(0.0, straight - back))

    def hours_at(self, survival: float) -> float:
        """Hours that are survived with so much probability (above 0, below 1)."""
        if not 0 < survival < 1:
            raise OutOfRange("survival", survival, "above 0 and below 1")
        before, after = 0.0, self.mean
        while self.survival(after) > survival:
            after *= 2
        for _ in range(_HALVINGS):
            middle = (before + after) / 2
            if self.survival(middle) > survival:
                before = middle
            else:
                after = middle
        return before
