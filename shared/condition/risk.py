"""Risk of a way of accepting, for a whole family of parts whose spread is known.

Consumer's risk: a part drawn from the family is out of limits and is accepted. Producer's risk:
it is within limits and is rejected. Both are shares of all the parts inspected. Ratios of tolerance
and uncertainty have two definitions in print; here "test uncertainty ratio" is tolerance
half-width over expanded uncertainty (k = 2), never a ratio of standard deviations.
Source: JCGM 106:2012 clause 9 (from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, lgamma, log, pi, sqrt

from shared.condition.conformity import conformity_probability
from shared.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class NormalFamily:
    """True sizes of a family of parts: normal, in the unit of its mean."""

    mean: float
    standard_deviation: float

    @property
    def support(self) -> tuple[float, float]:
        """Sizes beyond which there is nothing worth counting."""
        reach = 12 * self.standard_deviation
        return self.mean - reach, self.mean + reach

    def density(self, size: float) -> float:
        """Density of true sizes, per unit of size."""
        z = (size - self.mean) / self.standard_deviation
        return exp(-z * z / 2) / (self.standard_deviation * sqrt(2 * pi))


@dataclass(frozen=True, slots=True)
class GammaFamily:
    """True sizes of a family that cannot be negative (run-out): gamma, scale in their unit."""

    shape: float
    scale: float

    @property
    def support(self) -> tuple[float, float]:
        """Sizes beyond which there is nothing worth counting."""
        return 0.0, self.scale * (self.shape + 40 * sqrt(self.shape) + 40)

    def density(self, size: float) -> float:
        """Density of true sizes, per unit of size."""
        if size <= 0:
            return 0.0
        ratio = size / self.scale
        return exp((self.shape - 1) * log(ratio) - ratio - lgamma(self.shape)) / self.scale


Family = NormalFamily | GammaFamily


@dataclass(frozen=True, slots=True)
class InspectionRisks:
    """Shares of all parts inspected."""

    nonconforming_before_test: float
    consumer: float
    producer: float


def inspection_risks(
    family: Family,
    u: float,
    limits: tuple[float | None, float | None],
    accepted: tuple[float | None, float | None] | None = None,
) -> InspectionRisks:
    """Risks of accepting what reads within ``accepted`` (None: within the limits themselves).

    ``u`` is the standard uncertainty of a reading (above 0), all in one unit. Integrals over the
    family by quadrature. Raises OutOfRange for u not above 0.
    """
    if not u > 0:
        raise OutOfRange("u", u, "above 0")
    accept_lower, accept_upper = limits if accepted is None else accepted

    def accepted_share(size: float) -> float:
        return conformity_probability(size, u, accept_lower, accept_upper)

    inside, outside = _parts_of_support(family, limits)
    return InspectionRisks(
        sum(_integral(family.density, *span) for span in outside),
        sum(_integral(lambda x: family.density(x) * accepted_share(x), *s) for s in outside),
        sum(_integral(lambda x: family.density(x) * (1 - accepted_share(x)), *s) for s in inside),
    )


def upper_acceptance_limit(family: Family, u: float, upper_limit: float, target: float) -> float:
    """Return the upper acceptance limit at which the consumer's risk is ``target``.

    For one upper limit. Raises OutOfRange where even 8 u within the limit the risk stays above.
    """
    from scipy.optimize import brentq  # noqa: PLC0415  (slow to import)

    def excess(limit: float) -> float:
        risks = inspection_risks(family, u, (None, upper_limit), (None, limit))
        return risks.consumer - target

    lowest, highest = upper_limit - 8 * u, upper_limit + 8 * u
    if excess(lowest) > 0 or excess(highest) < 0:
        raise OutOfRange("target", target, "a risk that some acceptance limit gives")
    return float(brentq(excess, lowest, highest, xtol=1e-10))


def root_sum_square_factor(test_uncertainty_ratio: float) -> float:
    """Acceptance half-width over tolerance half-width, sqrt(1 - 1/TUR^2). Source: Z540.3 handbook.

    Raises OutOfRange for a ratio below 1.
    """
    if not test_uncertainty_ratio >= 1:
        raise OutOfRange("test_uncertainty_ratio", test_uncertainty_ratio, "1 or more")
    return sqrt(1 - 1 / test_uncertainty_ratio**2)


def managed_guard_factor(test_uncertainty_ratio: float) -> float:
    """Guard band over expanded uncertainty: M = 1.04 - exp(0.38 ln TUR - 0.54).

    Keeps false acceptance at 2 % or less whatever the family's spread. Raises OutOfRange for a
    ratio not above 0. Source: Z540.3 handbook.
    """
    if not test_uncertainty_ratio > 0:
        raise OutOfRange("test_uncertainty_ratio", test_uncertainty_ratio, "above 0")
    return 1.04 - exp(0.38 * log(test_uncertainty_ratio) - 0.54)


Span = tuple[float, float]


def _parts_of_support(
    family: Family, limits: tuple[float | None, float | None]
) -> tuple[list[Span], list[Span]]:
    """Split the family's sizes into those within the limits and those outside."""
    least, most = family.support
    lower = least if limits[0] is None else min(max(limits[0], least), most)
    upper = most if limits[1] is None else min(max(limits[1], least), most)
    return [(lower, upper)], [(least, lower), (upper, most)]


def _integral(function: Callable[[float], float], lower: float, upper: float) -> float:
    if upper <= lower:
        return 0.0
    from scipy.integrate import quad  # noqa: PLC0415  (slow to import)

    value, _ = quad(function, lower, upper, epsabs=1e-12, epsrel=1e-10, limit=200)
    return float(value)
