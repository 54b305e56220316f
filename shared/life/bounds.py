"""How well a fitted Weibull life is known: bounds of its shape, scale, quantiles and reliability.

By the likelihood ratio: what is bounded is held, everything else is fitted anew, and all values
count whose likelihood falls short of the best by no more than 2 (l_best - l) <= chi2(C, 1). With
few failures these bounds keep within far fewer misses than those from the curvature alone, and are
still somewhat too narrow. Source: Statistical Methods for Reliability Data, 1998, ch. 8 (from
memory).

With the shape assumed the bounds are by chi-square: 2 sum(t^b) / eta^b has 2 r degrees of freedom
where the trial ended at a failure, 2 r + 2 for the lower bound where it did not (the safe side).
Source: IEC 61649:2008 and New Weibull Handbook (from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, inf, log
from typing import TYPE_CHECKING

from shared.errors import OutOfRange
from shared.life.fit import WeibullFit
from shared.life.observed import Observed
from shared.life.weibull import WeibullLife

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_LEAST_LOG_SHAPE, _GREATEST_LOG_SHAPE = log(1e-4), log(1e5)
_FARTHEST = 690.0
"""Logarithm beyond which a bound is no number any more."""

_LARGEST_EXPONENT = 600.0
"""So that a sum over any number of parts stays a number."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """Two-sided bounds; None: the record sets no bound on that side."""

    lower: float | None
    upper: float | None


class LikelihoodBounds:
    """Bounds of one fit by maximum likelihood, at one confidence (two-sided).

    Raises OutOfRange unless the confidence is between 0 and 1. Every bound is told in hours or as a
    plain number, None where it lies beyond any number.
    """

    def __init__(self, fit: WeibullFit, observed: Observed, confidence: float) -> None:
        self._fit = fit
        self._profile = _Profile(observed)
        self._fall = _chi_square(confidence, 1) / 2
        self._best = self._profile.best(log(fit.life.scale_hours), 0.0)

    def shape(self) -> Bounds:
        """Bounds of the shape."""
        return self._search(log(self._fit.life.shape), self._profile.at_shape)

    def scale(self) -> Bounds:
        """Bounds of the scale in hours."""
        return self.quantile(1 - exp(-1))

    def quantile(self, fraction: float) -> Bounds:
        """Bounds of the hours by which a fraction has failed (0.1: B10).

        Raises OutOfRange unless the fraction is between 0 and 1.
        """
        hours = quantile_hours(self._fit.life, fraction)
        log_hazard = log(hazard_of(fraction))
        return self._search(log(hours), lambda log_t: self._profile.best(log_t, log_hazard))

    def reliability(self, hours: float) -> Bounds:
        """Bounds of the chance that a new part reaches so many hours, which are above 0.

        Raises OutOfRange for hours that are not above 0.
        """
        if not 0 < hours < inf:
            raise OutOfRange("hours", hours, "above 0 h")
        life = self._fit.life
        log_t = log(hours)
        log_hazard = life.shape * (log_t - log(life.scale_hours))
        hazard = self._search(log_hazard, lambda log_h: self._profile.best(log_t, log_h))
        # The more hazard, the less reliability; what has no bound is bounded by 0 or 1.
        return Bounds(
            0.0 if hazard.upper is None else exp(-hazard.upper),
            1.0 if hazard.lower is None else exp(-hazard.lower),
        )

    def _search(self, middle: float, likelihood: Callable[[float], float]) -> Bounds:
        """Where the likelihood has fallen far enough, to both sides of the best, as exp()."""
        from scipy.optimize import brentq  # noqa: PLC0415  (slow to import)

        def excess(x: float) -> float:
            return likelihood(x) - self._best + self._fall

        found: list[float | None] = []
        for sign in (-1, 1):
            near, step = middle, 0.125
            far = middle + sign * step
            while excess(far) > 0 and abs(far) < _FARTHEST:
                near, step = far, 2 * step
                far = middle + sign * step
            if abs(far) >= _FARTHEST:
                found.append(None)
            else:
                found.append(exp(float(brentq(excess, near, far, xtol=1e-10))))
        return Bounds(*found)


def assumed_shape_scale(shape: float, observed: Observed, confidence: float) -> Bounds:
    """Bounds of the scale in hours for an assumed shape, two-sided at the confidence.

    Without a failure there is no upper bound and the lower one is one-sided at the confidence. The
    lower bound is that of a trial which did not end at a failure. Raises OutOfRange for a shape
    outside 0.1 ... 100 and a confidence that is not between 0 and 1.
    """
    _require_between("confidence", confidence)
    largest = observed.longest_hours
    WeibullLife(shape, largest)
    total, failures = observed.sum_of_powers(shape, largest), observed.failure_count

    def scale(chi_square: float) -> float:
        return float(largest * (2 * total / chi_square) ** (1 / shape))

    if failures == 0:
        return Bounds(scale(_chi_square(confidence, 2)), None)
    tail = (1 - confidence) / 2
    return Bounds(
        scale(_chi_square(1 - tail, 2 * failures + 2)), scale(_chi_square(tail, 2 * failures))
    )


def hazard_of(fraction: float) -> float:
    """Cumulative hazard -ln(1 - F) at which a fraction has failed; OutOfRange unless 0 < F < 1."""
    _require_between("fraction", fraction)
    return -log(1 - fraction)


def quantile_hours(life: WeibullLife, fraction: float) -> float:
    """Hours by which a fraction of new parts has failed; OutOfRange unless 0 < fraction < 1.

    >>> round(quantile_hours(WeibullLife(2.0, 1000.0), 0.1), 1)
    324.6
    """
    return float(life.scale_hours * hazard_of(fraction) ** (1 / life.shape))


class _Profile:
    """Logarithm of the likelihood where time t has the cumulative hazard h: best over all shapes.

    ln L(b) = r ln b + r ln h + b sum ln(t_f / t) - sum ln t_f - h sum (t_i / t)^b, concave in b.
    """

    def __init__(self, observed: Observed) -> None:
        import numpy as np  # noqa: PLC0415  (a tenth of a second to import)

        self._np = np
        self._logs: NDArray[np.float64] = np.log([entry.hours for entry in observed.all])
        self._counts: NDArray[np.float64] = np.array(
            [entry.count for entry in observed.all], dtype=float
        )
        self._failures = observed.failure_count
        self._failed_logs = observed.sum_of_logs(1.0)

    def best(self, log_t: float, log_hazard: float) -> float:
        """Greatest likelihood of all shapes, hazard and time held."""
        from scipy.optimize import brentq  # noqa: PLC0415  (slow to import)

        def rise(log_shape: float) -> float:
            """Derivative by the shape, times the shape."""
            shape = exp(log_shape)
            hazards = self._hazards(shape, log_t, log_hazard)
            moved = float(self._np.dot(hazards, self._logs - log_t))
            fallen = self._failed_logs - self._failures * log_t
            return self._failures + shape * (fallen - moved)

        low, high = _LEAST_LOG_SHAPE, _GREATEST_LOG_SHAPE
        if rise(low) <= 0:
            return self._value(low, log_t, log_hazard)
        if rise(high) >= 0:
            return self._value(high, log_t, log_hazard)
        return self._value(float(brentq(rise, low, high, xtol=1e-9)), log_t, log_hazard)

    def at_shape(self, log_shape: float) -> float:
        """Greatest likelihood of all scales, the shape held."""
        shape, failures = exp(log_shape), self._failures
        longest = float(self._logs.max())
        total = float(self._np.dot(self._counts, self._np.exp(shape * (self._logs - longest))))
        log_scale = longest + log(total / failures) / shape
        return self._value(log_shape, log_scale, 0.0)

    def _value(self, log_shape: float, log_t: float, log_hazard: float) -> float:
        shape, failures = exp(log_shape), self._failures
        fallen = self._failed_logs - failures * log_t
        hazards = float(self._hazards(shape, log_t, log_hazard).sum())
        return failures * (log_shape + log_hazard) + shape * fallen - self._failed_logs - hazards

    def _hazards(self, shape: float, log_t: float, log_hazard: float) -> "NDArray[np.float64]":
        exponents = log_hazard + shape * (self._logs - log_t)
        hazards: NDArray[np.float64] = self._counts * self._np.exp(
            self._np.minimum(exponents, _LARGEST_EXPONENT)
        )
        return hazards


def _chi_square(probability: float, degrees: int) -> float:
    """Quantile of the chi-square distribution: twice that of the gamma of half the degrees."""
    _require_between("confidence", probability)
    from scipy.special import gammaincinv  # noqa: PLC0415  (slow to import)

    return 2 * float(gammaincinv(degrees / 2, probability))


def _require_between(field: str, value: float) -> None:
    if not 0 < value < 1:
        raise OutOfRange(field, value, "between 0 and 1, neither of them")
