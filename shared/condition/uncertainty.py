"""Uncertainty put together from its parts. Source: JCGM 100:2008 (GUM), from memory."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import fsum, inf, sqrt

from shared.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class Contribution:
    """One input's part: sensitivity times standard uncertainty, and its degrees of freedom."""

    uncertainty: float
    degrees_of_freedom: float = inf


def combined_uncertainty(parts: Iterable[float]) -> float:
    """Root sum of squares of independent standard uncertainties in one unit (GUM 5.1.2).

    Parts that share a common cause (one setting master for both readings) are not independent.

    >>> round(combined_uncertainty([0.004, 0.003]), 9)
    0.005
    """
    return sqrt(fsum(part * part for part in parts))


def effective_degrees_of_freedom(contributions: Sequence[Contribution]) -> float:
    """Welch-Satterthwaite: u_c^4 / sum(u_i^4 / nu_i) (GUM G.4.1); infinite if all nu are.

    Raises OutOfRange for degrees of freedom not above 0.
    """
    for part in contributions:
        if not part.degrees_of_freedom > 0:
            raise OutOfRange("degrees_of_freedom", part.degrees_of_freedom, "above 0")
    total = combined_uncertainty(part.uncertainty for part in contributions)
    spread = fsum(part.uncertainty**4 / part.degrees_of_freedom for part in contributions)
    return inf if spread == 0 else total**4 / spread


def coverage_factor(probability: float, degrees_of_freedom: float) -> float:
    """Coverage factor k: two-sided quantile of Student's t (GUM G.3.2).

    Raises OutOfRange unless 0 < probability < 1 and degrees_of_freedom > 0.
    """
    if not 0 < probability < 1:
        raise OutOfRange("probability", probability, "between 0 and 1, neither of them")
    if not degrees_of_freedom > 0:
        raise OutOfRange("degrees_of_freedom", degrees_of_freedom, "above 0")
    from scipy.special import ndtri, stdtrit  # noqa: PLC0415  (slow to import)

    one_sided = (1 + probability) / 2
    if degrees_of_freedom == inf:
        return float(ndtri(one_sided))
    return float(stdtrit(degrees_of_freedom, one_sided))


def resolution_uncertainty(step: float) -> float:
    """Standard uncertainty from the step of an indicating device, step / sqrt(12) (GUM F.2.2.1).

    >>> round(resolution_uncertainty(0.01), 4)
    0.0029
    """
    if not step >= 0:
        raise OutOfRange("step", step, "0 or more")
    return step / sqrt(12)
