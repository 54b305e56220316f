"""Life of one part: two-parameter Weibull, in running hours, new or of a given age.

Symbols: shape beta, scale eta (hours), age a (hours), interval t (hours);
R(t) = exp(-(t / eta)^beta), R(t | a) = exp((a / eta)^beta - ((a + t) / eta)^beta).
Source: MIL-HDBK-338B 5.3.6 and IEC 61649:2008 (formulas, from memory).

Independence of the parts, and a shape that stays what it was, are assumptions of the caller. A
shape below 1 makes a used part look better than a new one: true of parts that outlived their
infant failures, and of nothing else.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, expm1, gamma, inf, isfinite, lgamma, log, log1p

from shared.errors import OutOfRange
from shared.life.quadrature import average, integrate

LEAST_SHAPE = 0.1
GREATEST_SHAPE = 100.0
FEW_AGES, MANY_AGES = 12, 48

_CLOSED_FORM_UP_TO = 500.0
"""Cumulative hazard up to which exp() of it and its incomplete gamma stay in range."""

_ASYMPTOTE_FROM = 1e12
_LARGEST_EXPONENT = 700.0
_SHORT_OF_MEAN = 1e-3
"""Below this part of the mean residual life the difference of two means loses its digits."""

_NO_AGE = 1e-200
"""Below this part of the scale an age has no effect at any shape, and ratios to it overflow."""


@dataclass(frozen=True, slots=True)
class WeibullLife:
    """Life of a kind of part, in running hours.

    Raises OutOfRange unless 0.1 <= shape <= 100 (where the closed forms hold in floating point)
    and scale_hours is positive and finite.
    """

    shape: float
    scale_hours: float

    def __post_init__(self) -> None:
        if not LEAST_SHAPE <= self.shape <= GREATEST_SHAPE:
            raise OutOfRange("shape", self.shape, f"from {LEAST_SHAPE} to {GREATEST_SHAPE:g}")
        if not (isfinite(self.scale_hours) and self.scale_hours > 0):
            raise OutOfRange("scale", self.scale_hours, "above 0 h")

    def reliability(self, age_hours: float) -> float:
        """Chance that a new part reaches ``age_hours``.

        >>> round(WeibullLife(0.5, 5000.0).reliability(6000.0), 3)
        0.334
        """
        return self.chance_to_last(0.0, age_hours)

    def chance_to_last(self, age_hours: float, interval_hours: float) -> float:
        """Chance R(t | a) that a part sound at ``age_hours`` survives the next interval.

        Raises OutOfRange for a negative age or interval.

        >>> round(WeibullLife(2.0, 1000.0).chance_to_last(500.0, 300.0), 6)
        0.677057
        """
        _require_hours("age", age_hours)
        _require_hours("interval", interval_hours)
        return exp(-self._hazard_over(age_hours, interval_hours))

    def mean_hours(self) -> float:
        """Mean life of a new part, eta Gamma(1 + 1/beta)."""
        return self.scale_hours * gamma(1 + 1 / self.shape)

    def mean_residual_hours(self, age_hours: float) -> float:
        """Mean further life of a part sound at ``age_hours``.

        (eta / beta) Gamma(1/beta) Q(1/beta, x) exp(x), x = (a / eta)^beta, Q the regularised
        upper incomplete gamma function; far beyond the scale by quadrature, then by the limit
        1 / hazard rate. Raises OutOfRange for a negative age.
        """
        _require_hours("age", age_hours)
        if self._is_new(age_hours):
            return self.mean_hours()
        log_x = self.shape * log(age_hours / self.scale_hours)
        if log_x <= log(_CLOSED_FORM_UP_TO):
            return self._mean_residual_closed(exp(log_x))
        if log_x >= log(_ASYMPTOTE_FROM):
            return age_hours / self.shape * exp(-min(log_x, _LARGEST_EXPONENT))
        return self._mean_residual_far_out(age_hours, exp(log_x))

    def expected_service_hours(self, horizon_hours: float, age_hours: float = 0.0) -> float:
        """Hours that a part of ``age_hours`` is expected to run within ``horizon_hours``.

        The restricted mean: integral of R(t | a) from 0 to the horizon
        = mean residual(a) - R(h | a) mean residual(a + h). Raises OutOfRange for negative hours.
        """
        _require_hours("horizon", horizon_hours)
        mean = self.mean_residual_hours(age_hours)
        if horizon_hours < mean * _SHORT_OF_MEAN:
            return integrate(
                lambda hours: self.chance_to_last(age_hours, hours), 0.0, horizon_hours
            )
        survivors = self.chance_to_last(age_hours, horizon_hours)
        later = self.mean_residual_hours(age_hours + horizon_hours)
        return min(horizon_hours, mean - survivors * later)

    def _hazard_over(self, age_hours: float, interval_hours: float) -> float:
        """Cumulative hazard over the interval, without subtracting two large numbers."""
        if self._is_new(age_hours):
            return _power(self.shape * _log(interval_hours / self.scale_hours))
        growth = self.shape * log1p(interval_hours / age_hours)
        log_growth = growth if growth > _LARGEST_EXPONENT else _log(expm1(growth))
        return _power(self.shape * log(age_hours / self.scale_hours) + log_growth)

    def _is_new(self, age_hours: float) -> bool:
        return age_hours < self.scale_hours * _NO_AGE

    def _mean_residual_closed(self, x: float) -> float:
        from scipy.special import gammaincc  # noqa: PLC0415  (slow to import)

        order = 1 / self.shape
        upper = float(gammaincc(order, x))
        if upper == 0:
            return self._mean_residual_far_out(self.scale_hours * x**order, x)
        return self.scale_hours * order * exp(lgamma(order) + log(upper) + x)

    def _mean_residual_far_out(self, age_hours: float, x: float) -> float:
        """Quadrature in units of 1 / hazard rate, in which the curve falls about as exp(-s)."""
        unit_hours = age_hours / (self.shape * x)

        def curve(units: float) -> float:
            return exp(-x * expm1(self.shape * log1p(units * unit_hours / age_hours)))

        far = 1.0
        while curve(far) > 1e-14:
            far *= 2
        return unit_hours * integrate(curve, 0.0, far, 1e-12)


@dataclass(frozen=True, slots=True)
class LifeSpec:
    """Life of the part that sits in a position: a Weibull and the range its age lies in (hours).

    Between ``lower_age_hours`` and ``upper_age_hours`` every age counts alike (uniform, our
    choice: hours read off a doubtful meter carry no better information). Equal ends: the age is
    known. Raises OutOfRange for a negative or upside-down range.
    """

    shape: float
    scale_hours: float
    lower_age_hours: float = 0.0
    upper_age_hours: float = 0.0

    def __post_init__(self) -> None:
        WeibullLife(self.shape, self.scale_hours)
        _require_hours("lower_age", self.lower_age_hours)
        _require_hours("upper_age", self.upper_age_hours)
        if self.upper_age_hours < self.lower_age_hours:
            raise OutOfRange(
                "upper_age", self.upper_age_hours, f"not below {self.lower_age_hours} h"
            )

    @classmethod
    def from_warranty_chance(cls, probability: float, warranty_hours: float) -> "LifeSpec":
        """Carry a chance of failure within the warranty to other intervals, at constant hazard.

        p_H = 1 - (1 - p_W)^(H / W): a Weibull of shape 1, in which age does not matter. Raises
        OutOfRange unless 0 < probability < 1 and warranty_hours > 0. Source: definition of the
        exponential life; that the hazard stays constant is an assumption.

        >>> round(1 - LifeSpec.from_warranty_chance(0.1, 500.0).survival(1000.0), 6)
        0.19
        """
        if not 0 < probability < 1:
            raise OutOfRange("probability", probability, "between 0 and 1, neither of them")
        if not (isfinite(warranty_hours) and warranty_hours > 0):
            raise OutOfRange("warranty_hours", warranty_hours, "above 0 h")
        return cls(1.0, -warranty_hours / log1p(-probability))

    def survival(self, interval_hours: float) -> float:
        """Chance to survive ``interval_hours`` from now, averaged over the range of ages."""
        life = WeibullLife(self.shape, self.scale_hours)
        return self._over_ages(lambda age_hours: life.chance_to_last(age_hours, interval_hours))

    def expected_service_hours(self, horizon_hours: float) -> float:
        """Hours expected to be run within ``horizon_hours``, averaged over the range of ages."""
        life = WeibullLife(self.shape, self.scale_hours)
        return self._over_ages(
            lambda age_hours: life.expected_service_hours(horizon_hours, age_hours)
        )

    def mean_residual_hours(self) -> float:
        """Mean further life in hours, averaged over the range of ages."""
        life = WeibullLife(self.shape, self.scale_hours)
        return self._over_ages(life.mean_residual_hours)

    def _over_ages(self, function: Callable[[float], float]) -> float:
        if self.shape == 1 or self.upper_age_hours == self.lower_age_hours:
            return function(self.lower_age_hours)
        # A range that is short against the scale is smooth: fewer ages give six digits too.
        width = self.upper_age_hours - self.lower_age_hours
        is_short = self.shape > 1 and self.shape * width <= self.scale_hours
        count = FEW_AGES if is_short else MANY_AGES
        return average(function, self.lower_age_hours, self.upper_age_hours, count)


def _log(number: float) -> float:
    return log(number) if number > 0 else -inf


def _power(exponent: float) -> float:
    return inf if exponent > _LARGEST_EXPONENT else exp(exponent)


def _require_hours(field: str, hours: float) -> None:
    if not (isfinite(hours) and hours >= 0):
        raise OutOfRange(field, hours, "0 h or more")
